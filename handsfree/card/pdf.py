"""A card and a phrase sheet as PDF: A5, black on white, large letters, nothing told by colour."""

from __future__ import annotations

from typing import Final, cast

from handsfree.card.content import (
    EXAMPLE,
    CardItem,
    CardZone,
    card_zones,
    control_words,
    first_ways,
    report_elsewhere,
    sayables,
)
from handsfree.checklist.models import Checklist
from handsfree.checklist.phrases import Phrasebook
from handsfree.errors import Mendable
from handsfree.paper import A5_MM, FAMILY, Sheet, given_up, new_paper, unknown_letters, with_letters
from handsfree.shown import harmless, shortened

ITEM_POINTS: Final = 12
SMALL_POINTS: Final = 9.5
"""Findings and notes; nothing but the last line of a page is smaller."""
_MARGIN: Final = 9.0
_PER_POINT: Final = 0.46
"""Millimetres of a line's height for each point of its letters."""
_BOX: Final = 3.6
"""Millimetres of the box to tick."""
_GUTTER: Final = 6.5
_DIGITS: Final = "Numbers digit by digit: 185 is one eight five. A decimal point is decimal. 9 may be niner."
_LETTERS: Final = "Letters in the ICAO alphabet: alfa, bravo, charlie. Findings are read back: affirm or negative."


def as_card(checklist: Checklist, phrasebook: Phrasebook, digest: str, *, phrases: bool = True) -> bytes:
    """The card, and behind it with ``phrases`` the sheet of what can be said.

    ``digest`` = SHA-256 of the checklist's file, so that a card can be told from an older one.  Raises Mendable where a
    library is not installed.
    """
    foot = (
        f"{checklist.id} {digest[:8]}. Memory aid: the aircraft's own manuals, local rules and licensed staff decide."
    )
    paper = new_paper(A5_MM, _MARGIN, foot)
    paper.set_title(f"{checklist.title}: card")
    writing = _Writing(paper)
    paper.add_page()
    writing.opening(checklist)
    for zone in card_zones(checklist, phrasebook):
        writing.zone(zone)
    if phrases:
        paper.add_page()
        writing.sheet(checklist, phrasebook)
    return bytes(paper.output())


