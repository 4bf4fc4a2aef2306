"""What can go wrong between a text and its sound."""

from __future__ import annotations

from handsfree.errors import Mendable


class SpeakingError(Mendable):
    """A prompt cannot be rendered; `hint` says what the user can do."""
