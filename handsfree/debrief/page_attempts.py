"""What practised walks were worth, side by side, and the curve that leads through one person's."""

from __future__ import annotations

from collections.abc import Sequence

from handsfree import charts
from handsfree.debrief.attempts import Attempts, Worth
from handsfree.debrief.page_words import column_names, grid
from handsfree.drill.estimate import Estimate
from handsfree.drill.score import FULL
from handsfree.markup import Markup, tag

_ABOUT_THE_CURVE = (
    "The curve is an exponential one, fitted to the points; its bars are 95 % intervals of the curve, not of a single "
    "attempt. Exercises differ: a hard one is worth fewer points."
)


def attempts_shown(made: Attempts | None) -> Sequence[Markup]:
    """A table, and for one person's attempts a picture; nothing where nothing was practised."""
    if made is None:
        return ()
    names = column_names(len(made.worths))
    numbers = frozenset(range(1, len(names) + 1))
    rows = ((what, *cells) for what, cells in _rows(made.worths))
    table = grid("What practice came to", ("", *names), rows, numbers=numbers)
    return (table, *_curve(made, names))


def _rows(worths: Sequence[Worth | None]) -> Sequence[tuple[str, Sequence[str]]]:
    def told(one: Worth | None) -> Sequence[str]:
        if one is None:
            return ("not scored", "", "", "", "")
        counts = one.counts
        return (
            str(one.points),
            f"{counts.hits} of {counts.hits + counts.misses}",
            f"{counts.false_alarms} of {counts.false_alarms + counts.correct_rejections}",
            _estimate(one.d_prime) if one.d_prime else "nothing to tell apart",
            str(one.helps),
        )

    cells = [told(one) for one in worths]
    names = (f"Points of {FULL}", "Defects reported", "Sound, and called wrong", "Told apart, d'", "Helps")
    return [(name, [one[at] for one in cells]) for at, name in enumerate(names)]


def _estimate(one: Estimate) -> str:
    return f"{one.value:.2f} ({one.low:.2f} to {one.high:.2f})"


def _curve(made: Attempts, names: Sequence[str]) -> Sequence[Markup]:
    if made.learning is None:
        return ()
    if made.learning.curve is None:
        return (tag("p", f"No learning curve: {made.learning.why_not}."),)
    points = [worth.points for at in made.order if (worth := made.worths[at])]
    reached = tuple((at, Estimate(one, one, one)) for at, one in enumerate(points, start=1))
    expected = made.expected()
    series = (charts.Series("points", reached), charts.Series("curve", tuple(enumerate(expected, start=1))))
    drawn = charts.lines(f"Points of {len(points)} attempts, and the curve through them", "points", series)
    rows = (
        (str(at), names[walk], str(point), _whole(there))
        for at, (walk, point, there) in enumerate(zip(made.order, points, expected, strict=False), start=1)
    )
    coming = (str(len(points) + 1), "the next", "", _whole(expected[-1]))
    table = grid(
        "Points by attempt", ("Attempt", "Walk", "Points", "Curve"), (*rows, coming), numbers=frozenset({2, 3})
    )
    return (tag("figure", drawn, tag("figcaption", _ABOUT_THE_CURVE)), table)


def _whole(one: Estimate) -> str:
    return f"{one.value:.0f} ({one.low:.0f} to {one.high:.0f})"