class _Writing:
    """Writes on paper."""

    def __init__(self, paper: Sheet) -> None:
        self._paper = paper

    def opening(self, checklist: Checklist) -> None:
        """Title, and the cautions in a frame."""
        self._text(checklist.title, 17, bold=True)
        aircraft = checklist.aircraft
        self._text(f"{aircraft.type}, {aircraft.operator}", ITEM_POINTS)
        self._gap(1.5)
        top = self._paper.get_y()
        self._paper.set_y(top + 1.5)
        self._text("CAUTION", ITEM_POINTS, bold=True, indent=2.5)
        for caution in checklist.cautions:
            self._text(f"! {caution}", 11, indent=2.5)
        self._paper.set_line_width(0.8)
        self._paper.rect(_MARGIN, top, self._paper.w - 2 * _MARGIN, self._paper.get_y() - top + 1.5)
        self._gap(3.5)
        self._text(checklist.notice, SMALL_POINTS)
        if checklist.conditions:
            self._gap(1)
            self._text("Asked at the start, affirm or negative:", SMALL_POINTS, bold=True)
        for one in checklist.conditions:
            self._text(f"{one.id.replace('-', ' ')}: {one.ask}", SMALL_POINTS, indent=3)
        self._gap(1)
        self._text(
            "Box = look and say. Frame = ask somebody first. The words on the right are the answer to say.",
            SMALL_POINTS,
        )

    def zone(self, zone: CardZone) -> None:
        """White on a black bar, then its items."""
        self._room(32)
        self._gap(2)
        self._paper.set_fill_color(0, 0, 0)
        self._paper.set_text_color(255, 255, 255)
        self._paper.set_font(FAMILY, "B", 13)
        self._paper.cell(0, 7, self._safe(f" {zone.number}  {zone.name}"), fill=True, new_x="LMARGIN", new_y="NEXT")
        self._paper.set_text_color(0, 0, 0)
        self._gap(0.8)
        if zone.caution:
            self._text(f"! {zone.caution}", 11, bold=True)
        for item in zone.items:
            self._item(item)

    def _item(self, item: CardItem) -> None:
        self._room(self._height_of(item))
        self._gap(1)
        top = self._paper.get_y()
        if item.kind in ("hold", "undo"):
            self._paper.set_line_width(0.6)
            self._text(item.asks, ITEM_POINTS, bold=True, indent=_GUTTER)
            self._text(f"Answer: {item.answer}", ITEM_POINTS, indent=_GUTTER)
        else:
            self._paper.set_line_width(0.4)
            self._paper.rect(_MARGIN + 0.6, top + 0.9, _BOX, _BOX)
            self._two(item.prompt, item.answer)
        for line in _under(item):
            self._text(line, SMALL_POINTS, indent=_GUTTER)
        if item.kind in ("hold", "undo"):
            self._paper.rect(_MARGIN, top - 0.5, self._paper.w - 2 * _MARGIN, self._paper.get_y() - top + 1.5)
        self._gap(0.6)

    def _two(self, prompt: str, answer: str) -> None:
        """What is asked in bold, and what to say behind it, to the right margin where there is room."""
        width = self._paper.w - 2 * _MARGIN - _GUTTER
        self._paper.set_font(FAMILY, "B", ITEM_POINTS)
        left = self._paper.get_string_width(self._safe(prompt))
        self._paper.set_font(FAMILY, "", ITEM_POINTS)
        right = self._paper.get_string_width(self._safe(answer))
        if left + right + 4 > width:
            self._text(prompt, ITEM_POINTS, bold=True, indent=_GUTTER)
            self._text(answer, ITEM_POINTS, indent=_GUTTER, align="R")
            return
        top = self._paper.get_y()
        self._text(prompt, ITEM_POINTS, bold=True, indent=_GUTTER)
        end = self._paper.get_y()
        self._paper.set_y(top)
        self._text(answer, ITEM_POINTS, indent=_GUTTER, align="R")
        self._paper.set_y(max(end, self._paper.get_y()))

    def sheet(self, checklist: Checklist, phrasebook: Phrasebook) -> None:
        """What can be said, at any time and at each item."""
        self._text("What can be said", 17, bold=True)
        self._text(f"{checklist.title}. State what you see, not just checked.", ITEM_POINTS)
        self._gap(1)
        self._text("At any item", 13, bold=True)
        for ways in control_words(checklist, phrasebook):
            self._text(first_ways(ways), 11, indent=3)
        self._gap(1)
        example = report_elsewhere(checklist, phrasebook)
        elsewhere = f"Found elsewhere: say it at any time, with its place: {example}."
        for line in (_DIGITS, _LETTERS, elsewhere):
            self._text(line, 11)
        for one in sayables(checklist, phrasebook):
            self._room(20)
            self._gap(1.6)
            self._text(one.prompt, ITEM_POINTS, bold=True)
            if one.passes:
                self._text(f"+ {first_ways(one.passes)}", 11, indent=3)
            if one.numbers:
                self._text(f"+ a number: {one.numbers}", 11, indent=3)
            if one.findings:
                self._text("- " + "; ".join(first_ways(ways) for ways in one.findings), 11, indent=3)
            if one.which:
                self._text(f"which: {one.which}", SMALL_POINTS, indent=3)

    def _text(self, text: str, points: float, *, bold: bool = False, indent: float = 0, align: str = "L") -> None:
        self._paper.set_font(FAMILY, "B" if bold else "", points)
        self._paper.set_x(_MARGIN + indent)
        width = self._paper.w - 2 * _MARGIN - indent
        self._paper.multi_cell(width, points * _PER_POINT, self._safe(text), new_x="LMARGIN", new_y="NEXT", align=align)

    def _height_of(self, item: CardItem) -> float:
        """Millimetres at most, so that no item is torn apart."""
        first = (item.asks, f"Answer: {item.answer}") if item.asks else (item.prompt, item.answer)
        large = sum(self._lines(text, ITEM_POINTS) for text in first) * ITEM_POINTS
        small = sum(self._lines(text, SMALL_POINTS) for text in _under(item)) * SMALL_POINTS
        return (large + small) * _PER_POINT + 3

    def _lines(self, text: str, points: float) -> int:
        self._paper.set_font(FAMILY, "B", points)
        width = self._paper.w - 2 * _MARGIN - _GUTTER
        told = self._paper.multi_cell(width, 1, self._safe(text), dry_run=True, output="LINES")
        return len(cast("list[str]", told))

    def _safe(self, text: str) -> str:
        told = with_letters(self._paper, harmless(text))
        if unknown := unknown_letters(self._paper, told):  # a check that is not on the card is not made
            given_up(self._paper)
            raise Mendable(
                f"no font of this machine has the letters '{shortened(unknown)}' of this checklist",
                "install one that has them: on Debian fonts-nanum for Korean, fonts-noto-cjk for East Asia",
            )
        return told

    def _gap(self, millimetres: float) -> None:
        self._paper.set_y(self._paper.get_y() + millimetres)

    def _room(self, millimetres: float) -> None:
        if self._paper.will_page_break(millimetres):
            self._paper.add_page()


def _under(item: CardItem) -> list[str]:
    """What stands below an item in smaller letters."""
    lines = [f"Only if {item.only_if}."] if item.only_if else []
    lines += [f"Only after: {item.needs}."] if item.needs else []
    lines += [f"! {item.caution}"] if item.caution else []
    lines += [f"Numbers: {item.note}." if item.note == EXAMPLE else f"Numbers from: {item.note}."] if item.note else []
    lines += [f"Which: {item.which}."] if item.which else []
    lines += [f"Report: {', '.join(item.findings)}."] if item.findings else []
    return lines
