"""When an utterance begins and ends."""

from __future__ import annotations

import pytest

from handsfree.hearing.endpoint import Activity, End, Endpointer, Wording
from handsfree.hearing.level import Framer
from handsfree.hearing.settings import EndpointSettings
from tests.support.sounds import Sound, joined, pink_noise, quiet, tone

SETTINGS = EndpointSettings()


def active(sound: Sound) -> Activity:
    activity = Activity(SETTINGS)
    activity.add(Framer().add(sound))
    return activity


def ends(words: str, wording: Wording, silences: list[float], *, recogniser: bool = False) -> list[End]:
    endpointer = Endpointer(SETTINGS)
    return [endpointer.after(0.1, words, wording, silence, recogniser) for silence in silences]


def test_speech_over_noise_begins_an_utterance_and_a_click_does_not() -> None:
    noise = pink_noise(2.0, 300)
    assert not active(noise).speaking
    assert active(joined(noise, tone(0.1, 2000))).speaking
    assert not active(joined(noise, tone(0.02, 8000), pink_noise(0.02, 300))).speaking


def test_a_file_may_begin_with_speech() -> None:
    activity = active(tone(0.2, 2000))
    assert activity.speaking
    assert activity.silent_s == 0


def test_silence_is_counted_from_the_last_speech() -> None:
    activity = active(joined(pink_noise(2.0, 300), tone(0.5, 3000), pink_noise(0.6, 300)))
    assert activity.silent_s == pytest.approx(0.6, abs=0.021)
    assert activity.active_s == pytest.approx(0.5, abs=0.041)
    assert activity.snr_db == pytest.approx(20.0, abs=1.0)


def test_noise_at_the_beginning_is_seen_through_once_it_is_known() -> None:
    noise = pink_noise(2.0, 1000)
    assert active(noise[:8000]).active_s > 0.4
    assert active(noise).active_s < 0.05


def test_what_was_learnt_of_the_noise_outlives_the_utterance() -> None:
    activity = active(pink_noise(2.0, 1000))
    activity.restart()
    activity.add(Framer().add(pink_noise(0.3, 1000, seed=2)))
    assert not activity.speaking


def test_made_up_silence_teaches_nothing() -> None:
    activity = active(pink_noise(2.0, 1000))
    activity.add(Framer().add(quiet(8.0)), learn=False)
    activity.restart()
    activity.add(Framer().add(pink_noise(0.3, 1000, seed=2)))
    assert not activity.speaking


def test_a_whole_phrase_ends_with_a_pause_and_an_open_one_with_a_longer_pause() -> None:
    assert SETTINGS.pause_complete_s < SETTINGS.pause_open_s
    pauses = [round(0.1 * step, 1) for step in range(1, 20)]
    pairs: list[tuple[Wording, float]] = [("complete", SETTINGS.pause_complete_s), ("open", SETTINGS.pause_open_s)]
    for wording, pause in pairs:
        answers = ends("worn", wording, pauses)
        assert pauses[answers.index("ended")] == pause


def test_a_pause_before_a_second_clause_does_not_end_the_utterance() -> None:
    assert set(ends("no leak", "complete", [0.0, 0.2, 0.4, 0.6, 0.7, 0.0])) == {"going on"}


def test_words_that_still_change_are_waited_for_but_not_for_long() -> None:
    endpointer = Endpointer(SETTINGS)
    silence, answers = 0.7, list[End]()
    for step in range(10):
        silence += 0.1
        answers.append(endpointer.after(0.1, f"word {step}", "complete", silence, recogniser_ended=False))
    assert answers[0] == "going on"
    assert answers.index("ended") == pytest.approx((SETTINGS.unstable_s + SETTINGS.pause_complete_s - 0.8) * 10, abs=1)


def test_a_noise_that_brings_no_word_ends_as_nothing() -> None:
    assert ends("", "empty", [0.0, 0.3, SETTINGS.pause_empty_s])[-1] == "nothing"


def test_the_recogniser_may_end_it_where_the_noise_hides_the_pause() -> None:
    assert ends("leak", "open", [0.0], recogniser=True) == ["ended"]


def test_an_utterance_has_a_longest_length() -> None:
    answers = ends("leak", "open", [0.0] * 130)
    assert answers.index("too long") == round(SETTINGS.longest_s * 10) - 1
