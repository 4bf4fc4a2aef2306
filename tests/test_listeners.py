"""Typed answers are taken as strictly as spoken ones; a mouth that speaks shuts the ears."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from decimal import Decimal
from typing import Literal

import numpy as np
import pytest

from handsfree.hearing.ears import Ears, Utterance
from handsfree.language.heard import Heard
from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Entry, NumberEntry, Vocabulary
from handsfree.listeners import Metered, SoundListener, TypedListener, understand
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
    expected = small().listening.vocabulary(moment)
    return [listener.listen(expected, moment) for _ in range(len(words) + 1)]


def understood(text: str, moment: Expect, among: Vocabulary | None = None) -> tuple[str, str]:
    """Outcome and words of one typed line."""
    heard = TypedListener(lines(text)).listen(among or small().listening.vocabulary(moment), moment).heard
    assert heard is not None
    return heard.outcome, heard.said


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
    ("moment", "text", "said"),
    [
        ("who", "LM", "lima mike"),
        ("who", "l.m", "lima mike"),
        ("registration", "Q7KTA", "quebec seven kilo tango alfa"),
        ("registration", "q7-kta", "quebec seven kilo tango alfa"),
        ("registration", "Q 7 K T A", "quebec seven kilo tango alfa"),
        ("registration", "quebec seven kilo tango alfa", "quebec seven kilo tango alfa"),
    ],
)
def test_a_keyboard_gives_characters_where_a_voice_spells(
    moment: Literal["who", "registration"], text: str, said: str
) -> None:
    assert understood(text, Expect(moment)) == ("value", said)


@pytest.mark.parametrize("text", ["say again", "SAY AGAIN"])
def test_words_that_are_expected_are_not_spelled(text: str) -> None:
    assert understood(text, Expect("who")) == ("control", "say again")


@pytest.mark.parametrize("text", ["hello there", "LM!", "Q7KTAA"])
def test_characters_that_spell_nothing_expected_stay_what_was_typed(text: str) -> None:
    assert understood(text, Expect("registration")) == ("ask", text)


@pytest.mark.parametrize(
    ("text", "outcome", "said"),
    [
        ("12 cm", "value", "one two centimetres"),
        ("12cm", "value", "one two centimetres"),
        ("12 CM", "value", "one two centimetres"),
        ("12 centimetres", "value", "one two centimetres"),
        ("7", "value", "seven"),
        ("12 kg", "ask", "12 kg"),
        ("Dry & tidy", "pass", "dry and tidy"),
    ],
)
def test_what_a_keyboard_shortens_is_taken_as_it_is_said(text: str, outcome: str, said: str) -> None:
    pattern = grammars().expansion
    extension = NumberEntry(
        None, pattern("centimetres"), Decimal(0), Decimal(60), Decimal(1), "number", (("item", "strut"),)
    )
    strut = Vocabulary.build([Entry(pattern("dry and tidy"), "pass", (("item", "strut"),))], [extension])
    assert understood(text, AT_NOSE_GEAR, strut) == (outcome, said)


@pytest.mark.parametrize("text", ["dry\ufffd", "dry\x00", "\x1b[Ddry", "un\xadserviceable dry"])
def test_what_is_no_text_passes_nothing_and_is_made_harmless(text: str) -> None:
    outcome, said = understood(text, AT_NOSE_GEAR)
    assert outcome == "ask"
    assert said.isprintable()


def test_a_finding_with_a_piece_that_is_no_text_is_asked_about() -> None:
    heard = typed("worn on tyre two\udce9")[0].heard
    assert heard is not None
    assert heard.outcome == "ask"
    assert [one.get("finding") for one in heard.meanings] == ["worn"]


def test_tabs_and_wide_spaces_are_spaces() -> None:
    assert understood("nose\tgear\xa0serviceable", AT_NOSE_GEAR) == ("pass", "nose gear serviceable")


def test_a_file_poured_in_is_not_looked_at_word_by_word() -> None:
    outcome, said = understood("dry and " * 100_000, AT_NOSE_GEAR)
    assert outcome == "ask"
    assert len(said) < 600


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


class ScriptedEars(Ears):
    """Hears what it is told to."""

    def __init__(self, *heard: Heard) -> None:
        self._heard = iter(heard)

    def listen(self, *_: object, **__: object) -> Utterance:
        return Utterance(next(self._heard), np.zeros(0, dtype=np.int16), ended=False)


PASS = understand("nose gear serviceable", vocabulary())
FINDING = understand("cut on tyre two", vocabulary())
AFFIRM = understand("affirm", small().listening.vocabulary(Expect("read_back", "nose-gear")))
SILENCE = Heard("none", why="silence", noise_dbfs=-20.0, too_loud=True)


def listened(heard: Heard, *overflows: int) -> Listened:
    """What comes of it when the microphone has overflowed so often in all, at each listening."""
    counts = iter(overflows)
    listener = SoundListener(lambda: ScriptedEars(*[heard] * len(overflows)), iter(()), None, lambda: next(counts))
    return [listener.listen(vocabulary(), AT_NOSE_GEAR) for _ in overflows][-1]


@pytest.mark.parametrize("heard", [PASS, AFFIRM])
def test_an_answer_of_which_sound_was_lost_is_asked_again(heard: Heard) -> None:
    answer = listened(heard, 1).heard
    assert answer is not None
    assert (answer.outcome, answer.meanings, answer.lost_sound) == ("ask", (), True)


def test_a_finding_of_which_sound_was_lost_is_a_finding() -> None:
    answer = listened(FINDING, 1).heard
    assert answer is not None
    assert (answer.outcome, answer.meanings, answer.lost_sound) == ("finding", FINDING.meanings, True)


def test_sound_lost_in_an_earlier_answer_does_not_count() -> None:
    assert listened(PASS, 0).heard == PASS
    assert listened(PASS, 2, 2).heard == PASS


def test_of_silence_it_is_told_how_loud_it_was_and_that_sound_was_lost() -> None:
    assert listened(SILENCE, 0) == Listened(None, noise_dbfs=-20.0, too_loud=True)
    assert listened(SILENCE, 1) == Listened(None, noise_dbfs=-20.0, too_loud=True, lost_sound=True)


def test_the_level_is_shown_before_each_block() -> None:
    shown: list[float] = []
    blocks = [np.zeros(3, dtype=np.int16), np.ones(3, dtype=np.int16)]
    levels = iter([-60.0, -20.0])
    assert len(list(Metered(iter(blocks), lambda: next(levels), shown.append))) == 2
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
