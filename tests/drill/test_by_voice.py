"""Practice with the real recogniser: what is only said while practising is heard, and so is a whole round."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache

import pytest

from demo.answering import blocks, in_quiet
from demo.inspector import Line
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.drill.attempt import attempt_of
from handsfree.hearing.ears import Ears
from handsfree.language.heard import Heard
from handsfree.resources import find_checklist
from handsfree.speech_model import locate
from handsfree.walk.course import Course
from handsfree.walk.events import Expect
from handsfree.walk.machine import expect
from handsfree.walk.state import WalkState
from tests.drill.practised import practice_book, small_exercise
from tests.drill.trainees import Ability, Trainee
from tests.walk.conversation import small

VOICES = ("flite/slt", "flite/rms")


@cache
def ears() -> Ears:
    return Ears(locate().path)


@pytest.fixture(scope="module", autouse=True)
def _freed() -> Iterator[None]:  # pyright: ignore[reportUnusedFunction]
    """The model is given back while its library is still there to take it."""
    yield
    ears.cache_clear()


@cache
def from_memory() -> Book:
    return Book(load(find_checklist("twin-turboprop")), course=Course("memory"))


def heard(words: str, voice: str, book: Book, expected: Expect) -> Heard:
    vocabulary = book.listening.vocabulary(expected)
    return ears().listen(blocks(in_quiet(Line(words, voice))), vocabulary, patience_s=4.0).heard


@pytest.mark.parametrize("voice", VOICES)
@pytest.mark.parametrize("words", ["tell me why", "what does bad look like", "what comes next", "give me a hint"])
def test_a_trainee_may_ask(words: str, voice: str) -> None:
    found = heard(words, voice, from_memory(), Expect("item", "nose-tyres"))
    assert (found.outcome, found.said) == ("control", words)


def test_the_names_of_items_are_heard_at_the_question_where_one_is() -> None:
    """Every third; all 84 by both voices were right when this was written."""
    book, wrong = from_memory(), list[str]()
    names = {one.meaning.get("at_item"): one.text for one in book.listening.vocabulary(Expect("where")).phrases}
    for number, item in enumerate(book.checklist.items()):
        if number % 3 == 0:
            found = heard(names[item.id], VOICES[number % 2], book, Expect("where"))
            if [one.get("at_item") for one in found.meanings] != [item.id]:
                wrong.append(f"{names[item.id]}: {found.said}")
    assert wrong == []


def test_a_whole_round_is_practised_by_voice() -> None:
    book = practice_book("scenes")

    def hear(words: str, state: WalkState) -> Heard:
        return heard(words, VOICES[0], book, expect(state))

    events = Trainee(book, small_exercise(), Ability(misses=0.0, alarms=0.0), random.Random(1), hear).go_through()
    found = attempt_of(events, small().checklist, small_exercise())
    outcomes = {one.scene.id: one.outcome for one in found.trials if one.scene.item}
    assert outcomes.pop("cover-left") == outcomes.pop("gauge-low") == "hit"
    assert set(outcomes.values()) == {"right"}
    assert [one.is_right for one in found.returns] == [True, True]
    assert found.left_out == ()
