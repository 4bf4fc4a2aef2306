"""Small pictures as SVG, whose colours are the page's; nothing in them is told by colour alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10
from pathlib import Path
from typing import Final

from handsfree.drill.estimate import Estimate
from handsfree.markup import Markup, joined, tag
from handsfree.shown import shortened

STYLE: Final = Markup((Path(__file__).parent / "charts.css").read_text(encoding="utf-8"))
"""For the page that holds them, which has the colours ``--ink`` and ``--line``."""
_WIDTH: Final = 720
_ROW: Final = 24
_NAMES: Final = 250
_LONGEST_NAME: Final = 34
"""Characters that fit beside a row."""
_MOST_LINES: Final = 10
_HEIGHT, _LEFT, _RIGHT, _TOP, _BOTTOM = 300, 56, 12, 30, 46
_MARKS: Final = ("circle", "square", "diamond", "triangle")
"""Each series has a mark and a dash of its own."""


@dataclass(frozen=True, slots=True)
class Series:
    """One line of a picture."""

    name: str
    points: tuple[tuple[int, Estimate], ...]
    """By attempt, 1 = the first."""


def intervals(name: str, rows: Sequence[tuple[str, Estimate]]) -> Markup:
    """Shares (0 to 1) one below the other, each with its interval."""
    height = _ROW * len(rows) + 44
    span = _WIDTH - _NAMES - _RIGHT - 60

    def across(value: float) -> float:
        return _NAMES + span * value

    parts = [
        _line(across(tick), 8, across(tick), height - 30, "grid") for tick in (0.0, 0.25, 0.5, 0.75, 1.0)
    ] + [
        _text(across(tick), height - 12, f"{tick:.0%}", "middle") for tick in (0.0, 0.25, 0.5, 0.75, 1.0)
    ]  # fmt: skip
    for number, (label, share) in enumerate(rows):
        y = 20 + _ROW * number
        parts += [
            _text(_NAMES - 10, y + 4, shortened(label, _LONGEST_NAME), "end"),
            _line(across(share.low), y, across(share.high), y, "interval series1"),
            _mark("circle", across(share.value), y, 1),
            _text(_WIDTH - _RIGHT, y + 4, f"{share.value:.0%}", "end"),
        ]
    return _picture(name, height, parts)


def lines(name: str, label: str, series: Sequence[Series], *, percent: bool = False) -> Markup:
    """Values against the number of the attempt, each with its interval."""
    points = [point for one in series for point in one.points]
    last = max((at for at, _ in points), default=1)
    low, high = (0.0, 1.0) if percent else _range([one for _, one in points])
    step = max(1, ceil(last / 12))

    def across(at: float) -> float:
        return _LEFT + (_WIDTH - _LEFT - _RIGHT) * (at - 0.5) / last

    def up(value: float) -> float:
        return _HEIGHT - _BOTTOM - (_HEIGHT - _TOP - _BOTTOM) * (value - low) / (high - low)

    parts: list[Markup] = []
    for value in (0.0, 0.25, 0.5, 0.75, 1.0) if percent else range(round(low), round(high) + 1, _between(high - low)):
        parts += [
            _line(_LEFT, up(value), _WIDTH - _RIGHT, up(value), "grid"),
            _text(_LEFT - 8, up(value) + 4, f"{value:.0%}" if percent else str(value), "end"),
        ]
    parts += [_text(across(at), _HEIGHT - _BOTTOM + 18, str(at), "middle") for at in range(1, last + 1, step)]
    parts += [_text(_LEFT, 14, label, "start"), _text(_WIDTH - _RIGHT, _HEIGHT - 8, "attempt", "end")]
    for number, one in enumerate(series, start=1):
        aside = 5 * (number - (len(series) + 1) / 2)  # so that intervals can be told apart
        parts += _series(number, [(across(at) + aside, up(of.value), up(of.low), up(of.high)) for at, of in one.points])
    parts += _legend(series)
    return _picture(name, _HEIGHT, parts)


def _series(number: int, points: Sequence[tuple[float, float, float, float]]) -> Iterator[Markup]:
    colour = f"series{(number - 1) % len(_MARKS) + 1}"
    way = " ".join(f"{x:.1f},{y:.1f}" for x, y, _, _ in points)
    yield tag("polyline", points=way, class_=f"way {colour} dash{(number - 1) % len(_MARKS) + 1}")
    for x, y, least, most in points:
        yield _line(x, least, x, most, f"interval {colour}")
        yield _mark(_MARKS[(number - 1) % len(_MARKS)], x, y, (number - 1) % len(_MARKS) + 1)


def _legend(series: Sequence[Series]) -> Iterator[Markup]:
    for number, one in enumerate(series):
        x = _WIDTH - _RIGHT - 170 * (len(series) - number)
        yield _mark(_MARKS[number % len(_MARKS)], x, 10, number % len(_MARKS) + 1)
        yield _text(x + 12, 14, shortened(one.name, 22), "start")


def _range(values: Sequence[Estimate]) -> tuple[float, float]:
    """Whole numbers around all of it, 0 among them."""
    low, high = min((one.low for one in values), default=0.0), max((one.high for one in values), default=1.0)
    return min(0.0, float(floor(low))), max(1.0, float(ceil(high)))


def _between(span: float) -> int:
    """Whole numbers from one line of the grid to the next: 1, 2 or 5 times a power of ten, for ten lines at most."""
    power = 10 ** max(0, floor(log10(span / _MOST_LINES)))
    return next(times * power for times in (1, 2, 5, 10) if times * power * _MOST_LINES >= span)


def _mark(kind: str, x: float, y: float, colour: int) -> Markup:
    shapes = {"square": ((-4, -4), (4, -4), (4, 4), (-4, 4)), "diamond": ((0, -6), (6, 0), (0, 6), (-6, 0)),
              "triangle": ((0, -6), (6, 5), (-6, 5))}  # fmt: skip
    if kind == "circle":
        return tag("circle", cx=f"{x:.1f}", cy=f"{y:.1f}", r="4.5", class_=f"mark series{colour}")
    corners = " ".join(f"{x + right:.1f},{y + down:.1f}" for right, down in shapes[kind])
    return tag("polygon", points=corners, class_=f"mark series{colour}")


def _line(x1: float, y1: float, x2: float, y2: float, kind: str) -> Markup:
    return tag("line", x1=f"{x1:.1f}", y1=f"{y1:.1f}", x2=f"{x2:.1f}", y2=f"{y2:.1f}", class_=kind)


def _text(x: float, y: float, text: str, anchor: str) -> Markup:
    return tag("text", text, x=f"{x:.1f}", y=f"{y:.1f}", text_anchor=anchor)


def _picture(name: str, height: int, parts: Sequence[Markup]) -> Markup:
    return tag("svg", tag("title", name), joined(parts), viewBox=f"0 0 {_WIDTH} {height}", role="img", class_="chart")
