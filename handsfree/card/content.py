"""What stands on a card and on a phrase sheet, enumerated from the checklist and the grammars.  Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from handsfree.checklist.limits import NO_LIMITS, limits_of
from handsfree.checklist.models import Checklist, Item
from handsfree.checklist.phrases import Phrasebook
from handsfree.language.phrase import Phrase

_POSITIONS = ("side", "number", "radial", "fluid")
MOST_WAYS = 4
"""Ways to say the same that a sheet lists; `handsfree phrases --all` has them all."""
EXAMPLE = "example value: use your aircraft's manual"


@dataclass(frozen=True, slots=True)
class CardItem:
    """One item, as it stands on the card."""

    id: str
    prompt: str
    kind: str
    """As in the checklist."""
    answer: str
    """The answer to teach, or the limits of a number."""
    findings: tuple[str, ...]
    """One way to say each, the gravest first."""
    asks: str
    """Of a hold: whom, and for what; of an undo: what ends."""
    only_if: str
    """The condition under which it is asked; empty = always."""
    needs: str
    """What must be confirmed before; empty = nothing."""
    caution: str
    which: str
    """Positions that may be said: ``tyre one, two``."""
    note: str
    """Where a limit comes from."""


@dataclass(frozen=True, slots=True)
class CardZone:
    """One zone in order."""

    number: int
    name: str
    caution: str
    items: tuple[CardItem, ...]


@dataclass(frozen=True, slots=True)
class Sayable:
    """What can be said at an item."""

    prompt: str
    passes: tuple[str, ...]
    findings: tuple[tuple[str, ...], ...]
    """By finding the ways to say it."""
    numbers: str
    which: str


def card_zones(checklist: Checklist, phrasebook: Phrasebook) -> tuple[CardZone, ...]:
    """The card, zone by zone."""
    return tuple(
        CardZone(
            number, zone.name, zone.caution or "", tuple(_item(checklist, item, phrasebook) for item in zone.items)
        )
        for number, zone in enumerate(checklist.zones, start=1)
    )


def sayables(checklist: Checklist, phrasebook: Phrasebook) -> tuple[Sayable, ...]:
    """The sheet, item by item."""
    return tuple(_sayable(item, phrasebook) for item in checklist.items())


def control_words(checklist: Checklist, phrasebook: Phrasebook) -> tuple[tuple[str, ...], ...]:
    """What may be said at any item, the ways to say the same together; without what is heard and does nothing."""
    idle = {"roger"} if any(item.checked_is_enough for item in checklist.items()) else {"roger", "checked"}
    return _together(one for one in phrasebook.control_phrases() if one.meaning.get("control") not in idle)


def report_elsewhere(checklist: Checklist, phrasebook: Phrasebook) -> str:
    """A report of something at another place than the first, as it may be said: ``leak left wing``."""
    reports = phrasebook.everywhere_phrases()
    further = [one for one in reports if one.meaning.get("place") != checklist.zones[0].id]
    said = next((one.text for one in further or reports if " at " in one.text), "")
    return f"leak {said.partition(' at ')[2]}" if said else reports[-1].text


def _item(checklist: Checklist, item: Item, phrasebook: Phrasebook) -> CardItem:
    sayable = _sayable(item, phrasebook)
    asks = f"Ask {item.hold.who}: {item.hold.ask}" if item.hold else ""
    if item.undoes:
        asks = f"{item.prompt} (It ends: {checklist.hold(item.undoes).ask}.)"
    needs = checklist.hold(item.needs).ask if item.needs else ""
    limited = item.quantity or item.count
    return CardItem(
        id=item.id,
        prompt=item.prompt,
        kind=item.kind,
        answer=sayable.numbers or sayable.passes[0],
        findings=tuple(ways[0] for ways in sayable.findings),
        asks=asks,
        only_if=item.only_if.replace("-", " ") if item.only_if else "",
        needs=needs,
        caution=item.caution or "",
        which=sayable.which,
        note=(limited.source or "") if limited else "",
    )


def _sayable(item: Item, phrasebook: Phrasebook) -> Sayable:
    own = [one for one in phrasebook.own_phrases(item) if not any(one.meaning.get(name) for name in _POSITIONS)]
    passes = dict.fromkeys(one.text for one in own if one.meaning.outcome == "pass")
    found = _together(one for one in own if one.meaning.outcome == "finding" and not one.meaning.get("value"))
    return Sayable(item.prompt, tuple(passes), found, _numbers(item), _which(item))


def _together(phrases: Iterable[Phrase]) -> tuple[tuple[str, ...], ...]:
    """The ways to say each meaning, in the order of their first."""
    ways: dict[object, dict[str, None]] = {}
    for one in phrases:
        ways.setdefault(one.meaning, {})[one.text] = None
    return tuple(tuple(texts) for texts in ways.values())


def _numbers(item: Item) -> str:
    limits = limits_of(item)
    if item.count is not None:
        return f"{limits} {item.count.of}"
    if item.quantity is not None:
        return f"a number, {item.quantity.unit}" if limits == NO_LIMITS else f"{limits} {item.quantity.unit}"
    return ""


def _which(item: Item) -> str:
    axes = list(_axes(item))
    noun = item.called.replace("[", "").replace("]", "") if item.called else ""
    return f"{noun} {', '.join(axes)}".strip() if axes else ""


def _axes(item: Item) -> Iterator[str]:
    yield from item.positions.side
    yield from item.positions.radial
    yield from (str(number) for number in item.positions.number)


def first_ways(ways: Sequence[str]) -> str:
    """A few ways to say the same, for a line."""
    more = f" (+{len(ways) - MOST_WAYS})" if len(ways) > MOST_WAYS else ""
    return " / ".join(ways[:MOST_WAYS]) + more
