"""What can go wrong with a bench."""

from __future__ import annotations

from handsfree.errors import Mendable


class BenchError(Mendable):
    """The bench cannot go on; ``hint`` says what to do."""
