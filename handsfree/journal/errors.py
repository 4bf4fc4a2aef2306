"""What can go wrong with a log."""

from __future__ import annotations

from handsfree.errors import Mendable


class JournalError(Mendable):
    """A log cannot be read or written; ``hint`` says what to do."""
