"""What can go wrong between a text and its sound."""

from __future__ import annotations


class SpeakingError(Exception):
    """A prompt cannot be rendered; `hint` says what the user can do."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
