"""How somebody comes on from attempt to attempt: the points, and how well defects are told apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handsfree.drill.estimate import Estimate
from handsfree.drill.learning import learn
from handsfree.drill.score import FULL, Score


@dataclass(frozen=True, slots=True)
class Progress:
    """Over all attempts, in their order."""

    points: tuple[int, ...]
    d_primes: tuple[float | None, ...]
    """None = an attempt in which there was nothing to tell apart."""
    next_points: Estimate | None
    """Where the fitted curve is at the next attempt, within what can be had."""
    why_not: str
    """Why there is no curve; else empty."""


def progress(scores: Sequence[Score]) -> Progress:
    """Fit the learning curve to the points."""
    points = tuple(one.points for one in scores)
    learnt = learn(points)
    ahead = learnt.curve.predict(len(points) + 1) if learnt.curve else None
    return Progress(
        points,
        tuple(one.detection.d_prime.value if one.detection.d_prime else None for one in scores),
        Estimate(*(min(float(FULL), max(0.0, one)) for one in (ahead.value, ahead.low, ahead.high))) if ahead else None,
        learnt.why_not or "",
    )


def as_text(made: Progress) -> tuple[str, ...]:
    """For a reader."""
    lines = [f"over {len(made.points)} attempts: {', '.join(map(str, made.points))} points"]
    told_apart = ["-" if one is None else f"{one:.2f}" for one in made.d_primes]
    lines.append(f"  told apart: d' {', '.join(told_apart)}")
    if made.next_points is None:
        lines.append(f"  no learning curve: {made.why_not}")
    else:
        ahead = made.next_points
        lines.append(f"  the learning curve leads to {ahead.value:.0f} ({ahead.low:.0f} to {ahead.high:.0f}) next time")
    return tuple(lines)
