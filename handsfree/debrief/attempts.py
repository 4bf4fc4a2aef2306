"""Practised walks beside each other: what each was worth, and where somebody's attempts lead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handsfree.debrief.gathering import Debrief
from handsfree.drill.detection import Counts
from handsfree.drill.estimate import Estimate
from handsfree.drill.learning import Learning, learn
from handsfree.drill.score import FULL, score


@dataclass(frozen=True, slots=True)
class Worth:
    """What a practised walk came to."""

    points: int
    """Of `FULL`."""
    counts: Counts
    d_prime: Estimate | None
    """None = there was nothing to tell apart."""
    helps: int


@dataclass(frozen=True, slots=True)
class Attempts:
    """Walks of which one at least was practised."""

    worths: tuple[Worth | None, ...]
    """By walk; None = no practice, or none with an exercise."""
    order: tuple[int, ...]
    """Where all were practised by one person: the walks in the order of time; else empty."""
    learning: Learning | None
    """The curve through the points in that order; None = they are not one person's."""

    def expected(self) -> tuple[Estimate, ...]:
        """Where the curve is at each attempt and at the next, within what can be had; empty without a curve."""
        curve = self.learning.curve if self.learning else None
        if curve is None:
            return ()
        told = [curve.predict(attempt) for attempt in range(1, len(self.order) + 2)]
        return tuple(
            Estimate(*(min(float(FULL), max(0.0, at)) for at in (one.value, one.low, one.high))) for one in told
        )


def attempts(walks: Sequence[Debrief]) -> Attempts | None:
    """Lay them beside each other; None where nothing was practised."""
    worths = tuple(_worth(walk) for walk in walks)
    if not any(worths):
        return None
    alone = len({(walk.summary.who, walk.opened.practice if walk.opened else "") for walk in walks}) == 1
    if not alone or not all(worths):
        return Attempts(worths, (), None)
    order = tuple(sorted(range(len(walks)), key=lambda at: walks[at].timeline.began))
    return Attempts(worths, order, learn([worth.points for at in order if (worth := worths[at])]))


def _worth(walk: Debrief) -> Worth | None:
    if walk.attempt is None:
        return None
    counted = score(walk.attempt, walk.checklist)
    return Worth(counted.points, counted.counts, counted.detection.d_prime, len(walk.attempt.helps))
