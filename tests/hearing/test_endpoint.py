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


@pytest.mark.parametrize("wording", ["control", "finding", "value", "pass", "may go on", "open"])
def test_it_is_decided_after_the_pause_that_the_words_so_far_deserve(wording: Wording) -> None:
    pause_s = SETTINGS.pause_after(wording)
    assert ends("worn", wording, [0.0, pause_s - 0.001]) == ["going on", "going on"]
    assert ends("worn", wording, [pause_s]) == ["paused"]


def test_what_may_go_on_is_waited_for_longer_and_a_pass_longer_than_what_is_read_back() -> None:
    assert SETTINGS.pause_after("finding") < SETTINGS.pause_after("may go on") < SETTINGS.pause_after("open")
    assert SETTINGS.pause_after("finding") < SETTINGS.pause_after("pass") < SETTINGS.pause_after("open")


def test_a_decision_is_given_out_later_than_it_falls_and_a_pass_latest() -> None:
    for outcome in ("control", "finding", "value", "pass"):
        assert SETTINGS.pause_before_answer(outcome) >= SETTINGS.pause_after(outcome)
    for outcome in ("ask", "none"):
        assert SETTINGS.pause_before_answer(outcome) >= SETTINGS.pause_after("pass")
    sure = [SETTINGS.pause_before_answer(outcome) for outcome in ("control", "finding", "value", "pass")]
    assert sure == sorted(sure)


def test_words_of_a_whole_answer_that_stand_still_settle_it_whatever_the_noise_does() -> None:
    answers = ends("no leak", "pass", [0.0] * 30)
    assert answers.index("settled") == pytest.approx(SETTINGS.stable_s * 10, abs=1)
    for wording in ("open", "may go on"):
        assert set(ends("cut", wording, [0.0] * 30)) == {"going on"}


def test_words_that_still_change_do_not_settle() -> None:
    endpointer = Endpointer(SETTINGS)
    answers = {endpointer.after(0.1, f"word {step}", "pass", 0.0, recogniser_ended=False) for step in range(30)}
    assert answers == {"going on"}


def test_sound_that_went_by_unheard_tells_nothing_of_the_words_but_counts_for_the_length() -> None:
    endpointer = Endpointer(SETTINGS)
    endpointer.after(0.1, "no leak", "pass", 0.0, recogniser_ended=False)
    endpointer.wait(SETTINGS.longest_s - 0.5)
    assert endpointer.after(0.1, "no leak", "pass", 0.0, recogniser_ended=False) == "going on"
    assert endpointer.after(0.3, "no leak", "pass", 0.0, recogniser_ended=False) == "too long"


def test_a_noise_that_brings_no_word_ends_as_nothing() -> None:
    assert ends("", "empty", [0.0, 0.3, SETTINGS.pause_empty_s])[-1] == "nothing"


def test_the_recogniser_may_end_it_where_the_noise_hides_the_pause() -> None:
    assert ends("leak", "open", [0.0], recogniser=True) == ["settled"]


def test_an_utterance_has_a_longest_length() -> None:
    answers = ends("leak", "open", [0.0] * 130)
    assert answers.index("too long") == round(SETTINGS.longest_s * 10) - 1
