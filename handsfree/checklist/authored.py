"""The phrases that the author of a checklist wrote, each with its field, and which of them cannot be used."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from handsfree.checklist.compose import Patterns
from handsfree.checklist.models import Checklist, Item
from handsfree.checklist.problems import Location, Problem, field_name
from handsfree.language.errors import GrammarError
from handsfree.shown import shortened


class Field(NamedTuple):
    """A phrase as the author wrote it, and the way to it."""

    where: Location
    text: str


def fields(checklist: Checklist) -> Iterator[Field]:
    """Every phrase of a checklist."""
    for what, places in (("zones", checklist.zones), ("places", checklist.places)):
        for at, place in enumerate(places):
            yield from (Field((what, at, "spoken", index), text) for index, text in enumerate(place.spoken))
    for zone_at, zone in enumerate(checklist.zones):
        for item_at, item in enumerate(zone.items):
            here: Location = ("zones", zone_at, "items", item_at)
            yield from (Field(here + way, text) for way, text in phrases_of(item))


def phrases_of(item: Item) -> Iterator[tuple[Location, str]]:
    """Those of an item, with the way from there."""
    for at, name in enumerate(item.spoken):
        yield ("spoken", at), name
    if item.called is not None:
        yield ("called",), item.called
    for at, one in enumerate(item.passes):
        yield ("pass", at, "say"), one.say
    for at, finding in enumerate(item.findings):
        if finding.use is not None:
            yield ("findings", at, "use"), finding.use
        yield from ((("findings", at, "say", index), text) for index, text in enumerate(finding.say))
    for at, state in enumerate(item.states):
        yield from ((("states", at, "say", index), text) for index, text in enumerate(state.say))
    if item.quantity is not None:
        yield ("quantity", "called"), item.quantity.called
        if item.quantity.spoken_unit is not None:
            yield ("quantity", "spoken_unit"), item.quantity.spoken_unit
    if item.count is not None:
        yield ("count", "of"), item.count.of


def unusable(checklist: Checklist, patterns: Patterns) -> Iterator[Problem]:
    """Errors ``phrase``: no pattern, no such rule, no word to say, too many ways to list."""
    written = checklist.model_dump(by_alias=True)
    for where, text in fields(checklist):
        try:
            patterns.expansion(text).check_enumerable()
            patterns.first(text)
        except GrammarError as error:
            message = f"'{shortened(text)}', column {error.column}: {error.message}"
            yield Problem(message, where, field_name(where, written), code="phrase")
