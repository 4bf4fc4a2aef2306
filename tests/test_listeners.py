"""Typed answers are taken as strictly as spoken ones; a mouth that speaks shuts the ears."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np
import pytest

from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Entry, Vocabulary
from handsfree.listeners import TypedListener, metered, understand
from handsfree.mouths import RenderingAhead, Silent
from handsfree.session import Listened
from handsfree.walk.events import Expect
from tests.support.words import grammars
from tests.walk.conversation import small

AT_NOSE_GEAR = Expect("item", "nose-gear")


def vocabulary() -> Vocabulary:
    return small().listening.vocabulary(AT_NOSE_GEAR)


def lines(*typed: str) -> Callable[[], str]:
    left = list(typed)

    def read() -> str:
        if not left:
            raise EOFError
        return left.pop(0)

    return read


def typed(*words: str, moment: Expect = AT_NOSE_GEAR) -> list[Listened]:
    listener = TypedListener(lines(*words))
    return [listener.listen(vocabulary(), moment) for _ in range(len(words) + 1)]


def test_a_line_is_an_utterance_an_empty_one_silence_and_then_it_ends() -> None:
    answer, silence, end = typed("  Nose gear serviceable\n", "\n")
    assert answer.heard is not None
    assert (answer.heard.outcome, answer.heard.said) == ("pass", "nose gear serviceable")
    assert silence == Listened(None)
    assert end == Listened(None, ended=True)


def test_a_typed_note_is_taken_as_it_is() -> None:
    note, _ = typed("covers off, and the catering truck is close", moment=Expect("note"))
    assert note.heard is not None
    assert (note.heard.outcome, note.heard.said) == ("none", "covers off, and the catering truck is close")


@pytest.mark.parametrize(
    "words",
    ["nose gear", "gear serviceable", "nose gear not serviceable tyres", "serviceable", "ok", "tyres gud", "no leek"],
)
def test_what_is_nearly_a_pass_is_a_question(words: str) -> None:
    heard = understand(words, vocabulary())
    assert heard.outcome == "ask"
    assert all(one.outcome == "finding" for one in heard.meanings), "a question may only guess at a finding"


def test_what_is_nearly_a_finding_is_a_question_about_it() -> None:
    heard = understand("cutt on tyre two", vocabulary())
    assert heard.outcome == "ask"
    assert heard.meanings == (Meaning.of("finding", item="nose-gear", finding="cut", number="2"),)


@pytest.mark.parametrize("words", ["nose gear unserviceable", "not dry", "tyres not good"])
def test_a_negation_is_never_taken_away(words: str) -> None:
    heard = understand(words, vocabulary())
    assert heard.outcome in ("ask", "finding")
    assert not any(one.outcome == "pass" for one in heard.meanings)


def test_of_words_with_two_meanings_every_finding_is_asked_about() -> None:
    pattern = grammars().expansion
    two = Vocabulary.build(
        [
            Entry(pattern("in sight"), "pass", (("item", "pin"),)),
            Entry(pattern("in sight"), "finding", (("item", "pin"), ("finding", "flush"))),
        ]
    )
    heard = understand("in sight", two)
    assert heard.outcome == "ask"
    assert Meaning.of("finding", item="pin", finding="flush") in heard.meanings


def test_the_level_is_shown_before_each_block() -> None:
    shown: list[float] = []
    blocks = [np.zeros(3, dtype=np.int16), np.ones(3, dtype=np.int16)]
    levels = iter([-60.0, -20.0])
    assert len(list(metered(blocks, lambda: next(levels), shown.append))) == 2
    assert shown == [-60.0, -20.0]


def test_prompts_are_rendered_ahead_only_once_the_first_words_are_spoken() -> None:
    class Voice(Silent):
        def __init__(self) -> None:
            self.order: list[str] = []

        def say(self, text: str) -> float:
            self.order.append(f"say {text}")
            return 1.0

        def prepare(self, texts: Iterable[str]) -> None:
            self.order += [f"render {text}" for text in texts]

    voice = Voice()
    mouth = RenderingAhead(voice, ["nose", "tail"])
    mouth.say("cautions")
    mouth.say("nose")
    assert voice.order == ["say cautions", "render nose", "render tail", "say nose"]
