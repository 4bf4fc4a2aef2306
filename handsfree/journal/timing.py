"""How much time lies between the events of a log."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from handsfree.journal import events as log


def seconds_between(before: log.AnyEvent, after: log.AnyEvent) -> float:
    """From one event to the next, never less than 0.

    By the clock that never jumps, as far as one program wrote both; between two programs only the time of day is
    known, and where that was set back meanwhile, nothing.
    """
    if isinstance(after, log.ResumedEvent) or after.offset_s < before.offset_s:
        return max(0.0, (after.time - before.time).total_seconds())
    return max(0.0, after.offset_s - before.offset_s)


def elapsed_s(events: Sequence[log.AnyEvent]) -> float:
    """How long a walk took, from its first event to its last."""
    return sum((seconds_between(before, after) for before, after in pairwise(events)), 0.0)
