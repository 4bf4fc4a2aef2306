"""Libraries that only some need: what to do where they are not installed."""

from __future__ import annotations

from handsfree.errors import Mendable
from handsfree.extras import how_to_install


def missing(what: str, libraries: str) -> Mendable:
    """The one error of a missing extra."""
    return Mendable(f"writing {what} needs {libraries}", how_to_install("debrief"))
