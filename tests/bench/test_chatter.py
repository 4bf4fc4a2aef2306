"""Sound in which nobody answers."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from handsfree.bench import chatter
from handsfree.bench.chatter import NOISE, READ_ALOUD, Overheard, Stretch, Taken, figures, overhear, sound_of, stretches
from handsfree.bench.errors import BenchError
from handsfree.bench.speech_level import power_db
from handsfree.hearing.ears import Ears
from handsfree.hearing.recogniser import RATE
from tests.support.words import tyres


def stretch(source: str = READ_ALOUD, seconds: float = 20.0, seed: int = 1) -> Stretch:
    return Stretch("noise" if source in NOISE else "talk", source, -30.0, item=0, seed=seed, seconds=seconds)


# The plan


def test_as_much_talk_as_noise_in_stretches_of_a_minute() -> None:
    planned = stretches(3600.0, items=9, seed=1)
    seconds: Counter[str] = Counter()
    for one in planned:
        seconds[one.kind] += round(one.seconds)
    assert seconds == {"talk": 3600, "noise": 3600}
    assert max(one.seconds for one in planned) == 60.0


def test_every_noise_comes_at_every_level_and_at_many_items() -> None:
    planned = stretches(3600.0, items=9, seed=1)
    noises = Counter((one.source, one.level_db) for one in planned if one.kind == "noise")
    assert len(noises) == 5 * 4
    assert min(noises.values()) == 3
    assert {one.item for one in planned} == set(range(9))


def test_the_last_stretch_is_shorter() -> None:
    assert [one.seconds for one in stretches(70.0, items=1, seed=1)] == [60.0, 10.0, 60.0, 10.0]


# The sound


@pytest.mark.parametrize("source", [READ_ALOUD, "babble", *NOISE])
def test_a_stretch_always_sounds_the_same_and_another_seed_otherwise(source: str) -> None:
    first, again, other = (sound_of(stretch(source, 5.0, seed)) for seed in (1, 1, 2))
    assert len(first) == 5 * RATE
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


@pytest.mark.parametrize("source", NOISE)
def test_noise_has_the_level_it_should_have(source: str) -> None:
    sound = sound_of(stretch(source)).astype(np.float32) / np.float32(32768.0)
    assert power_db(sound) == pytest.approx(-30.0, abs=0.5)


def test_people_speak_for_most_of_the_time_and_there_are_many_minutes_of_them() -> None:
    sound = sound_of(stretch()).astype(np.float32).reshape(-1, RATE // 2)
    assert (np.abs(sound).max(axis=1) > 300).mean() > 0.6
    assert chatter.recorded_s() > 15 * 60


def test_recordings_that_are_not_installed_are_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(chatter, "_TELEPHONE", tmp_path)
    chatter._recordings.cache_clear()  # pyright: ignore[reportPrivateUsage]
    with pytest.raises(BenchError) as caught:
        sound_of(stretch())
    assert caught.value.hint == "on Debian or Ubuntu: apt install asterisk-core-sounds-en-wav"


# The figures


def test_what_was_taken_for_an_answer_is_counted_by_kind_and_per_hour() -> None:
    taken = tuple(Taken(outcome, "words") for outcome in ("pass", "finding", "finding", "value", "control", "ask"))
    talk, read, noise, pink = figures([Overheard(stretch("pink", 60.0), ()), Overheard(stretch(seconds=1800.0), taken)])
    assert [one.name for one in (talk, read, noise, pink)] == ["all talk", READ_ALOUD, "all noise", "pink"]
    assert (talk.passes, talk.findings, talk.values, talk.controls, talk.asks, talk.accepted) == (1, 2, 1, 1, 1, 5)
    assert talk.per_hour(talk.accepted) == 10.0
    assert (noise.hours, noise.accepted) == (pytest.approx(1 / 60), 0)


def test_recordings_that_come_again_are_not_new_sound() -> None:
    talk, *_ = figures([Overheard(stretch(seconds=3600.0), ())] * 2)
    assert talk.hours == 2.0
    assert talk.distinct_hours == pytest.approx(chatter.recorded_s() / 3600)


# Real ears


@pytest.mark.parametrize("source", [READ_ALOUD, "babble", "pink", "turbine", "rain"])
def test_twenty_seconds_of_it_pass_nothing(ears: Ears, source: str) -> None:
    heard = overhear(ears, tyres(), stretch(source))
    assert [taken for taken in heard.taken if taken.outcome == "pass"] == []
