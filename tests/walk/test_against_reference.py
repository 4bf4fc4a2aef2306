"""Machine and reference side by side: after every input of any conversation they know the same."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache
from typing import Literal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handsfree.book import Book
from handsfree.language.heard import Heard, with_a_hole
from handsfree.language.meaning import overall_outcome
from handsfree.language.phrase import Phrase
from handsfree.walk import route
from handsfree.walk.events import Begin, Event, Expect, Resumed, Silence, Spoken
from handsfree.walk.machine import expect
from handsfree.walk.state import WalkState
from tests.walk.conversation import small
from tests.walk.reference import Found, LeftOutError, Record, is_covered, record
from tests.walk.test_any_conversation import heard, sayable, way_out

Turn = Literal["forward", "back", "correct", "affirm", "pass", "finding", "control", "two", "after", "doubt", "guess",
               "hole", "chatter", "silence", "restart"]  # fmt: skip
OFTEN: dict[Turn, int] = {
    "forward": 4, "back": 1, "correct": 1, "affirm": 3, "pass": 1, "finding": 3, "control": 3, "two": 3, "after": 1,
    "doubt": 1, "guess": 2, "hole": 1, "chatter": 1, "silence": 1, "restart": 1,
}  # fmt: skip
TURNS: tuple[Turn, ...] = tuple(turn for turn, often in OFTEN.items() for _ in range(often))
"""What happens next; "two" = any two clauses in a breath, "after" = an answer and a control word."""
SEVERAL = ("forward", "back")
"""Happen several times in a row, to get about on the walk."""
Choice = tuple[Turn, int, int]
CHOICES = st.tuples(st.sampled_from(TURNS), st.integers(0, 10_000), st.integers(0, 10_000))
KNOWN = Begin(who="AB", registration="Q7KTA", level_check=False)


@cache
def covered(book: Book, expected: Expect) -> dict[str, tuple[Phrase, ...]]:
    """What can be said and is spoken of by the reference, by its outcome; a value is a kind of pass."""
    kinds: dict[str, list[Phrase]] = {"pass": [], "finding": [], "control": [], "all": []}
    for phrase in sayable(book, expected):
        if is_covered(phrase.meaning):
            outcome = phrase.meaning.outcome
            for kind in ("pass" if outcome == "value" else outcome, "all"):
                kinds[kind].append(phrase)
    return {kind: tuple(phrases) for kind, phrases in kinds.items()}


@cache
def forward(book: Book, expected: Expect) -> Heard:
    """What brings the walk nearer to its end."""
    return heard(book, expected, way_out(book, WalkState(moment=expected.moment, item=expected.item)))


def named(by_kind: dict[str, tuple[Phrase, ...]], control: str) -> tuple[Phrase, ...]:
    """The control word with this name, where it can be said."""
    return next(((one,) for one in by_kind["control"] if one.meaning.get("control") == control), ())


def next_input(book: Book, state: WalkState, choice: Choice) -> Event:
    """The input that a choice stands for at this moment."""
    turn, one, other = choice
    expected = expect(state)
    by_kind = covered(book, expected)
    match turn:
        case "silence":
            return Silence(lost_sound=other % 5 == 0)
        case "restart":
            return Resumed()
        case "forward":
            return Spoken(forward(book, expected))
        case "affirm":
            return Spoken(heard(book, expected, ("affirm", "negative")[other % 4 == 0]))
        case "chatter" | "doubt" | "guess":
            guesses = any_of(by_kind, "finding", one) if turn == "guess" else ()
            return Spoken(in_doubt(turn, guesses))
        case _:
            return Spoken(in_a_breath(said_in(choice, by_kind), hole=turn == "hole"))


def in_doubt(turn: Turn, guesses: tuple[Phrase, ...]) -> Heard:
    """No answer: talk to somebody else, or something that was not understood."""
    if turn == "chatter":
        return Heard("none", "boarding at gate four")
    return Heard("ask", "mumble", tuple(phrase.meaning for phrase in guesses))


def any_of(by_kind: dict[str, tuple[Phrase, ...]], kind: str, pick: int) -> tuple[Phrase, ...]:
    """One of a kind, or of any if there is none of it; none if nothing can be said."""
    phrases = by_kind[kind] or by_kind["all"]
    return (phrases[pick % len(phrases)],) if phrases else ()


def said_in(choice: Choice, by_kind: dict[str, tuple[Phrase, ...]]) -> tuple[Phrase, ...]:
    """The clauses of a turn that is made of them."""
    turn, one, other = choice
    match turn:
        case "back":
            return named(by_kind, "previous_item")
        case "correct":
            return named(by_kind, ("correction", "disregard")[other % 2])
        case "two":
            return (*any_of(by_kind, "all", one), *any_of(by_kind, ("all", "finding", "pass")[other % 3], other))
        case "after":
            return (*any_of(by_kind, "pass", one), *any_of(by_kind, "control", other))
        case _:
            return any_of(by_kind, "all" if turn == "hole" else turn, one)


def in_a_breath(said: tuple[Phrase, ...], *, hole: bool) -> Heard:
    """As ears that hear every word give it."""
    if not said:
        return Heard("none", "a note")
    meanings = tuple(dict.fromkeys(phrase.meaning for phrase in said))
    whole = Heard(overall_outcome(meanings), ", ".join(phrase.text for phrase in said), meanings)
    return with_a_hole(whole) if hole else whole


def known(book: Book, state: WalkState) -> Record:
    """What the machine has recorded."""
    items = book.checklist.items()
    return Record(
        state.moment,
        state.item,
        tuple((item.id, route.status(state, item)) for item in items),
        tuple(item.id for item in route.unanswered(book.checklist, state)),
        tuple(
            Found(one.item, one.meaning.slots, one.standing, one.confirmed)
            for one in state.answers
            if one.kind == "finding"
        ),
        frozenset(state.holds),
        state.outcome,
    )


def times(choice: Choice) -> int:
    """How often in a row it happens."""
    turn, _, other = choice
    return 1 + other % 4 if turn in SEVERAL else 1


@dataclass
class SideBySide:
    """A conversation with the machine; the reference is given all of it anew."""

    book: Book
    state: WalkState = field(default_factory=WalkState)
    inputs: list[Event] = field(default_factory=list[Event])

    def take(self, came: Event) -> None:
        self.state, _ = self.book.walk.step(self.state, came)
        self.inputs.append(came)

    def compare(self) -> None:
        """Raises AssertionError with the conversation so far, LeftOutError where the reference has nothing to say."""
        wanted, got = record(self.book.checklist, self.inputs), known(self.book, self.state)
        if wanted != got:
            names = (name for name in Record.__dataclass_fields__ if getattr(wanted, name) != getattr(got, name))
            differences = [f"{name}: wanted {getattr(wanted, name)}, got {getattr(got, name)}" for name in names]
            raise AssertionError("\n".join([*map(as_said, self.inputs), *differences]))


def as_said(came: Event) -> str:
    """An input in a line."""
    if not isinstance(came, Spoken):
        return f"~ {type(came).__name__.lower()}"
    guess = f" | {[one.slots for one in came.heard.meanings]}" if came.heard.outcome == "ask" else ""
    return f"{'?' if came.heard.outcome == 'ask' else '>'} {came.heard.said}{guess}"


PATIENT = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])


@settings(PATIENT, max_examples=150)
@given(st.lists(CHOICES, max_size=40))
def test_the_walk_records_what_the_reference_says(choices: list[Choice]) -> None:
    both = SideBySide(small())
    both.take(KNOWN)
    both.compare()
    with suppress(LeftOutError):
        for choice in choices:
            for _ in range(times(choice)):
                both.take(next_input(both.book, both.state, choice))
                both.compare()


def test_a_whole_walk_is_compared_to_its_end() -> None:
    both = SideBySide(small())
    both.take(KNOWN)
    while both.state.moment != "ended":
        both.compare()
        both.take(next_input(both.book, both.state, ("forward", 0, 0)))
    both.compare()
    assert record(both.book.checklist, both.inputs).outcome == "complete"
    assert len(both.inputs) > len(both.book.checklist.items())


def test_a_difference_is_told_with_the_conversation() -> None:
    both = SideBySide(small())
    both.take(KNOWN)
    both.take(next_input(both.book, both.state, ("affirm", 0, 0)))
    both.state = both.state.but(outcome="complete")
    with pytest.raises(AssertionError, match=r"^~ begin\n> negative\noutcome: wanted , got complete$"):
        both.compare()


@pytest.mark.parametrize("words", ["fuel leak left wing", "voice note", "servicing done"])
def test_the_reference_does_not_speak_of_what_it_leaves_out(words: str) -> None:
    both = SideBySide(small())
    both.take(KNOWN)
    for said in ("affirm", words):
        both.take(Spoken(heard(both.book, expect(both.state), said)))
    with pytest.raises(LeftOutError):
        both.compare()
