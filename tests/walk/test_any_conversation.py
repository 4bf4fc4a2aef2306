"""Whatever is said, in whatever order: what must hold of every conversation."""

from __future__ import annotations

import copy
from dataclasses import dataclass, field
from functools import cache
from typing import Literal

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.language.heard import Heard, with_a_hole
from handsfree.language.meaning import Meaning, overall_outcome
from handsfree.language.phrase import Phrase
from handsfree.resources import find_checklist
from handsfree.walk import route
from handsfree.walk.events import AnswerNote, Begin, Effect, Event, Expect, Resumed, Say, Silence, Spoken
from handsfree.walk.machine import expect
from handsfree.walk.state import WalkState
from tests.walk.conversation import good_answer, small

Kind = Literal["say", "say two", "doubt", "chatter", "silence", "restart", "hole"]
Action = tuple[Kind, int, int]
OFTEN: dict[Kind, int] = {
    "say": 8, "say two": 3, "doubt": 3, "chatter": 1, "silence": 1, "restart": 1, "hole": 1,
}  # fmt: skip
KINDS: tuple[Kind, ...] = tuple(kind for kind, times in OFTEN.items() for _ in range(times))
ACTIONS = st.tuples(st.sampled_from(KINDS), st.integers(0, 10_000), st.integers(0, 10_000))
TALKING = (
    "item",
    "read_back",
    "guess_check",
    "which",
    "withdraw_check",
    "place_check",
    "where",
    "end_check",
    "decision",
)
FAVOURED = ("say_again", "stand_by", "affirm", "negative", "correction", "disregard", "unable", "carry_on",
            "previous_item", "leave_for_later", "next_zone", "end_walk", "servicing_done", "voice_note")  # fmt: skip


@cache
def shipped() -> Book:
    """The shipped checklist: its items have everything that can come together in one."""
    return Book(load(find_checklist("twin-turboprop")))


