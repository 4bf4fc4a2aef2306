"""A defect reported of another place than the one being looked at: how it is spoken, and where it lands."""

from __future__ import annotations

from collections.abc import Iterator

from handsfree.checklist.compose import Pattern, Patterns, either, examples, maybe_one, one_after_the_other
from handsfree.checklist.models import AXES, Checklist, Item
from handsfree.checklist.said import Said
from handsfree.language.jsgf_tree import Tagged
from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Entry

ELSEWHERE_RANK = 2
"""Words that mean something at the item itself mean only that."""

_LOOKED_AT = ("condition", "indicator", "quantity", "count")
"""Kinds of item at which something is looked at; a hold only waits for somebody else."""


def reports(checklist: Checklist, patterns: Patterns) -> Said:
    """As in "[report] fuel leak [on the] right wing", for every zone and place.  Raises GrammarError.

    Where the language names the place first, as in "[report] right wing fuel leak".
    """
    places = either(_place_patterns(checklist, patterns))
    patterns.whole(places, "the names of the places").check_enumerable()
    tongue, findings, at = patterns.tongue, patterns("<findings.any>"), maybe_one(patterns.tongue.at)
    parts = (places, at, findings) if tongue.place_first else (findings, at, places)
    report = one_after_the_other(maybe_one(tongue.report), *parts)
    name = "a report from elsewhere"
    return Said(
        (
            Entry(patterns.whole(report, name), "finding", rank=ELSEWHERE_RANK, kind="elsewhere", listed=False),
            Entry(patterns.whole(either(examples(report)), name), "finding", rank=ELSEWHERE_RANK, kind="elsewhere"),
        )
    )


def place_of(checklist: Checklist, meaning: Meaning) -> Item | None:
    """The item at which a report from elsewhere lands, or None: then it is a free finding of its place.

    It lands only where one single item can be meant.  To choose among several would put words into a mouth; so would
    "which bolt?" of an item that must know it, when somebody has spoken of a wing.
    """
    match may_be_meant(checklist, meaning):
        case (item,) if not lacks_position(item, meaning):
            return item
        case _:
            return None


def lacks_position(item: Item, meaning: Meaning) -> bool:
    """Whether the item has to know which of several like things is meant, and this does not say it."""
    return item.positions.required and not any(map(meaning.get, AXES))


def may_be_meant(checklist: Checklist, meaning: Meaning) -> tuple[Item, ...]:
    """The items at which a report from elsewhere may land, in walking order.

    Only items of that place which list the finding; with a fluid only those where this fluid may leak, or that name
    no fluid.  Those that name the fluid, and then those that have the side, come before others.
    """
    finding, fluid, side = (meaning.get(slot) for slot in ("finding", "fluid", "side"))
    candidates = [
        item
        for item in _items_at(checklist, meaning.get("place") or "")
        if item.kind in _LOOKED_AT
        and finding in item.finding_ids()
        and (fluid is None or fluid in item.fluids or not item.fluids)
    ]
    candidates = [item for item in candidates if fluid in item.fluids] or candidates
    return tuple([item for item in candidates if side in item.positions.side] or candidates)


def _place_patterns(checklist: Checklist, patterns: Patterns) -> Iterator[Pattern]:
    for place in (*checklist.zones, *checklist.places):
        for spoken in place.spoken:
            yield Tagged(_with_article(spoken, patterns), (("place", place.id),))


def _with_article(spoken: str, patterns: Patterns) -> Pattern:
    """The name with its article before it if one likes, unless the author has written it there."""
    written = [path.written.split()[0] for path in patterns.expansion(spoken).paths() if path.written]
    name = patterns(spoken)
    articles = patterns.tongue.the
    return name if set(articles) & set(written) else one_after_the_other(maybe_one(articles), name)


def _items_at(checklist: Checklist, place_id: str) -> Iterator[Item]:
    zones = next((place.zones for place in checklist.places if place.id == place_id), (place_id,))
    for zone in checklist.zones:
        if zone.id in zones:
            yield from zone.items
