"""All that can be said on a walk through one checklist, moment by moment."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeVar

from handsfree.checklist import at_item, elsewhere, moments
from handsfree.checklist.authored import unusable
from handsfree.checklist.compose import Patterns
from handsfree.checklist.elsewhere import lacks_position, may_be_meant, place_of
from handsfree.checklist.guards import guards
from handsfree.checklist.models import Checklist, Item, Practice
from handsfree.checklist.problems import ChecklistError, Problem
from handsfree.checklist.said import Said
from handsfree.language.errors import GrammarError, VocabularyError
from handsfree.language.grammars import Grammars
from handsfree.language.vocabulary import Phrase, Vocabulary

__all__ = ["Phrasebook", "lacks_position", "may_be_meant", "place_of"]

_Made = TypeVar("_Made")


class Phrasebook:
    """The phrases of one checklist; pieces that all items share are made once.

    Every method raises ChecklistError when a phrase cannot be used; ``handsfree check`` names its line.
    """

    def __init__(self, checklist: Checklist, grammars: Grammars, practice: Practice = "") -> None:
        """``practice`` = how a trainee practises: more may be said then."""
        self._checklist = checklist
        self._patterns = Patterns(grammars)
        self._controls = _made("the control words", lambda: moments.controls(self._patterns))
        self._practice = self._practised(practice)
        self._reports = _made("the zones' and places' names", lambda: elsewhere.reports(checklist, self._patterns))

    def unusable(self) -> Iterator[Problem]:
        """What its author wrote and nobody can use, each with the way to its field; looked at before a walk begins."""
        return unusable(self._checklist, self._patterns)

    # At an item

    def item(self, item: Item, before: Item | None = None) -> Vocabulary:
        """Everything that may be said at an item; ``before`` = the item just answered, whose defects may come late."""
        said = self._own(item) + self._controls + self._general(item) + self._guards(item)
        said += self._reports + self._practice
        if before is not None:
            said += _made(f"item '{before.id}'", lambda: at_item.second_thoughts(before, self._patterns))
        return self._vocabulary(item, said)

    def read_back(self, item: Item) -> Vocabulary:
        """After a finding was read back: yes, no, a better answer in the item's own words, or another report."""
        said = moments.read_back(self._patterns) + self._own(item) + self._general(item) + self._reports
        return self._vocabulary(item, said)

    def which_one(self, item: Item) -> Vocabulary:
        """A position of the item, or another report."""
        return self._vocabulary(item, moments.which_one(item, self._patterns) + self._reports)

    def own_phrases(self, item: Item) -> tuple[Phrase, ...]:
        """The item's own phrases: passes first, then findings and numbers."""
        return self._vocabulary(item, self._own(item)).phrases

    def general_phrases(self, item: Item) -> tuple[Phrase, ...]:
        """Everyday defects that may be spoken at the item, as far as they are not its own words."""
        own = {phrase.heard_as for phrase in self.own_phrases(item)}
        phrases = self._vocabulary(item, self._general(item)).phrases
        return tuple(phrase for phrase in phrases if phrase.heard_as not in own)

    # Everywhere

    def control_phrases(self) -> tuple[Phrase, ...]:
        """Control words."""
        return self._controls.vocabulary().phrases

    def everywhere_phrases(self) -> tuple[Phrase, ...]:
        """Examples of reports from elsewhere; any finding with any place is understood."""
        return self._reports.vocabulary().phrases

    # At the other moments

    def yes_or_no(self) -> Vocabulary:
        """An answer to a question of the tool's own."""
        return moments.yes_or_no(self._patterns).vocabulary()

    def yes_or_no_or_report(self) -> Vocabulary:
        """The same once the walk is at its items: something found elsewhere may be reported at any time."""
        return (moments.yes_or_no(self._patterns) + self._reports).vocabulary()

    def report_read_back(self) -> Vocabulary:
        """After a report that came between another question and its answer was read back."""
        return (moments.read_back(self._patterns) + self._reports).vocabulary()

    def place_check(self) -> Vocabulary:
        """The last answer is read back after an interruption."""
        return (moments.place_check(self._patterns) + self._reports).vocabulary()

    def where(self) -> Vocabulary:
        """Who practises says where they are; something found elsewhere may be reported."""
        return (moments.at_where(self._checklist, self._patterns) + self._reports).vocabulary()

    def sound_check(self) -> Vocabulary:
        """The first words of all: "how do you read"."""
        return moments.steering(self._patterns).vocabulary()

    def stand_by(self) -> Vocabulary:
        """During a stand by; a report is understood, so that it can be mentioned afterwards."""
        return (moments.stand_by(self._patterns) + self._reports).vocabulary()

    def registration(self) -> Vocabulary:
        """A registration; ``moments.spelled`` gives its characters."""
        return moments.registration(self._checklist.aircraft.registration, self._patterns).vocabulary()

    def initials(self) -> Vocabulary:
        """The inspector's initials; ``moments.spelled`` gives the letters."""
        return moments.initials(self._patterns).vocabulary()

    def decision(self) -> Vocabulary:
        """The person's own decision at the end."""
        return (moments.decision(self._patterns) + self._reports).vocabulary()

    def _practised(self, practice: Practice) -> Said:
        if not practice:
            return Said()
        asked = _made("the words for practice", lambda: moments.practice(self._patterns))
        if practice != "memory":
            return asked
        return asked + _made("the items' and zones' names", lambda: moments.where(self._checklist, self._patterns))

    def _own(self, item: Item) -> Said:
        return _made(f"item '{item.id}'", lambda: at_item.own(item, self._patterns))

    def _general(self, item: Item) -> Said:
        return _made(f"item '{item.id}'", lambda: at_item.general(item, self._patterns))

    def _guards(self, item: Item) -> Said:
        return _made(f"item '{item.id}'", lambda: guards(item, self._patterns))

    def _vocabulary(self, item: Item, said: Said) -> Vocabulary:
        return _made(f"item '{item.id}'", lambda: said.vocabulary(critical=item.critical))


def _made(what: str, make: Callable[[], _Made]) -> _Made:
    """What ``make`` makes; errors of the language room become errors of the checklist that name where they are."""
    try:
        return make()
    except (GrammarError, VocabularyError) as error:
        raise ChecklistError((Problem(f"{what}: {error}", code="phrase"),)) from error
