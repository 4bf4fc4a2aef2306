"""Words and small signs that the page uses in several places.  Colour is never alone: each sign has its word."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Final

from handsfree.checklist.models import Severity
from handsfree.debrief.happenings import clock, whole_seconds
from handsfree.debrief.timeline import Mark, Standing
from handsfree.drill.attempt import Outcome
from handsfree.drill.exercise import Truth
from handsfree.markup import Markup, joined, tag

_SEVERITY_SIGNS: Final[Mapping[Severity, str]] = {"critical": "▲", "major": "◆", "minor": "●"}
_OUTCOME_SIGNS: Final[Mapping[Outcome, tuple[str, str]]] = {
    "hit": ("✓", "good"),
    "right": ("✓", "good"),
    "miss": ("✗", "critical"),
    "false alarm": ("!", "major"),
    "omitted": ("○", "major"),
}
OUTCOMES: Final[Mapping[Outcome, str]] = {
    "hit": "a defect that was reported",
    "miss": "a defect that was passed",
    "false alarm": "no defect, and reported as one",
    "right": "no defect, and passed",
    "omitted": "not decided",
}
TRUTHS: Final[Mapping[Truth, str]] = {"sound": "sound", "odd": "odd, and harmless", "defect": "a defect"}
STANDINGS: Final[Mapping[Standing, str]] = {
    "stands": "",
    "replaced": "replaced later",
    "withdrawn": "withdrawn later",
    "repeat": "to be answered again",
}
MARK_NAMES: Final[Mapping[Mark, str]] = {
    "finding": "Findings",
    "asked again": "Asked again",
    "interruption": "Interruptions",
    "help": "Helps",
    "miss": "Misses",
    "false alarm": "False alarms",
}


def badge(sign: str, word: str, kind: str) -> Markup:
    """A sign and its word."""
    return tag("span", tag("span", sign, aria_hidden="true"), f" {word}", class_=f"badge {kind}")


def severity_badge(severity: Severity) -> Markup:
    """How grave a finding is."""
    return badge(_SEVERITY_SIGNS[severity], severity, severity)


def outcome_badge(outcome: Outcome) -> Markup:
    """What a scene came to."""
    sign, kind = _OUTCOME_SIGNS[outcome]
    return badge(sign, outcome, kind)


def event_link(event: int | None, text: str) -> Markup:
    """A way to an event in the timeline; plain text where there is none."""
    return tag("span", text) if event is None else tag("a", text, href=f"#e{event}")


def minute(time: str) -> str:
    """RFC 3339 to the minute: ``2026-11-26 18:16 UTC``; what is no such time as it is."""
    try:
        return f"{datetime.fromisoformat(time).astimezone(UTC):%Y-%m-%d %H:%M} UTC"
    except (ValueError, OverflowError):
        return time


def day_and_time(time: str) -> str:
    """RFC 3339 in words: ``26 November 2026, 18:16 UTC``."""
    at = datetime.fromisoformat(time)
    return f"{at.day} {_MONTHS[at.month - 1]} {at.year}, {at:%H:%M} UTC"


_MUCH_TEXT: Final = 3
"""Columns of text from which on a table does not fit a telephone."""
_MONTHS: Final = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December")  # fmt: skip


def duration(seconds: float) -> Markup:
    """Minutes and seconds, said in words to who cannot see them."""
    whole = whole_seconds(seconds)
    words = f"{whole // 60} minutes {whole % 60} seconds" if whole >= 60 else f"{whole} seconds"  # noqa: PLR2004
    spoken = tag("span", words, class_="unseen")
    return joined([tag("span", clock(seconds), aria_hidden="true", class_="clock"), spoken])


def slug(mark: Mark) -> str:
    """A mark as one word."""
    return mark.replace(" ", "-")


def grid(caption: str, heading: Sequence[str], rows: Iterable[Sequence[str]], *, numbers: frozenset[int]) -> Markup:
    """A table with a caption; its first column heads each row, the columns in ``numbers`` hold numbers.

    One with much text becomes a stack of cards where it is narrow; the roles keep it a table for who hears it.
    """
    stacked = {"class_": "stacked"} if len(heading) - len(numbers) >= _MUCH_TEXT else {}

    def number(at: int) -> dict[str, str]:
        return {"class_": "number"} if at in numbers else {}

    def cell(at: int, content: str) -> Markup:
        if not at:
            return tag("th", content, scope="row", role="rowheader", **number(at))
        inner = tag("span", content) if stacked else content
        return tag("td", inner, role="cell", data_label=heading[at], **number(at))

    head = [tag("th", one, scope="col", role="columnheader", **number(at)) for at, one in enumerate(heading)]
    body = [tag("tr", *(cell(at, content) for at, content in enumerate(row)), role="row") for row in rows]
    shown = tag(
        "table",
        tag("caption", caption),
        tag("thead", tag("tr", *head, role="row"), role="rowgroup"),
        tag("tbody", *body, role="rowgroup"),
        role="table",
        **stacked,
    )
    return tag("div", shown, class_="wide", data_label=caption)


def column_names(walks: int) -> list[str]:
    """Of walks side by side: ``This walk``, ``B``, ``C`` …; beyond the alphabet numbers."""
    return ["This walk", *(chr(ord("A") + at) if at < 26 else str(at + 1) for at in range(1, walks))]  # noqa: PLR2004
