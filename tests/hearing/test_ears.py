"""One call of listen: from blocks of sound to an utterance, with a scripted recogniser."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

from handsfree.hearing.ears import Ears, Utterance
from handsfree.hearing.recogniser import HearingError, Hypothesis
from handsfree.hearing.settings import HearingSettings
from handsfree.language.grammars import Grammars
from handsfree.language.heard import Heard
from handsfree.language.vocabulary import Entry, Vocabulary
from tests.support.scripted_recogniser import ScriptedRecogniser
from tests.support.sounds import Sound, blocks, joined, pink_noise, quiet, tone
from tests.support.words import tyres

ENDPOINT = HearingSettings().endpoint
BETWEEN_S = (ENDPOINT.pause_pass_s + ENDPOINT.answer_pass_s) / 2
"""A pause in which a pass is decided already and not yet given out."""
GOOD = (Hypothesis("tires good", 100.0),)
CUT = (Hypothesis("cut on tire two", 100.0),)
BOTH = (Hypothesis("tires good cut on tire two", 100.0),)
CUT_THREE = (Hypothesis("cut on tire three", 100.0),)
OPEN = (Hypothesis("cut on", 100.0),)
UNKNOWN = (Hypothesis("[unk]", 100.0),)
NOTHING = (Hypothesis("", 100.0),)


def scripted(*scripts: tuple[Hypothesis, ...]) -> tuple[Ears, ScriptedRecogniser]:
    recogniser = ScriptedRecogniser(list(scripts))
    return Ears(Path("no-model"), load=lambda _model, _costs: recogniser), recogniser


def said(seconds: float = 0.6) -> Sound:
    return tone(seconds, 2000)


def heard(sound: Sound, *scripts: tuple[Hypothesis, ...], patience_s: float | None = None) -> Utterance:
    return scripted(*scripts)[0].listen(blocks(sound), tyres(), patience_s=patience_s)


@dataclass
class Told:
    """Listens to a sound, and notes what was told before the answer and at which second of the sound."""

    ears: Ears
    sound: Sound
    decided: list[tuple[str, float]] = field(default_factory=list[tuple[str, float]])
    """Each early decision."""
    now_s: float = 0.0
    """How much of the sound was taken so far."""

    def __post_init__(self) -> None:
        self._blocks = self._taken()

    def _taken(self) -> Iterator[Sound]:
        for block in blocks(self.sound, 800):
            self.now_s += len(block) / 16000
            yield block

    def listen(self) -> Utterance:
        return self.ears.listen(self._blocks, tyres(), patience_s=None, on_decided=self._note)

    def _note(self, heard: Heard) -> None:
        self.decided.append((heard.outcome, self.now_s))


def test_what_was_said_comes_with_its_sound_its_noise_and_its_time() -> None:
    noise = pink_noise(6.0, 100)
    utterance = heard(noise + joined(quiet(2.0), said(), quiet(3.4)), GOOD)
    assert utterance.heard.outcome == "pass"
    assert utterance.heard.said == "tyres good"
    assert utterance.heard.snr_db == pytest.approx(26.0, abs=1.0)
    assert utterance.heard.decided_after_s is not None
    assert ENDPOINT.pause_pass_s <= utterance.heard.decided_after_s < ENDPOINT.pause_pass_s + 0.15
    assert 0.6 + 0.3 + 0.3 <= len(utterance.clip) / 16000 <= 0.6 + 0.6 + 0.5
    assert not utterance.ended


@pytest.mark.parametrize(("again", "outcome"), [(GOOD, "pass"), (CUT, "ask"), (NOTHING, "ask"), (UNKNOWN, "ask")])
def test_a_pass_is_doubted_once_before_it_counts(again: tuple[Hypothesis, ...], outcome: str) -> None:
    ears, recogniser = scripted(GOOD)
    recogniser.doubts = again
    utterance = ears.listen(blocks(joined(quiet(2.0), said(), quiet(3.4))), tyres(), patience_s=None)
    assert utterance.heard.outcome == outcome
    assert [one.outcome for one in utterance.heard.meanings] == ["pass"]


def test_a_finding_counts_at_once() -> None:
    ears, recogniser = scripted(CUT)
    recogniser.doubts = NOTHING
    assert (
        ears.listen(blocks(joined(quiet(2.0), said(), quiet(3.4))), tyres(), patience_s=None).heard.outcome == "finding"
    )


@pytest.mark.parametrize("before_s", [0.0, 0.05, 0.3, 2.0])
def test_speech_may_begin_with_the_first_sample(before_s: float) -> None:
    utterance = heard(joined(quiet(before_s), said(), quiet(2.0)), GOOD)
    assert utterance.heard.outcome == "pass"
    assert len(utterance.clip) / 16000 >= 0.6 + min(before_s, 0.4)


def test_a_source_that_breaks_off_in_a_word_is_decided_as_if_silence_followed() -> None:
    utterance = heard(joined(quiet(1.0), said()), GOOD)
    assert utterance.ended
    assert utterance.heard.outcome == "pass"
    assert utterance.heard.decided_after_s == pytest.approx(ENDPOINT.pause_pass_s, abs=0.12)


def test_nobody_speaks() -> None:
    utterance = heard(quiet(8.0), patience_s=3.0)
    assert (utterance.heard.outcome, utterance.heard.why, utterance.ended) == ("none", "silence", False)
    assert len(utterance.clip) == 0


def test_the_source_runs_dry_before_anyone_speaks() -> None:
    for sound in (quiet(1.0), quiet(0), np.zeros(7, dtype=np.int16)):
        utterance = heard(sound, patience_s=5.0)
        assert (utterance.heard.why, utterance.ended) == ("silence", True)


def test_patience_does_not_cut_into_speech() -> None:
    utterance = heard(joined(quiet(2.8), said(), quiet(2.0)), GOOD, patience_s=3.0)
    assert utterance.heard.outcome == "pass"


def test_noise_alone_never_starts_the_recogniser_once_it_is_known() -> None:
    ears, recogniser = scripted(NOTHING)
    for _ in range(3):
        utterance = ears.listen(blocks(pink_noise(10.0, 1000)), tyres(), patience_s=None)
        assert utterance.heard.why == "silence"
    assert len(recogniser.begun) == 1
    assert recogniser.fed[0] < 2.0


def test_words_out_of_mere_noise_are_not_believed() -> None:
    """A click of 40 ms for which the recogniser finds a word."""
    click = joined(quiet(1.0), tone(0.06, 3000), quiet(3.0))
    assert heard(pink_noise(len(click) / 16000, 30) + click, GOOD).heard.why == "silence"


def test_a_noise_without_a_word_is_passed_over_and_the_answer_after_it_is_heard() -> None:
    utterance = heard(joined(quiet(1.0), said(), quiet(2.0), said(), quiet(2.0)), NOTHING, GOOD)
    assert utterance.heard.outcome == "pass"


def test_what_was_not_for_us_is_told_as_none() -> None:
    utterance = heard(joined(quiet(1.0), said(), quiet(2.0)), UNKNOWN)
    assert utterance.heard.outcome == "none"
    assert utterance.heard.why != "silence"


# Early decision, later answer


@pytest.mark.parametrize("script", [GOOD, CUT_THREE], ids=["a pass", "a finding"])
def test_a_decision_is_told_early_and_given_out_after_a_longer_pause(script: tuple[Hypothesis, ...]) -> None:
    told = Told(scripted(script)[0], joined(quiet(1.0), said(), quiet(3.0)))
    utterance = told.listen()
    ((outcome, decided_s),) = told.decided
    assert utterance.heard.outcome == outcome
    assert 0.0 <= decided_s - 1.6 - ENDPOINT.pause_after(outcome) <= 0.2
    assert 0.0 <= told.now_s - 1.6 - ENDPOINT.pause_before_answer(utterance.heard.outcome) <= 0.2
    assert utterance.heard.decided_after_s == pytest.approx(decided_s - 1.6, abs=0.15)


@pytest.mark.parametrize("script", [OPEN, UNKNOWN], ids=["a question", "not for us"])
def test_what_is_not_certain_is_not_told_early(script: tuple[Hypothesis, ...]) -> None:
    told = Told(scripted(script)[0], joined(quiet(1.0), said(), quiet(3.0)))
    assert told.listen().heard.outcome in {"ask", "none"}
    assert told.decided == []


def test_a_second_thing_after_a_pause_shorter_than_the_answer_s_is_joined_and_both_are_in_the_result() -> None:
    ears, recogniser = scripted(GOOD, BOTH)
    told = Told(ears, joined(quiet(1.0), said(), quiet(BETWEEN_S), said(), quiet(3.0)))
    utterance = told.listen()
    assert utterance.heard.outcome == "finding"
    assert [meaning.outcome for meaning in utterance.heard.meanings] == ["pass", "finding"]
    assert [outcome for outcome, _ in told.decided] == ["pass", "finding"], "the first decision is told, then the other"
    assert len(utterance.clip) / 16000 > 0.6 + BETWEEN_S + 0.6
    assert len(recogniser.begun) == 2
    assert recogniser.fed[1] > 0.6 + BETWEEN_S + 0.6, "all of it is heard again, as one"


def test_after_a_longer_pause_it_is_the_next_utterance() -> None:
    ears, recogniser = scripted(GOOD, CUT)
    told = Told(ears, joined(quiet(1.0), said(), quiet(ENDPOINT.answer_pass_s + 0.2), said(), quiet(3.0)))
    assert [told.listen().heard.outcome for _ in range(2)] == ["pass", "finding"]
    assert len(recogniser.begun) == 2


def test_a_third_thing_is_joined_too() -> None:
    third = (Hypothesis("tires good cut on tire two worn", 100.0),)
    sound = joined(quiet(1.0), said(), quiet(BETWEEN_S), said(), quiet(ENDPOINT.answer_finding_s - 0.1), said())
    utterance = heard(joined(sound, quiet(3.0)), GOOD, BOTH, third)
    assert len(utterance.heard.meanings) == 3


@pytest.mark.parametrize(("flicker_s", "times_heard"), [(0.02, 1), (0.12, 2)], ids=["a click", "a knock"])
def test_a_noise_after_the_decision_does_not_change_it(flicker_s: float, times_heard: int) -> None:
    ears, recogniser = scripted(GOOD, GOOD)
    told = Told(ears, joined(quiet(1.0), said(), quiet(BETWEEN_S), tone(flicker_s, 2000), quiet(3.0)))
    utterance = told.listen()
    assert (utterance.heard.outcome, utterance.heard.said) == ("pass", "tyres good")
    assert {outcome for outcome, _ in told.decided} == {"pass"}
    assert len(recogniser.begun) == times_heard


@pytest.mark.parametrize("words", [GOOD, CUT_THREE], ids=["a pass", "a finding"])
def test_a_whole_answer_is_given_out_in_a_noise_that_never_pauses(words: tuple[Hypothesis, ...]) -> None:
    told = Told(scripted(words)[0], joined(quiet(1.0), said(6.0)))
    utterance = told.listen()
    assert not utterance.ended
    assert utterance.heard.outcome == told.decided[0][0]
    assert told.now_s - 1.0 == pytest.approx(ENDPOINT.stable_s, abs=0.3)


def test_a_noise_that_comes_and_goes_does_not_hold_an_answer_back_for_long() -> None:
    ears, recogniser = scripted(*[GOOD] * 20)
    told = Told(ears, joined(quiet(1.0), said(), *[quiet(BETWEEN_S), said(0.15)] * 20))
    assert told.listen().heard.outcome == "pass"
    assert told.now_s < 1.6 + 4.0
    assert len(recogniser.begun) < 6


def test_one_call_after_another_goes_on_where_the_last_one_stopped() -> None:
    ears, recogniser = scripted(GOOD, UNKNOWN)
    source = iter([joined(quiet(1.0), said(), quiet(1.5), said(), quiet(1.5))])
    first = ears.listen(source, tyres(), patience_s=None)
    second = ears.listen(source, tyres(), patience_s=None)
    third = ears.listen(source, tyres(), patience_s=None)
    assert [first.heard.outcome, second.heard.outcome, third.heard.why] == ["pass", "none", "silence"]
    assert third.ended
    assert len(recogniser.begun) == 2


def test_another_source_begins_afresh() -> None:
    ears, _ = scripted(GOOD)
    ears.listen(iter([joined(said(), quiet(9.0))]), tyres(), patience_s=None)
    assert ears.listen(iter([quiet(0.5)]), tyres(), patience_s=None).ended


@pytest.mark.parametrize("size", [160, 1600, 1601, 50000])
def test_the_size_of_blocks_makes_no_difference(size: int) -> None:
    ears, _ = scripted(GOOD)
    sound = joined(quiet(1.0), said(), quiet(3.0))
    assert ears.listen(blocks(sound, size), tyres(), patience_s=None).heard.outcome == "pass"


def test_what_is_too_long_is_no_answer_and_its_rest_is_none_either() -> None:
    ears, recogniser = scripted(OPEN, GOOD)
    source = blocks(joined(quiet(1.0), *[said(0.3), quiet(0.2)] * 32, quiet(2.0), said(), quiet(2.0)))
    first = ears.listen(source, tyres(), patience_s=None)
    assert first.heard.outcome == "ask"
    assert "too long" in first.heard.why
    second = ears.listen(source, tyres(), patience_s=None)
    assert second.heard.outcome == "pass"
    assert len(second.clip) / 16000 < 2.0
    assert max(recogniser.fed) < HearingSettings().endpoint.longest_s + 1.0


def test_each_utterance_has_a_recogniser_of_its_own_with_the_phrases_of_the_moment() -> None:
    ears, recogniser = scripted(GOOD, GOOD)
    other = Vocabulary.build([Entry(Grammars([]).expansion("tyres good"), "pass")])
    for vocabulary in (tyres(), other):
        ears.listen(blocks(joined(said(), quiet(2.0))), vocabulary, patience_s=None)
    assert recogniser.prepared == recogniser.begun == [tyres(), other]


def test_a_word_that_cannot_be_heard_is_refused_by_name_before_anything_is_heard() -> None:
    ears, _ = scripted()
    vocabulary = Vocabulary.build([Entry(Grammars([]).expansion("left nacelle dry"), "pass")])
    for refused in (
        lambda: ears.prepare(vocabulary),
        lambda: ears.listen(blocks(said()), vocabulary, patience_s=None),
    ):
        with pytest.raises(HearingError) as caught:
            refused()
        assert "nacelle" in caught.value.message
        assert "left nacelle dry" in caught.value.message
        assert "lexicon" in caught.value.hint
