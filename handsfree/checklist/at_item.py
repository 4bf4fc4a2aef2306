"""What may be said at an item of its own: passes, findings with positions, states, numbers, and everyday defects."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from handsfree.checklist.compose import Pattern, Patterns, either, examples, maybe_one, one_after_the_other
from handsfree.checklist.models import Item, Pass
from handsfree.checklist.positions import Spots, spots
from handsfree.checklist.said import Said
from handsfree.language.jsgf_tree import Tagged, Token
from handsfree.language.plural import singular
from handsfree.language.tongue import ENGLISH
from handsfree.language.vocabulary import Entry, Kind, NumberEntry

Slots = tuple[tuple[str, str], ...]

CHECKED_RANK = -1
"""Where a bare "checked" is enough it is a pass, before it is the control word that answers nothing."""
OWN_RANK = 0
GENERAL_RANK = 1
"""An item's own words shadow the everyday ones."""
BEFORE_RANK = 3
"""A second thought about the item answered just before: only words that mean nothing here."""

_NEVER_GOOD = ("<findings.damage>", "<findings.something_wrong>")
"""Everyday defects that no indicator declares good; "missing" or "open" may be the good state of one."""


def own(item: Item, patterns: Patterns) -> Said:
    """The item's own responses, findings, states and numbers.  Raises GrammarError."""
    return Said(tuple(_AtItem(item, patterns).own()), tuple(_numbers(item, patterns)))


def general(item: Item, patterns: Patterns) -> Said:
    """Everyday defects at an item, with its positions.  Raises GrammarError."""
    return Said(tuple(_AtItem(item, patterns).general()))


def second_thoughts(item: Item, patterns: Patterns) -> Said:
    """The defects of an item that was just answered, while the next one is asked.  Raises GrammarError."""
    entries = _AtItem(item, patterns).own()
    return Said(
        tuple(replace(entry, rank=BEFORE_RANK, kind="before") for entry in entries if entry.outcome == "finding")
    )


class _AtItem:
    """The entries of one item."""

    def __init__(self, item: Item, patterns: Patterns) -> None:
        self._item = item
        self._patterns = patterns
        self._here: Slots = (("item", item.id),)
        self._where = spots(item, patterns)

    def own(self) -> Iterator[Entry]:
        item, expansion = self._item, self._patterns.expansion
        if item.checked_is_enough:
            yield Entry(expansion("<control.checked>"), "pass", self._here, CHECKED_RANK)
        for one in item.passes:
            yield Entry(expansion(one.say), "pass", (*self._here, *_covers(one, item)), OWN_RANK)
        for state in item.states:
            if state.good:
                yield Entry(expansion(any_of(state.say)), "pass", (*self._here, ("state", state.id)), OWN_RANK)
        defects = list(_defects(item))
        for defect in defects:
            yield Entry(expansion(defect.text), "finding", (*self._here, *defect.slots), OWN_RANK)
        if self._where and defects:
            taught_spots = self._where.taught
            firsts = [Tagged(self._patterns.first(defect.text), defect.slots) for defect in defects]
            first_at = map(Token, self._patterns.tongue.at[:1])  # the usual one; a language may have none
            taught = [
                *(one_after_the_other(first, on, spot) for on in first_at for first in firsts for spot in taught_spots),
                *(one_after_the_other(spot, first) for first in firsts for spot in taught_spots),
            ]
            together = either(Tagged(self._patterns(defect.text), defect.slots) for defect in defects)
            yield from self._at_positions(together, self._where, OWN_RANK, "own", taught)

    def general(self) -> Iterator[Entry]:
        defects = " | ".join(_NEVER_GOOD) if self._item.kind == "indicator" else "<findings.general>"
        yield Entry(self._patterns.expansion(defects), "finding", self._here, GENERAL_RANK, "general")
        if self._where:
            yield from self._at_positions(self._patterns(defects), self._where, GENERAL_RANK, "general")

    def _at_positions(
        self, defect: Pattern, where: Spots, rank: int, kind: Kind, taught: Iterable[Pattern] = ()
    ) -> Iterator[Entry]:
        """Every way to place a defect is understood; the taught ones and a few examples are listed."""
        tongue = self._patterns.tongue
        after = one_after_the_other(defect, maybe_one(tongue.at), maybe_one(tongue.the), where.any_way)
        before = one_after_the_other(where.any_way, defect)
        listed = either((*taught, *examples(after), *examples(before)))
        name = f"a finding with a position at {self._item.id}"
        yield Entry(
            self._patterns.whole(either((after, before)), name), "finding", self._here, rank, kind, listed=False
        )
        yield Entry(self._patterns.whole(listed, name), "finding", self._here, rank, kind)


@dataclass(frozen=True, slots=True)
class _Defect:
    text: str
    """A rule expansion."""
    slots: Slots
    """What its tags do not say."""


def _defects(item: Item) -> Iterator[_Defect]:
    """The item's bad states and findings, in the order of the file."""
    for state in item.states:
        if not state.good:
            yield _Defect(any_of(state.say), (("finding", state.id),))
    for finding in item.findings:
        if finding.use is not None:
            yield _Defect(finding.use, ())
        else:
            yield _Defect(any_of(finding.say), (("finding", finding.finding_id),))


def _covers(one: Pass, item: Item) -> Slots:
    covered = [part for part in item.parts if part in one.covers]
    return (("covers", ",".join(covered)),) if covered and len(covered) < len(item.parts) else ()


def _numbers(item: Item, patterns: Patterns) -> Iterator[NumberEntry]:
    for entry in _in_the_plural(item, patterns):
        yield entry
        unit = entry.after.text if entry.after else ""
        if patterns.tongue.code == ENGLISH.code and singular(unit) != unit and entry.low <= 1 <= entry.high:
            yield replace(entry, low=Decimal(1), high=Decimal(1), after=patterns.expansion(singular(unit)))


def _in_the_plural(item: Item, patterns: Patterns) -> Iterator[NumberEntry]:
    if item.quantity is not None:
        asked = item.quantity
        low, high = (Decimal(str(end)) for end in asked.sayable)
        yield NumberEntry(
            before=patterns.expansion(asked.called),
            after=patterns.expansion(asked.spoken_unit) if asked.spoken_unit else None,
            low=low,
            high=high,
            step=Decimal(str(asked.step)),
            form=asked.form,
            slots=(("item", item.id), ("quantity", item.id), ("unit", asked.unit)),
        )
    if item.count is not None:
        yield NumberEntry(
            before=None,
            after=patterns.expansion(item.count.of),
            low=Decimal(0),
            high=Decimal(item.count.most),
            step=Decimal(1),
            form="number",
            slots=(("item", item.id), ("quantity", "count"), ("unit", item.count.of)),
        )


def any_of(texts: tuple[str, ...]) -> str:
    """Several rule expansions as one."""
    return " | ".join(f"({text})" for text in texts)
