"""Conversations of anything that can be said, in any order, as many as one likes: the same ones each time."""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import cache
from multiprocessing import get_context

from handsfree.book import Book
from handsfree.language.meaning import Meaning
from handsfree.walk.events import Begin, Event, Spoken
from handsfree.walk.machine import expect
from handsfree.walk.state import Answer
from tests.faults.figures import Row
from tests.walk.conversation import kept, small
from tests.walk.reference import LeftOutError
from tests.walk.test_against_reference import KNOWN, TURNS, Choice, SideBySide, next_input, times
from tests.walk.test_any_conversation import KINDS, TALKING, Action, Witness, event, heard, landing, shipped, way_out

PICKS = 10_000
ONE_IN = 20
"""Of so many conversations one goes through the shipped checklist, which takes longer."""
COMPARED_EVERY = 16
"""Inputs between two comparisons with the reference, which goes through all of them each time."""
AXES = ("side", "number", "radial")


@cache
def shipped_and_kept() -> Book:
    """The shipped checklist."""
    return kept(Book(shipped().checklist))


@dataclass
class Conversation:
    """One of them: whatever its number makes of it."""

    number: int
    book: Book
    said: dict[tuple[Meaning, ...], None] = field(default_factory=dict[tuple[Meaning, ...], None])
    """Clauses that were clear, while answers were listened for, and what each may be kept as."""
    guessed: set[Meaning] = field(default_factory=set[Meaning])
    """Those that may have been said."""
    both: SideBySide | None = None
    """None = of all that can be said; else of what the reference speaks of."""
    inputs: int = 0
    compared: int = 0

    def __post_init__(self) -> None:
        self.chance = random.Random(self.number)
        self.witness = Witness(self.book)

    def hold(self) -> None:
        """To its end.  Raises AssertionError when something does not hold of it."""
        of_the_reference = self.chance.random() < 0.5
        begin = KNOWN if of_the_reference else self.chance.choice([KNOWN, Begin()])
        self.both = SideBySide(self.book) if of_the_reference else None
        self._take(begin)
        for came in self._anything():
            self._take(came)
        self._compare()
        for _ in range(4 * len(self.book.checklist.items()) + 40):
            if self.witness.state.moment == "ended":
                break
            words = way_out(self.book, self.witness.state)
            self._take(Spoken(heard(self.book, expect(self.witness.state), words)))
        assert self.witness.state.moment == "ended", "the walk cannot be brought to its end"
        self._compare()

    def _anything(self) -> Iterator[Event]:
        chance = self.chance
        for _ in range(chance.randrange(40)):
            one, other = chance.randrange(PICKS), chance.randrange(PICKS)
            if self.both is None:
                action: Action = (chance.choice(KINDS), one, other)
                yield event(self.book, expect(self.witness.state), action)
                continue
            choice: Choice = (chance.choice(TURNS), one, other)
            for _ in range(times(choice)):
                yield next_input(self.book, self.witness.state, choice)

    def _take(self, came: Event) -> None:
        expected = expect(self.witness.state)
        if isinstance(came, Spoken) and expected.moment in TALKING:
            for meaning in came.heard.meanings:
                if came.heard.outcome in ("ask", "none"):
                    self.guessed.add(meaning)
                else:
                    self.said[landing(meaning, came.heard, expected)] = None
        self.witness.see(came)
        self.inputs += 1
        if self.both is not None:
            self.both.inputs.append(came)
            self.both.state = self.witness.state
            if self.inputs % COMPARED_EVERY == 0:
                self._compare()

    def _compare(self) -> None:
        if self.both is not None:
            try:
                self.both.compare()
                self.compared += 1
            except LeftOutError:
                self.both = None

    def lost(self) -> int:
        """Findings that were clearly said, and are in no answer."""
        answers = [set(one.meaning.slots) for one in self.witness.state.answers if one.kind == "finding"]
        found = [landings for landings in self.said if landings[0].outcome == "finding"]
        return sum(not any(set(may_be.slots) <= one for may_be in landings for one in answers) for landings in found)

    def invented(self) -> int:
        """Answers that nobody gave."""
        return sum(not self._was_said(one) for one in self.witness.state.answers)

    def _was_said(self, answer: Answer) -> bool:
        if answer.kind != "finding":
            return (answer.meaning,) in self.said
        clear = {meaning for landings in self.said for meaning in landings}
        told = answer.meaning.as_dict()
        return any(told.items() - one.as_dict().items() <= self._added(told, one) for one in clear | self.guessed)

    @staticmethod
    def _added(told: dict[str, str], said: Meaning) -> set[tuple[str, str]]:
        """What the walk may add to a finding: where it landed, a position asked for, and that a number is bad."""
        own = {"item", *AXES, *(("finding",) if said.get("value") is not None else ())}
        may_be = said.outcome == "finding" or (said.outcome == "value" and "value" in told)
        return {(name, value) for name, value in told.items() if may_be and name in own}


def conversations(count: int, workers: int | None = None) -> Row:
    """The first so many of them; each worker is a process, as many as there are cores if not given."""
    row = Row("anything is said, in any order")
    inputs = compared = 0
    workers = workers or os.cpu_count() or 1
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        for held in pool.map(held_to_its_end, range(count), chunksize=20):
            row.count(lost=held.lost, invented=held.invented, problem=held.problem)
            inputs += held.inputs
            compared += held.compared
    row.figure = f"{inputs:,} inputs; {compared:,} comparisons with a slow reference"
    return row


@dataclass(frozen=True)
class Held:
    """What came of a conversation."""

    lost: int
    invented: int
    problem: str
    inputs: int
    compared: int


def held_to_its_end(number: int) -> Held:
    """One conversation, anew."""
    one = Conversation(number, shipped_and_kept() if number % ONE_IN == ONE_IN - 1 else small())
    problem = ""
    try:
        one.hold()
    except AssertionError as error:
        problem = f"conversation {number}: {error or 'an assertion without words'}"
    return Held(one.lost(), one.invented(), problem, one.inputs, one.compared)
