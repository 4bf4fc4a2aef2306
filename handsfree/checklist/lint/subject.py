"""What the rules look at: the checklist, and its phrases where they can be understood."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from functools import cached_property
from typing import NamedTuple

from handsfree.checklist import at_item, elsewhere, moments
from handsfree.checklist.authored import Field, fields, phrases_of
from handsfree.checklist.compose import Patterns
from handsfree.checklist.models import Checklist, Item
from handsfree.checklist.problems import Location
from handsfree.checklist.said import Said
from handsfree.language.errors import GrammarError, VocabularyError
from handsfree.language.grammars import Grammars
from handsfree.language.phrase import Phrase
from handsfree.language.sounds import Pronounce

MOST_COMPARED = 2000
"""Phrases of an item, numbers aside, that are held against each other; the most of a shipped one are 474."""
MOST_WAYS = 50_000
"""Ways to say what the author wrote, the whole checklist together; a shipped one has some hundreds."""


class Spot(NamedTuple):
    """An item and the way to it."""

    where: Location
    item: Item


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
        return fields(self.checklist)

    def phrases(self, item: Item) -> tuple[Phrase, ...]:
        """What is listed at an item for it alone, numbers left out; none when its phrases cannot be used.

        That they cannot, or that they are too many to compare, is for another rule to say.
        """
        listed = self.listed(item)
        return listed if len(listed) <= MOST_COMPARED else ()

    def listed(self, item: Item) -> tuple[Phrase, ...]:
        """The same, however many."""
        if item.id not in self._phrases:
            self._phrases[item.id] = () if self.ways > MOST_WAYS else self._listed(item)
        return self._phrases[item.id]

    def _listed(self, item: Item) -> tuple[Phrase, ...]:
        try:
            own = Said(at_item.own(item, self.patterns).entries)
            return (own + at_item.general(item, self.patterns)).vocabulary().phrases
        except (GrammarError, VocabularyError):
            return ()

    @cached_property
    def ways(self) -> int:
        """In how many ways all that the author wrote can be said; what cannot be read does not count."""
        return sum(self._ways(field.text) for field in self.fields())

    def _ways(self, text: str) -> int:
        try:
            return self.patterns.expansion(text).ways
        except GrammarError:
            return 0

    def field(self, spot: Spot, phrase: Phrase) -> Location:
        """The way to the field in which a phrase of an item was written; to the item when it comes from a grammar."""
        for way, text in phrases_of(spot.item):
            with suppress(GrammarError):
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
