"""What can go wrong with a log."""

from __future__ import annotations


class JournalError(Exception):
    """A log cannot be read or written; ``hint`` says what to do."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
