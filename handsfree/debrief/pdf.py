"""The debrief on paper: overview, findings, times and the timeline as PDF, without sounds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from handsfree.checklist.models import SEVERITIES
from handsfree.debrief.gathering import Debrief
from handsfree.debrief.happenings import capital, clock, decided
from handsfree.debrief.page_words import STANDINGS, TRUTHS, day_and_time
from handsfree.debrief.timeline import Answer, AnyRow, Happening, Prompt, Scene, Utterance, rows_of
from handsfree.paper import A4_MM, FAMILY, Sheet, new_paper, with_letters
from handsfree.shown import harmless

_INK, _SOFT, _LINE = (29, 34, 39), (84, 92, 102), (217, 214, 206)
_MARGIN: Final = 16.0
"""Millimetres."""
_TOGETHER: Final = 18.0
"""Millimetres that must be left under a heading."""
_PER_POINT: Final = 0.48
"""Millimetres of a line's height for each point of its letters."""


def as_pdf(walk: Debrief) -> bytes:
    """A whole file, A4.  Raises Mendable where a library is not installed."""
    return bytes(_Paper(walk).made().output())


class _Paper:
    """Writes one walk on paper."""

    def __init__(self, walk: Debrief) -> None:
        self._walk = walk
        about = f"{walk.summary.registration or 'aircraft not given'}, {day_and_time(walk.timeline.began)}"
        self._pdf = new_paper(A4_MM, _MARGIN, f"{about}. {walk.summary.refer}", _SOFT)
        self._pdf.set_title(f"Debrief: {walk.summary.registration}")
        self._pdf.set_creation_date(datetime.fromisoformat(walk.timeline.began))
        self._pdf.add_page()

    def made(self) -> Sheet:
        """All of it."""
        walk, summary = self._walk, self._walk.summary
        practised = bool(walk.opened and walk.opened.practice)
        self._text(walk.checklist.title, 10, _SOFT)
        self._text(f"Debrief: {summary.registration or 'aircraft not given'}", 20, bold=True)
        self._text(f"Walked by {summary.who or 'not given'}, {day_and_time(walk.timeline.began)}", 10, _SOFT)
        self._gap()
        self._text(summary.refer, 11, bold=True)
        if practised:
            self._text("Practice. No aircraft was inspected.", 11, bold=True)
        self._heading("Overview")
        for name, value in _facts(walk):
            self._pair(name, value)
        self._heading("Findings")
        for text in _findings(walk) or ("No finding was reported. That is what was said, not what is so.",):
            self._text(text, 10)
        self._names("Not answered", [walk.checklist.item(one).name for one in summary.not_answered])
        self._names("Said and asked again; a defect may be among it", [f"“{one.words}”" for one in summary.unclear])
        if walk.attempt is not None and walk.attempt.trials:
            self._heading("Scenes and answers")
            for text in _scenes(walk):
                self._text(text, 10)
        self._heading("Time by zone")
        for stop in walk.timeline.route:
            visits = f" ({stop.visits} visits)" if stop.visits > 1 else ""
            self._pair(f"{stop.order}. {stop.name}", f"{clock(stop.seconds)}{visits}")
        self._heading("Findings as sentences")
        if practised:
            self._text("Practice: nothing here belongs into a technical log.", 10)
        for entry in walk.entries:
            self._text(entry.sentence, 10)
        self._heading("Timeline")
        for stay in walk.timeline.stays:
            self._heading(f"{stay.name}   {clock(stay.seconds)}", 11)
            for row in stay.rows:
                self._row(row)
        return self._pdf

    def _row(self, row: AnyRow) -> None:
        if isinstance(row, Happening) and row.kind == "item":
            if self._pdf.will_page_break(_TOGETHER):
                self._pdf.add_page()
            self._text(row.text, 9, bold=True)
            return
        who, text = _told(row, self._walk.summary.who or "Inspector")
        self._pair(f"{clock(row.at.seconds)}  {who}", text, 9, 34)
        for one in row.follows if isinstance(row, Utterance) else ():
            self._pair("", f"→ {_told(one, '')[1]}", 9, 34)

    def _names(self, title: str, names: Sequence[str]) -> None:
        if names:
            self._text(f"{title}: {len(names)}", 10, bold=True)
            self._text("; ".join(names), 10)

    def _heading(self, text: str, size: float = 14) -> None:
        self._gap(1.5 if size < 14 else 4)  # noqa: PLR2004  # the size of a section's heading
        if self._pdf.will_page_break(_TOGETHER if size < 14 else 2 * _TOGETHER):  # noqa: PLR2004  # as above
            self._pdf.add_page()
        self._text(text, size, bold=True)
        self._pdf.set_draw_color(*_LINE)
        self._pdf.line(_MARGIN, self._pdf.get_y(), self._pdf.w - _MARGIN, self._pdf.get_y())
        self._gap(1)

    def _text(self, text: str, size: float, colour: tuple[int, int, int] = _INK, *, bold: bool = False) -> None:
        self._pdf.set_font(FAMILY, "B" if bold else "", size)
        self._pdf.set_text_color(*colour)
        self._pdf.multi_cell(
            0, size * _PER_POINT, with_letters(self._pdf, harmless(text)), new_x="LMARGIN", new_y="NEXT", align="L"
        )

    def _pair(self, name: str, text: str, size: float = 10, width: float = 45) -> None:
        """A name, and beside it a text that may take several lines."""
        height = size * _PER_POINT
        if self._pdf.will_page_break(height):
            self._pdf.add_page()
        self._pdf.set_font(FAMILY, "", size)
        self._pdf.set_text_color(*_SOFT)
        self._pdf.cell(width, height, with_letters(self._pdf, harmless(name)))
        self._pdf.set_text_color(*_INK)
        self._pdf.multi_cell(
            0, height, with_letters(self._pdf, harmless(text)), new_x="LMARGIN", new_y="NEXT", align="L"
        )

    def _gap(self, height: float = 2) -> None:
        self._pdf.ln(height)


