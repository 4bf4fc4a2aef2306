"""One call of listen: from blocks of sound to an utterance, with a scripted recogniser."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from handsfree.hearing.ears import Ears, Utterance
from handsfree.hearing.recogniser import HearingError, Hypothesis
from handsfree.hearing.settings import HearingSettings
from handsfree.language.grammars import Grammars
from handsfree.language.vocabulary import Entry, Vocabulary
from tests.support.scripted_recogniser import ScriptedRecogniser
from tests.support.sounds import Sound, blocks, joined, pink_noise, quiet, tone
from tests.support.words import tyres

PAUSE_S = HearingSettings().endpoint.pause_complete_s
GOOD = (Hypothesis("tires good", 100.0),)
UNKNOWN = (Hypothesis("[unk]", 100.0),)
NOTHING = (Hypothesis("", 100.0),)


def scripted(*scripts: tuple[Hypothesis, ...]) -> tuple[Ears, ScriptedRecogniser]:
    recogniser = ScriptedRecogniser(list(scripts))
    return Ears(Path("no-model"), load=lambda _model: recogniser), recogniser


def said(seconds: float = 0.6) -> Sound:
    return tone(seconds, 2000)


def heard(sound: Sound, *scripts: tuple[Hypothesis, ...], patience_s: float | None = None) -> Utterance:
    return scripted(*scripts)[0].listen(blocks(sound), tyres(), patience_s=patience_s)


def test_what_was_said_comes_with_its_sound_its_noise_and_its_time() -> None:
    noise = pink_noise(6.0, 100)
    utterance = heard(noise + joined(quiet(2.0), said(), quiet(3.4)), NOTHING, GOOD)
    assert utterance.heard.outcome == "pass"
    assert utterance.heard.said == "tyres good"
    assert utterance.heard.snr_db == pytest.approx(26.0, abs=1.0)
    assert utterance.heard.decided_after_s is not None
    assert PAUSE_S <= utterance.heard.decided_after_s < PAUSE_S + 0.15
    assert 0.6 + 0.3 + 0.3 <= len(utterance.clip) / 16000 <= 0.6 + 0.6 + 0.5
    assert not utterance.ended


@pytest.mark.parametrize("before_s", [0.0, 0.05, 0.3, 2.0])
def test_speech_may_begin_with_the_first_sample(before_s: float) -> None:
    utterance = heard(joined(quiet(before_s), said(), quiet(2.0)), GOOD)
    assert utterance.heard.outcome == "pass"
    assert len(utterance.clip) / 16000 >= 0.6 + min(before_s, 0.4)


def test_a_source_that_breaks_off_in_a_word_is_decided_as_if_silence_followed() -> None:
    utterance = heard(joined(quiet(1.0), said()), GOOD)
    assert utterance.ended
    assert utterance.heard.outcome == "pass"
    assert utterance.heard.decided_after_s == pytest.approx(PAUSE_S, abs=0.12)


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


def test_a_pause_within_an_answer_does_not_cut_it() -> None:
    utterance = heard(joined(quiet(1.0), said(), quiet(0.6), said(), quiet(2.0)), GOOD)
    assert len(utterance.clip) / 16000 > 1.8


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
    ears, recogniser = scripted(GOOD, GOOD)
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
    assert recogniser.begun == [(*tyres().recogniser_list(), "and", "but"), ("tires good", "and", "but")]


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
