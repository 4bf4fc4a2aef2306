"""The way round the aircraft as a drawing: a plain outline from above, made of simple shapes, and numbered spots."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from handsfree.debrief.happenings import clock
from handsfree.debrief.timeline import Stop
from handsfree.markup import Markup, joined, tag

_WIDTH = 520.0
"""Of the drawing, in units of its own; the aircraft's nose is on top."""
_MARGIN = 44.0
_TALLEST = 1.25
"""Height over width at most: what is longer is squeezed."""
_SMALLEST, _LARGEST = 13.0, 19.0
"""Radius of a spot: the square of it grows with the time spent."""
_APART = 50.0
"""Spots keep so far from each other that each has room for its time."""
_ROUNDS = 60
_MOST_SPOTS = 60
"""More could not be told apart."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Frame:
    """From metres to the drawing."""

    left: float
    front: float
    scale: float
    squeeze: float
    height: float

    def at(self, metres: Point) -> Point:
        """Where a place of the aircraft is drawn."""
        x, y = metres
        return _MARGIN + (x - self.left) * self.scale, _MARGIN + (self.front - y) * self.scale * self.squeeze


def route_plan(stops: Sequence[Stop], path: Sequence[str], *, title: str) -> Markup | None:
    """The route as SVG; None where fewer than two zones have a position of their own, or too many have.

    A drawing of no particular aircraft: its length and its width are those of the zones.
    """
    placed = {stop.zone: stop.at for stop in stops if stop.at is not None}
    if len(set(placed.values())) < 2 or len(placed) > _MOST_SPOTS:  # noqa: PLR2004  # there is no way from one place
        return None
    frame = _frame(list(placed.values()))
    spots = _kept_apart({zone: frame.at(at) for zone, at in placed.items()})
    most = max(stop.seconds for stop in stops) or 1.0
    radii = {stop.zone: math.sqrt(_SMALLEST**2 + (_LARGEST**2 - _SMALLEST**2) * stop.seconds / most) for stop in stops}
    height = frame.height + 2 * _MARGIN
    walked = [zone for zone in path if zone in spots]
    told = ", then ".join(f"{stop.name} {clock(stop.seconds)}" for stop in stops if stop.zone in spots)
    return tag(
        "svg",
        tag("title", title, id="plan-title"),
        tag("desc", f"In the order walked: {told}. Not to scale.", id="plan-desc"),
        tag("g", *_outline(list(placed.values()), frame), class_="craft"),
        tag("g", *_legs(walked, spots, radii), class_="legs"),
        tag("g", *(_spot(stop, spots[stop.zone], radii[stop.zone]) for stop in stops if stop.zone in spots)),
        viewBox=f"0 0 {_WIDTH:.0f} {height:.0f}",
        role="img",
        class_="plan",
        aria_labelledby="plan-title plan-desc",
    )


def _frame(places: Sequence[Point]) -> _Frame:
    xs, ys = [x for x, _ in places], [y for _, y in places]
    middle, half = 0.0, max(abs(x) for x in xs) or 1.0
    length = max(ys) - min(ys)
    scale = (_WIDTH - 2 * _MARGIN) / (2 * half)
    tall = length * scale
    squeeze = min(1.0, _TALLEST * _WIDTH / tall) if tall else 1.0
    return _Frame(middle - half, max(ys), scale, squeeze, tall * squeeze)


def _outline(places: Sequence[Point], frame: _Frame) -> Iterator[Markup]:
    """Body, wings, tailplane and fin; wings where the zones reach farthest out."""
    ys = [y for _, y in places]
    front, rear = max(ys), min(ys)
    long, half = front - rear or 1.0, max(abs(x) for x, _ in places) or 1.0
    wing = next(y for x, y in places if abs(x) == half)
    body = 0.085 * max(long, half)

    def path(*points: Point) -> str:
        return " ".join(f"{x:.1f},{y:.1f}" for x, y in map(frame.at, points))

    for side in (-1.0, 1.0):
        tip, chord = side * half * 1.02, 0.17 * long
        yield tag("polygon", points=path((side * body * 0.5, wing + chord * 0.9), (tip, wing + chord * 0.25),
            (tip, wing - chord * 0.25), (side * body * 0.5, wing - chord * 0.6)))  # fmt: skip
        stab, root = side * half * 0.36, rear + 0.11 * long
        yield tag("polygon", points=path((side * body * 0.2, root), (stab, root - 0.055 * long),
            (stab, root - 0.095 * long), (side * body * 0.2, root - 0.09 * long)))  # fmt: skip
    nose, tail = frame.at((0.0, front)), frame.at((0.0, rear))
    width = body * frame.scale
    shoulder, waist = nose[1] + 0.16 * (tail[1] - nose[1]), nose[1] + 0.62 * (tail[1] - nose[1])
    middle = nose[0]
    yield tag("path", d=(
        f"M {middle:.1f} {nose[1]:.1f} "
        f"C {middle + width * 0.7:.1f} {nose[1]:.1f} {middle + width:.1f} {shoulder - width * 0.6:.1f} "
        f"{middle + width:.1f} {shoulder:.1f} "
        f"L {middle + width:.1f} {waist:.1f} Q {middle + width:.1f} {tail[1] - width:.1f} {middle:.1f} {tail[1]:.1f} "
        f"Q {middle - width:.1f} {tail[1] - width:.1f} {middle - width:.1f} {waist:.1f} "
        f"L {middle - width:.1f} {shoulder:.1f} "
        f"C {middle - width:.1f} {shoulder - width * 0.6:.1f} {middle - width * 0.7:.1f} {nose[1]:.1f} "
        f"{middle:.1f} {nose[1]:.1f} Z"
    ))  # fmt: skip
    fin = frame.at((0.0, rear + 0.17 * long))
    yield tag("line", x1=f"{middle:.1f}", y1=f"{fin[1]:.1f}", x2=f"{middle:.1f}", y2=f"{tail[1] - 6:.1f}")


def _kept_apart(spots: Mapping[str, Point]) -> dict[str, Point]:
    """Spots that are too close push each other away, along the line between them, each on its side of the aircraft."""
    at = {zone: [x, y] for zone, (x, y) in spots.items()}
    names = list(at)
    middle = _WIDTH / 2
    for _ in range(_ROUNDS):
        moved = False
        for index, one in enumerate(names):
            for other in names[index + 1 :]:
                dx, dy = at[other][0] - at[one][0], at[other][1] - at[one][1]
                distance = math.hypot(dx, dy)
                if distance >= _APART:
                    continue
                moved = True
                if not distance:
                    dx, dy, distance = 0.0, 1.0, 1.0
                push = (_APART - math.hypot(dx, dy) + 0.5) / 2 / distance
                at[one][0] -= dx * push
                at[one][1] -= dy * push
                at[other][0] += dx * push
                at[other][1] += dy * push
        if not moved:
            break
        for zone, (x, _) in spots.items():
            if x < middle:
                at[zone][0] = min(at[zone][0], middle - _SMALLEST)
            elif x > middle:
                at[zone][0] = max(at[zone][0], middle + _SMALLEST)
    return {zone: (x, y) for zone, (x, y) in at.items()}


def _legs(walked: Sequence[str], spots: Mapping[str, Point], radii: Mapping[str, float]) -> Iterator[Markup]:
    """A line with an arrow from each spot to the next."""
    for one, other in pairwise(walked):
        (x1, y1), (x2, y2) = spots[one], spots[other]
        distance = math.hypot(x2 - x1, y2 - y1)
        if distance <= radii[one] + radii[other]:
            continue
        ux, uy = (x2 - x1) / distance, (y2 - y1) / distance
        x1, y1 = x1 + ux * (radii[one] + 2), y1 + uy * (radii[one] + 2)
        x2, y2 = x2 - ux * (radii[other] + 4), y2 - uy * (radii[other] + 4)
        yield tag("line", x1=f"{x1:.1f}", y1=f"{y1:.1f}", x2=f"{x2:.1f}", y2=f"{y2:.1f}")
        tip, left, right = (x2, y2), (x2 - 8 * ux - 4 * uy, y2 - 8 * uy + 4 * ux), \
            (x2 - 8 * ux + 4 * uy, y2 - 8 * uy - 4 * ux)  # fmt: skip
        yield tag("polygon", points=" ".join(f"{x:.1f},{y:.1f}" for x, y in (tip, left, right)))


def _spot(stop: Stop, at: Point, radius: float) -> Markup:
    x, y = at
    return tag(
        "g",
        tag("title", f"{stop.order}. {stop.name}, {clock(stop.seconds)}"),
        tag("circle", cx=f"{x:.1f}", cy=f"{y:.1f}", r=f"{radius:.1f}"),
        tag("text", str(stop.order), x=f"{x:.1f}", y=f"{y + 5:.1f}", class_="order"),
        joined([tag("text", clock(stop.seconds), x=f"{x:.1f}", y=f"{y + radius + 14:.1f}", class_="spent")]),
        class_="spot",
    )