def _facts(walk: Debrief) -> Iterator[tuple[str, str]]:
    summary = walk.summary
    yield "Inspector", summary.who or "not given"
    yield "Aircraft", f"{summary.registration or 'not given'}, {walk.checklist.aircraft.type}"
    yield "Took", clock(walk.timeline.seconds)
    yield "Outcome", summary.outcome
    yield "Passed", f"{summary.passed} items"
    decision = f"{decided(summary.decision)}, by {summary.decision_by}" if summary.decision else "none recorded"
    yield "Decision", decision
    yield "Record", walk.record.state + (f": {walk.record.why}" if walk.record.why else "")


def _findings(walk: Debrief) -> tuple[str, ...]:
    standing = [
        row
        for _, row in rows_of(walk.timeline)
        if isinstance(row, Answer) and row.kind == "finding" and row.standing == "stands"
    ]
    standing.sort(key=lambda row: SEVERITIES.index(row.severity or "major"))
    return tuple(f"{clock(row.at.seconds)}   {_told(row, '')[1]}" for row in standing)


def _scenes(walk: Debrief) -> Iterator[str]:
    names = {item.id: item.name for item in walk.checklist.items()}
    zones = {zone.id: zone.name for zone in walk.checklist.zones}
    for one in walk.attempt.trials if walk.attempt else ():
        place = capital(names[one.scene.item] if one.scene.item else zones[one.zone])
        said = f" “{one.words}”." if one.words else ""
        truth = f"In truth {TRUTHS[one.scene.truth]}: {one.scene.why}"
        yield f"{capital(one.outcome)}. {place}: {one.scene.see} {truth}{said}"


def _told(row: AnyRow, who: str) -> tuple[str, str]:
    """Who, and in a line what."""
    match row:
        case Prompt():
            told = ("Tool", row.text)
        case Utterance():
            why = f" ({row.why})" if row.why else ""
            told = (who, f"“{row.words}” {row.outcome}, {row.confidence:.0%} sure{why}")
        case Answer():
            what = f"{row.name}: {row.description}" if row.name else row.description
            parts = [f"{row.kind} {row.severity}: {what}" if row.severity else f"{row.kind}: {what}"]
            parts += [f"ATA {row.ata}"] if row.ata and row.kind == "finding" else []
            parts += ["confirmed" if row.confirmed else "not confirmed"] if row.kind == "finding" else []
            parts += [STANDINGS[row.standing]] if row.standing != "stands" else []
            parts += [row.outcome] if row.outcome else []
            told = ("", ", ".join(parts))
        case Scene():
            told = ("To be seen", f"{row.text} In truth: {TRUTHS[row.truth]}. {row.outcome or ''}".strip())
        case Happening():
            told = ("", row.text)
    return told
