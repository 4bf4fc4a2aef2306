"""The way on the ground: zones in an order in which one walks round an aircraft, where the file says where they are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from importlib import import_module
from importlib.util import find_spec
from itertools import combinations, pairwise
from math import dist
from typing import Any

from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.models import Zone
from handsfree.checklist.problems import Problem

MOST_ZONES = 30
"""With more, the shortest way would take too long to find."""

Point = tuple[float, float]


def crossing_ways(subject: Subject) -> Iterator[Problem]:
    """Warning ``crossing-way``."""
    zones, points = _placed(subject)
    for one, other in combinations(list(pairwise(range(len(points)))), 2):
        if crosses(points[one[0]], points[one[1]], points[other[0]], points[other[1]]):
            yield _crossing(zones, one, other)


def longer_ways(subject: Subject) -> Iterator[Problem]:
    """Note ``long-way``, with figures in metres: the file's order against the shortest between its two ends.

    Nothing where the solver (the extra ``authoring``) is not installed.
    """
    if find_spec("scipy") is None:
        return
    zones, points = _placed(subject)
    if not 3 < len(points) <= MOST_ZONES:  # noqa: PLR2004  # with fewer there is one way only
        return
    walked = way_length(points)
    best = shortest_order(points)
    shortest = way_length([points[at] for at in best])
    if walked > shortest + 1:
        names = ", ".join(zones[at].id for at in best)
        message = f"the zones in this order are a way of {walked:.0f} m; the shortest is {shortest:.0f} m"
        hint = f"{names}; to see all of it in a good order matters more"
        yield Problem(message, ("zones",), code="long-way", hint=hint, level="note")


def _placed(subject: Subject) -> tuple[Sequence[Zone], list[Point]]:
    """The zones with their places; none where one has no place: a gap says nothing about the order."""
    zones = subject.checklist.zones
    points = [zone.at for zone in zones if zone.at is not None]
    return (zones, points) if len(points) == len(zones) else ((), [])


def way_length(points: Sequence[Point]) -> float:
    """Metres along the points in order."""
    return sum(dist(here, there) for here, there in pairwise(points))


def shortest_order(points: Sequence[Point]) -> list[int]:
    """Indexes on the shortest way from the first point through all others to the last, by a mixed-integer solver.

    Each step from one point to another is a variable that is 0 or 1; each point is left once and come to once, and
    ranks that rise along the way forbid circles (Miller, Tucker and Zemlin 1960).
    """
    import numpy as np  # noqa: PLC0415  # an extra, and slow to load

    optimize: Any = import_module("scipy.optimize")  # without types

    count = len(points)
    steps = [(one, other) for one in range(count - 1) for other in range(1, count) if one != other]
    width = len(steps) + count
    lengths = np.array([dist(points[one], points[other]) for one, other in steps] + [0.0] * count)
    rows, low, high = [], [], []
    for point in range(count):
        for end, spared in ((0, count - 1), (1, 0)):
            if point != spared:
                row = np.zeros(width)
                row[[at for at, step in enumerate(steps) if step[end] == point]] = 1
                rows, low, high = [*rows, row], [*low, 1.0], [*high, 1.0]
    for at, (one, other) in enumerate(steps):
        row = np.zeros(width)
        row[at], row[len(steps) + one], row[len(steps) + other] = count, 1, -1
        rows, low, high = [*rows, row], [*low, -np.inf], [*high, count - 1.0]
    found = optimize.milp(
        lengths,
        integrality=np.array([1] * len(steps) + [0] * count),
        bounds=optimize.Bounds(np.zeros(width), np.array([1.0] * len(steps) + [float(count)] * count)),
        constraints=optimize.LinearConstraint(np.array(rows), low, high),
    )
    onward = {step[0]: step[1] for step, taken in zip(steps, found.x, strict=False) if taken > 0.5}  # noqa: PLR2004
    order = [0]
    while order[-1] in onward:
        order.append(onward[order[-1]])
    return order


def crosses(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether the inside of the leg a to b and that of the leg c to d meet in one point."""
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(a: Point, b: Point, point: Point) -> float:
    """Positive to the left of the line from a to b, negative to the right."""
    return (b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0])


def _crossing(zones: Sequence[Zone], one: tuple[int, int], other: tuple[int, int]) -> Problem:
    first, second = (f"from '{zones[start].id}' to '{zones[end].id}'" for start, end in (one, other))
    message = f"the way {first} is crossed by the way {second}"
    hint = "a way that crosses itself passes under or through the aircraft"
    return Problem(message, ("zones", other[0]), code="crossing-way", hint=hint, level="warning")
