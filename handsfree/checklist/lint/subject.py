"""What the rules look at: the checklist, and its phrases where they can be understood."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import NamedTuple

from handsfree.checklist import at_item, elsewhere, moments
from handsfree.checklist.compose import Patterns
from handsfree.checklist.models import Checklist, Item
from handsfree.checklist.problems import Location
from handsfree.checklist.said import Said
from handsfree.language.errors import GrammarError, VocabularyError
from handsfree.language.grammars import Grammars
from handsfree.language.phrase import Phrase
from handsfree.language.sounds import Pronounce


class Spot(NamedTuple):
    """An item and the way to it."""

    where: Location
    item: Item


class Field(NamedTuple):
    """A phrase as the author wrote it, and the way to it."""

    where: Location
    text: str


class Subject:
    """A checklist under examination."""

    def __init__(self, checklist: Checklist, grammars: Grammars, pronounce: Pronounce) -> None:
        self.checklist = checklist
        self.grammars = grammars
        self.pronounce = pronounce
        self.patterns = Patterns(grammars)
        self._phrases: dict[str, tuple[Phrase, ...]] = {}

    @cached_property
    def items(self) -> tuple[Spot, ...]:
        """All items in walking order."""
        return tuple(
            Spot(("zones", zone_at, "items", item_at), item)
            for zone_at, zone in enumerate(self.checklist.zones)
            for item_at, item in enumerate(zone.items)
        )

    def fields(self) -> Iterator[Field]:
        """Every phrase that the checklist's author wrote."""
        for what, places in (("zones", self.checklist.zones), ("places", self.checklist.places)):
            for at, place in enumerate(places):
                yield from (Field((what, at, "spoken", index), text) for index, text in enumerate(place.spoken))
        for where, item in self.items:
            yield from (Field(where + way, text) for way, text in _phrases_of(item))

    def phrases(self, item: Item) -> tuple[Phrase, ...]:
        """What is listed at an item for it alone, numbers left out; none when its phrases cannot be used.

        That they cannot is for another rule to say.
        """
        if item.id not in self._phrases:
            try:
                own = Said(at_item.own(item, self.patterns).entries)
                self._phrases[item.id] = (own + at_item.general(item, self.patterns)).vocabulary().phrases
            except (GrammarError, VocabularyError):
                self._phrases[item.id] = ()
        return self._phrases[item.id]

    def field(self, spot: Spot, phrase: Phrase) -> Location:
        """The way to the field in which a phrase of an item was written; to the item when it comes from a grammar."""
        for way, text in _phrases_of(spot.item):
            if phrase.text in {path.written for path in self.patterns.expansion(text).paths()}:
                return spot.where + way
        return spot.where

    @cached_property
    def controls(self) -> tuple[Phrase, ...]:
        """The control phrases, which may be said at every item."""
        return moments.controls(self.patterns).vocabulary().phrases

    @cached_property
    def untaught(self) -> frozenset[str]:
        """What is understood though it sounds like something else, and taught nowhere; as the recogniser spells it."""
        return frozenset(path.heard for path in self.patterns.expansion("<untaught.any>").paths())

    def words(self) -> frozenset[str]:
        """Every word of the phrases, of the control phrases and of the reports."""
        phrases = [phrase for _, item in self.items for phrase in self.phrases(item)]
        return frozenset(
            word for phrase in (*phrases, *self.controls, *self.reports) for word in phrase.heard_as.split()
        )

    @cached_property
    def reports(self) -> tuple[Phrase, ...]:
        """Examples of reports from elsewhere; none when the places' names cannot be used."""
        try:
            return elsewhere.reports(self.checklist, self.patterns).vocabulary().phrases
        except (GrammarError, VocabularyError):
            return ()


def _phrases_of(item: Item) -> Iterator[tuple[Location, str]]:
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
