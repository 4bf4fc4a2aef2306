"""What may be said at each moment of a walk: the moment's vocabulary, made once and kept."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache

from handsfree.checklist.models import Checklist, Item
from handsfree.checklist.phrases import Phrasebook
from handsfree.language.vocabulary import Vocabulary
from handsfree.walk.events import Expect
from handsfree.walk.state import Moment
from handsfree.walk.wording import THE_NUMBER

_CHOICES = 5
"""Choices read out at most: nobody keeps more in mind outdoors."""
_KEPT = 16
"""Vocabularies kept; a walk goes back and forth between a few."""


class Listening:
    """The vocabularies of one checklist, by what the walk waits for."""

    def __init__(self, checklist: Checklist, phrasebook: Phrasebook) -> None:
        self._checklist = checklist
        self._phrasebook = phrasebook
        self.vocabulary = lru_cache(maxsize=_KEPT)(self._vocabulary)
        """The vocabulary for an `Expect`."""

    def choices(self, item: Item) -> Sequence[str]:
        """A few things that can be said at an item: a pass or two first, then findings; numbers by an example."""
        chosen: dict[tuple[str | None, ...], str] = {}
        for phrase in self._phrasebook.own_phrases(item):
            meaning = phrase.meaning
            key = (meaning.outcome, meaning.get("finding"), meaning.get("covers"), meaning.get("state"))
            chosen.setdefault(key, THE_NUMBER if meaning.outcome == "value" else phrase.text)
        goods = [words for key, words in chosen.items() if key[0] != "finding"]
        return (*goods, *(words for key, words in chosen.items() if key[0] == "finding"))[:_CHOICES]

    def _vocabulary(self, expect: Expect) -> Vocabulary:
        if expect.item is None:
            return self._elsewhere(expect.moment)
        book, item = self._phrasebook, self._checklist.item(expect.item)
        match expect.moment:
            case "item":
                return book.item(item, None if expect.before is None else self._checklist.item(expect.before))
            case "which":
                return book.which_one(item)
            case _:
                return book.read_back(item)

    def _elsewhere(self, moment: Moment) -> Vocabulary:
        book = self._phrasebook
        vocabularies: dict[Moment, Callable[[], Vocabulary]] = {
            "level": book.sound_check,
            "who": book.initials,
            "registration": book.registration,
            "read_back": book.report_read_back,
            "withdraw_check": book.yes_or_no_or_report,
            "stand_by": book.stand_by,
            "place_check": book.place_check,
            "where": book.where,
            "note": lambda: Vocabulary.build([]),  # kept as sound: no word is expected
            "end_check": book.yes_or_no_or_report,
            "decision": book.decision,
        }
        return vocabularies.get(moment, book.yes_or_no)()