@cache
def sayable(book: Book, expected: Expect) -> tuple[Phrase, ...]:
    """What can be said, each meaning once; control words as often as answers."""
    phrases = {phrase.meaning: phrase for phrase in reversed(book.listening.vocabulary(expected).phrases)}
    favoured = [one for meaning, one in phrases.items() if meaning.get("control") in FAVOURED]
    return (*phrases.values(), *favoured * max(1, len(phrases) // max(1, len(favoured))))


@cache
def heard(book: Book, expected: Expect, words: str) -> Heard:
    meanings = book.listening.vocabulary(expected).parse(words).clauses
    return Heard(overall_outcome(meanings), words, meanings) if meanings else Heard("none", words)


def clauses(book: Book, expected: Expect, *picks: int) -> tuple[Phrase, ...]:
    phrases = sayable(book, expected)
    return tuple(phrases[pick % len(phrases)] for pick in picks) if phrases else ()


def event(book: Book, expected: Expect, action: Action) -> Event:
    kind, one, other = action
    match kind:
        case "silence":
            return Silence(too_loud=other % 3 == 0, lost_sound=other % 5 == 0)
        case "restart":
            return Resumed()
        case "chatter":
            return Spoken(Heard("none", "boarding at gate four", too_loud=other % 3 == 0, lost_sound=other % 5 == 0))
        case "doubt":
            guesses = clauses(book, expected, one) if other % 2 else ()
            guessed = tuple(phrase.meaning for phrase in guesses)
            return Spoken(Heard("ask", "mumble", guessed, too_loud=other % 3 > 0))
        case _:
            said = clauses(book, expected, *((one, other) if kind == "say two" else (one,)))
    if not said:
        return Spoken(Heard("none", "a note"))
    meanings = tuple(dict.fromkeys(phrase.meaning for phrase in said))
    whole = Heard(overall_outcome(meanings), ", ".join(phrase.text for phrase in said), meanings)
    return Spoken(with_a_hole(whole) if kind == "hole" else whole)


def landing(meaning: Meaning, heard: Heard, expected: Expect) -> tuple[Meaning, ...]:
    """What a finding may be kept as: said with "correction" it may be of the item answered before."""
    corrects = any(one.get("control") in ("correction", "disregard") for one in heard.meanings)
    if meaning.outcome == "finding" and corrects and expected.before and meaning.get("item") == expected.item:
        return (meaning, meaning.with_slots(item=expected.before))
    return (meaning,)


@dataclass
class Witness:
    """Follows a walk and remembers, by itself, what was strictly said."""

    book: Book
    state: WalkState = field(default_factory=WalkState)
    passed: set[str] = field(default_factory=set[str])
    """Items that were said to be good, and not called wrong or left since."""

    def see(self, came: Event) -> None:
        before, expected = self.state, expect(self.state)
        kept = copy.copy(before)  # its fields cannot change in themselves
        after, effects = self.book.walk.step(before, came)
        assert before == kept, "the state given was changed"
        assert self.book.walk.step(before, came) == (after, effects), "the same step gave something else"
        self.state = after
        self._called_wrong(before, came)
        if isinstance(came, Spoken) and expected.moment in TALKING and came.heard.outcome not in ("ask", "none"):
            for meaning in came.heard.meanings:
                self._heard(meaning, expected, landing(meaning, came.heard, expected))
        self._answers_are_noted(before, effects)
        self._shut_stays_shut(before)
        self._items()
        self._questions()
        said = " ".join(one.text for one in effects if isinstance(one, Say))
        assert "airworthy" not in said.replace(self.book.checklist.notice, "").lower()

    def _heard(self, meaning: Meaning, expected: Expect, landings: tuple[Meaning, ...]) -> None:
        item = meaning.get("item")
        if meaning.outcome in ("pass", "value") and item == expected.item and item is not None:
            self.passed.add(item)
        if meaning.outcome == "finding":
            findings = [one.meaning for one in self.state.answers if one.kind == "finding"]
            kept = (set(may_be.slots) <= set(one.slots) for may_be in landings for one in findings)
            assert any(kept), f"{meaning} was lost"

    def _called_wrong(self, before: WalkState, came: Event) -> None:
        """After "correction" or "disregard" the pass that was answered last counts no more, whatever comes next."""
        words = {one.get("control") for one in came.heard.meanings} if isinstance(came, Spoken) else set[str | None]()
        last = before.last_answer()
        if before.moment != "item" or before.correcting or last is None or last.kind == "finding":
            return
        if words and words <= {"correction", "disregard"} and last.item is not None:
            self.passed.discard(last.item)

    def _answers_are_noted(self, before: WalkState, effects: tuple[Effect, ...]) -> None:
        noted = [one.number for one in effects if isinstance(one, AnswerNote)]
        assert noted == [one.number for one in self.state.answers[len(before.answers) :]]
        for old, new in zip(before.answers, self.state.answers, strict=False):
            assert (old.number, old.words, old.meaning, old.item) == (new.number, new.words, new.meaning, new.item)

    def _shut_stays_shut(self, before: WalkState) -> None:
        checklist = self.book.checklist
        for one in self.state.answers[len(before.answers) :]:
            if one.item is not None and not one.elsewhere:
                last = before.last_answer()
                corrected = None if last is None else last.item
                assert one.item in (before.item, corrected), f"{one.item} was answered, and not asked"
                needs = checklist.item(one.item).needs
                assert needs is None or needs in before.holds, f"{one.item} is shut and was answered"

    def _items(self) -> None:
        """What passed was said to be good, and to the cockpit too; the walk's end names what is missing."""
        standing = [one for one in self.state.answers if one.standing == "stands"]
        found = {one.item for one in standing if one.kind == "finding"}
        good = {one.item for one in standing if one.kind != "finding"}
        items = self.book.checklist.items()
        confirmed = {item.hold.id for item in items if item.hold is not None and item.id in good}
        for item in items:
            status = route.status(self.state, item)
            if status == "passed":
                assert item.id in self.passed, f"{item.id} passed, and nobody said so"
                assert item.needs is None or item.needs in confirmed, f"{item.id} passed under what was never there"
                assert item.undoes not in self.state.holds, f"{item.id} passed, and {item.undoes} is active"
            assert (status == "finding") == (item.id in found)
        if self.state.outcome:
            unanswered = {item.id for item in route.unanswered(self.book.checklist, self.state)}
            assert (self.state.outcome == "complete") == (not unanswered)
            assert unanswered <= self.state.named, "the walk was ended, and what is missing was not named"

    def _questions(self) -> None:
        """A finding that was not yet read back is in question, now or after the interruption."""
        asked = {one.number for one in self.state.answers
                 if one.kind == "finding" and one.standing == "stands" and one.confirmed is None}  # fmt: skip
        assert asked == set(self.state.pending)
        moment = self.state.moment
        where = self.state.suspended if moment in ("stand_by", "place_check", "note") else moment
        assert bool(self.state.pending) == (where in ("read_back", "which"))
        assert self.state.returning == "item" or self.state.pending, "a question was put off for nothing"
        put_off = (where, self.state.returning)
        assert bool(self.state.guess) == ("guess_check" in put_off)
        assert bool(self.state.withdrawing) == ("withdraw_check" in put_off)
        assert sayable(self.book, expect(self.state)) or moment in ("note", "ended", "new")


WAY_OUT = {
    "level": "how do you read",
    "who": "alfa bravo",
    "registration": "quebec seven kilo tango alfa",
    "which": "leave for later",
    "stand_by": "carry on",
    "decision": "no decision",
}
"""What a person who wants to finish says; elsewhere "affirm", and at an item a good answer."""


def way_out(book: Book, state: WalkState) -> str:
    if state.moment == "item":
        return good_answer(book, book.checklist.item(state.item or ""))
    return WAY_OUT.get(state.moment, "affirm")


def converse(book: Book, begin: Begin, actions: list[Action]) -> None:
    witness = Witness(book)
    witness.see(begin)
    for action in actions:
        witness.see(event(book, expect(witness.state), action))
    for _ in range(4 * len(book.checklist.items()) + 40):
        if witness.state.moment == "ended":
            break
        words = way_out(book, witness.state)
        witness.see(Spoken(heard(book, expect(witness.state), words)))
    assert witness.state.moment == "ended", "the walk cannot be brought to its end"


KNOWN = Begin(who="AB", registration="Q7KTA", level_check=False)
PATIENT = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])


@settings(PATIENT, max_examples=200)
@given(st.sampled_from([KNOWN, Begin()]), st.lists(ACTIONS, max_size=60))
def test_what_must_hold_of_every_conversation(begin: Begin, actions: list[Action]) -> None:
    converse(small(), begin, actions)


@settings(PATIENT, max_examples=25)
@given(st.lists(ACTIONS, max_size=60))
def test_it_holds_of_the_shipped_checklist_too(actions: list[Action]) -> None:
    converse(shipped(), KNOWN, actions)
