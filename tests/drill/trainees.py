"""Trainees whose ability is known: they miss a defect, and call sound things wrong, with a given chance."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from statistics import NormalDist

from handsfree.book import Book
from handsfree.checklist.limits import limits_of
from handsfree.checklist.models import Item
from handsfree.drill.exercise import Exercise
from handsfree.journal import events as log
from handsfree.journal.events import AnyEvent
from handsfree.language.heard import Heard
from handsfree.language.phrase import Phrase
from handsfree.listeners import understand
from handsfree.replay import notes
from handsfree.walk.events import Begin, Event, Spoken
from handsfree.walk.machine import expect
from handsfree.walk.state import WalkState
from tests.walk.conversation import good_answer


@dataclass(frozen=True)
class Ability:
    """How well somebody tells a defect from what is sound."""

    misses: float
    """Chance that a defect is passed."""
    alarms: float
    """Chance that what is sound is reported."""

    @property
    def d_prime(self) -> float:
        z = NormalDist().inv_cdf
        return z(1 - self.misses) - z(self.alarms)


@dataclass
class Trainee:
    """Goes through an exercise as somebody of an ability does; the events are those of a log without its disk."""

    book: Book
    exercise: Exercise
    ability: Ability
    chance: random.Random
    hear: Callable[[str, WalkState], Heard] | None = None
    """Brings what was said to the ears; None = it is typed."""
    state: WalkState = field(default_factory=WalkState)
    events: list[AnyEvent] = field(default_factory=list[AnyEvent])

    def __post_init__(self) -> None:
        self.scenes = {one.item: one for one in self.exercise.scenes if one.item}

    def go_through(self) -> list[AnyEvent]:
        """To the end."""
        course = self.book.course
        begin = Begin(who="AB", registration="Q7KTA", level_check=False)
        opened = log.Opened(tool="", checklist=self.book.checklist.id, checklist_sha256="", source="synthetic",
                            practice=course.practice if course else "", exercise=self.exercise.id)  # fmt: skip
        self._take(begin, opened)
        for _ in range(40 * len(self.scenes)):
            if self.state.moment == "ended":
                return self.events
            heard = self._heard(self._words())
            record = log.HeardEvent(moment=self.state.moment, outcome=heard.outcome, said=heard.said, meanings=(),
                                    confidence=1.0, snr_db=20.0, decided_after_s=0.3, alternatives=(), why="",
                                    clip=None)  # fmt: skip
            self._take(Spoken(heard), record)
        raise AssertionError(f"no end is reached: {self.state.moment} at {self.state.item}")

    def _take(self, event: Event, record: AnyEvent) -> None:
        placed = record.model_copy(update={"zone": self.state.zone, "item": self.state.item})
        self.state, effects = self.book.walk.step(self.state, event)
        for one in (placed, *notes(self.book, effects)):
            self.events.append(one.model_copy(update={"seq": len(self.events) + 1}))

    def _heard(self, words: str) -> Heard:
        if self.hear is not None:
            return self.hear(words, self.state)
        return understand(words, self.book.listening.vocabulary(expect(self.state)))

    def _words(self) -> str:
        match self.state.moment:
            case "condition":
                asked = self.book.checklist.conditions[len(self.state.conditions)].id
                return "affirm" if self.exercise.conditions.get(asked, False) else "negative"
            case "item":
                return self._decided(self.book.checklist.item(self.state.item or ""))
            case "which":
                phrases = self.book.listening.vocabulary(expect(self.state)).phrases
                return next(one.text for one in phrases if one.meaning.get("quantity") == "position")
            case "where":
                item = self.book.checklist.item(self.state.due)
                phrases = self.book.listening.vocabulary(expect(self.state)).phrases
                return next(one.text for one in phrases if one.meaning.get("at_item") == item.id)
            case "decision":
                return "no decision"
            case _:
                return "affirm"

    def _decided(self, item: Item) -> str:
        scene = self.scenes[item.id]
        if item.kind in ("hold", "undo"):
            return good_answer(self.book, item)
        bad = scene.truth == "defect"
        reports = self.chance.random() >= self.ability.misses if bad else self.chance.random() < self.ability.alarms
        return self._finding(item, scene.findings) if reports else good_answer(self.book, item)

    def _finding(self, item: Item, named: tuple[str, ...]) -> str:
        phrases = self.book.phrasebook.own_phrases(item)
        findings = [one for one in phrases if one.meaning.outcome == "finding"]
        right = [one for one in findings if one.meaning.get("finding") in named]
        beyond = [one for one in phrases if _is_beyond(one, item)]
        return (right or beyond or findings)[0].text


def _is_beyond(phrase: Phrase, item: Item) -> bool:
    """Whether a number is one beyond the item's limits."""
    return phrase.meaning.outcome == "value" and limits_of(item).judged(phrase.meaning).outcome == "finding"
