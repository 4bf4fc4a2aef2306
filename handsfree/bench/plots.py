"""The figures as pictures: SVG whose colours follow the page.  The only module that imports matplotlib."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Sequence
from typing import Any

import matplotlib as mpl
from matplotlib.figure import Figure as Canvas

from handsfree.bench.figures import BIN_MS, FIRST_BIN_MS, Figures, Share
from handsfree.bench.plan import MAIN_NOISES
from handsfree.bench.report import Report
from handsfree.markup import Markup
from handsfree.shown import harmless

_INK = "#010101"
_SERIES = ("#020202", "#030303", "#040404", "#050505")
_COLOURS = {_INK: "var(--ink)", **{colour: f"var(--series{number})" for number, colour in enumerate(_SERIES, 1)}}
"""Colours that nobody would use stand for those of the page, which has others by night and on paper."""
_MARKS = "osD^"
_DASHES = ("-", "--", ":", "-.")
"""Each series has a mark and a dash of its own: nothing is told by colour alone."""
_SIZE = (7.2, 3.4)  # inches
_LEGEND: dict[str, Any] = {"frameon": False, "fontsize": 9}


def accuracy(report: Report) -> Markup:
    """Right at first against the level of the noise: the mean, and each noise alone."""
    return _against_noise(report, "accuracy", "right at first, %", lambda one: one.right)


def false_passes(report: Report) -> Markup:
    """False passes against the level of the noise: the mean, and each noise alone."""
    return _against_noise(report, "false", "false passes, % of defects", lambda one: one.false_pass)


def decision_times(report: Report) -> Markup:
    """How long after the end of speech the answers were decided."""

    def draw(axes: Any) -> None:
        for number, (name, counts) in enumerate(report.times.items()):
            whole = max(1, sum(counts))
            edges = [(FIRST_BIN_MS + BIN_MS * index) / 1000 for index in range(len(counts) + 1)]
            axes.stairs(
                [100 * count / whole for count in counts],
                edges, color=_SERIES[number], linestyle=_DASHES[number], linewidth=1.8, label=f"{name} ({whole})",
            )  # fmt: skip
        axes.axvline(0, color=_INK, linewidth=0.8)
        axes.set_xlabel("seconds from the true end of speech to the decision")
        axes.set_ylabel("% of answers")
        axes.legend(**_LEGEND)

    return _svg("times", draw)


def comparison(report: Report) -> Markup:
    """Right at first against the level of the noise, by whoever listened."""

    def draw(axes: Any) -> None:
        for number, one in enumerate(report.others):
            _line(axes, number, harmless(one.name), [of.name for of in one.columns], [of.right for of in one.columns])
        _label(axes, report, "right at first, %")

    return _svg("comparison", draw)


def _against_noise(report: Report, name: str, label: str, share: Callable[[Figures], Share]) -> Markup:
    def draw(axes: Any) -> None:
        _line(axes, 0, "mean", [column.name for column in report.columns], list(map(share, report.columns)))
        for number, noise in enumerate(MAIN_NOISES, 1):
            alone = {line.name: line for line in report.lines}
            levels = [column.name for column in report.columns if f"{noise} {column.name}" in alone]
            _line(axes, number, noise, levels, [share(alone[f"{noise} {level}"]) for level in levels])
        _label(axes, report, label)

    return _svg(name, draw)


def _line(axes: Any, number: int, name: str, levels: Sequence[str], shares: Sequence[Share]) -> None:
    """One series; the marks of several stand side by side, so that their intervals can be told apart."""
    order = {level: index for index, level in enumerate(dict.fromkeys(("clean", *levels)))}
    index = number % len(_SERIES)
    axes.errorbar(
        [order[level] + 0.07 * (number - 1.5) for level in levels],
        [100 * one.share for one in shares],
        yerr=[
            [max(0.0, 100 * (one.share - one.low)) for one in shares],
            [max(0.0, 100 * (one.high - one.share)) for one in shares],
        ],
        color=_SERIES[index], marker=_MARKS[index], linestyle=_DASHES[index], label=name,
        linewidth=2.2 if number == 0 else 1.2, markersize=5, capsize=3,
    )  # fmt: skip


def _label(axes: Any, report: Report, label: str) -> None:
    axes.set_xticks(range(len(report.columns)), [column.name for column in report.columns])
    axes.set_xlabel("speech over noise; bars are intervals of 95 % confidence")
    axes.set_ylabel(label)
    axes.legend(**_LEGEND)


def _svg(name: str, draw: Callable[[Any], None]) -> Markup:
    """A picture as an SVG element without fixed colours; the same figures always give the same text."""
    library: Any = mpl  # its types are incomplete
    ink = dict.fromkeys(("text.color", "axes.edgecolor", "axes.labelcolor", "xtick.color", "ytick.color"), _INK)
    settings = {"svg.fonttype": "none", "svg.hashsalt": name, "axes.spines.top": False, "axes.spines.right": False,
                "text.parse_math": False}  # fmt: skip  # a name is no formula
    with library.rc_context({**settings, **ink}):
        canvas: Any = Canvas(figsize=_SIZE, layout="constrained")
        axes = canvas.subplots()
        axes.grid(axis="y", color=_INK, alpha=0.15)
        draw(axes)
        file = io.StringIO()
        canvas.savefig(file, format="svg", transparent=True, metadata={"Date": None})
    text = file.getvalue()
    for colour, variable in _COLOURS.items():
        text = text.replace(colour, variable)
    # Several pictures on one page must not share an id.
    text = re.sub(r'(\bid="|url\(#|href="#)', rf"\g<1>{name}-", text[text.index("<svg") :])
    return Markup(re.sub(r'<svg [^>]*?(viewBox="[^"]*")[^>]*>', r'<svg \1 aria-hidden="true">', text, count=1))
