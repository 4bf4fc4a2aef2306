"""The way on the ground: zones in an order in which one walks round an aircraft, where the file says where they are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from math import dist

from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.models import Zone
from handsfree.checklist.problems import Problem

MUCH_LONGER = 1.2
"""How many times longer than the way by nearest neighbours an order may be."""

Point = tuple[float, float]


def unwalkable_order(subject: Subject) -> Iterator[Problem]:
    """Warnings ``long-way`` and ``crossing-way``, with figures in metres."""
    zones = [(at, zone) for at, zone in enumerate(subject.checklist.zones) if zone.at is not None]
    points = [zone.at for _, zone in zones if zone.at is not None]
    if len(points) != len(subject.checklist.zones):
        return  # a gap in the positions says nothing about the order
    walked = way_length(points)
    nearest = nearest_neighbour_order(points)
    shorter = way_length([points[at] for at in nearest])
    if walked > MUCH_LONGER * shorter:
        names = ", ".join(subject.checklist.zones[at].id for at in nearest)
        message = (
            f"the zones in this order are a way of {walked:.0f} m; from zone to nearest zone it is {shorter:.0f} m"
        )
        yield Problem(message, ("zones",), code="long-way", hint=f"try: {names}", level="warning")
    legs = list(pairwise(range(len(points))))
    for one, other in combinations(legs, 2):
        if crosses(points[one[0]], points[one[1]], points[other[0]], points[other[1]]):
            yield _crossing(subject.checklist.zones, one, other)


def way_length(points: Sequence[Point]) -> float:
    """Metres along the points in order."""
    return sum(dist(here, there) for here, there in pairwise(points))


def nearest_neighbour_order(points: Sequence[Point]) -> list[int]:
    """Indexes from the first point to the nearest not yet visited, and so on; the last point stays the last."""
    if len(points) <= 2:  # noqa: PLR2004  # nothing between the two
        return list(range(len(points)))
    order, left = [0], set(range(1, len(points) - 1))
    while left:
        here = points[order[-1]]
        order.append(min(left, key=lambda at: (dist(here, points[at]), at)))
        left.remove(order[-1])
    return [*order, len(points) - 1]


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
