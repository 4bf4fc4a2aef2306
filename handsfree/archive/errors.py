"""What can go wrong with many logs."""

from __future__ import annotations

from handsfree.errors import Mendable


class ArchiveError(Mendable):
    """Nothing can be told of a folder of logs; ``hint`` says what to do."""
