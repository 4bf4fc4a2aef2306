"""Cleaned sound and smoothed levels, from blocks of any size."""

from __future__ import annotations

import numpy as np
import pytest

from handsfree.hearing.front_end import SMOOTHED_FRAMES, STREAMS, FrontEnd, Taken
from handsfree.hearing.level import FRAME, FRAME_S, SILENCE_DBFS
from tests.support.sounds import Sound, blocks, joined, pink_noise, quiet, rms, tone

RATE = 16000


def taken(sound: Sound, size: int = 1600) -> Taken:
    """All that a front end makes of a sound."""
    front_end = FrontEnd()
    pieces = [front_end.take(block) for block in blocks(sound, size)]
    streams = zip(*(one.streams for one in pieces), strict=True)
    return Taken(
        np.concatenate([one.raw for one in pieces]),
        tuple(map(np.concatenate, streams)),
        np.concatenate([one.levels for one in pieces]),
    )


def loudest(sound: Sound) -> float:
    """The highest level of any band that is seen in sound amid silence."""
    return float(taken(joined(quiet(1.0), sound, quiet(1.0))).levels[:, 1:].max())


@pytest.mark.parametrize("size", [100, 160, FRAME, 1601, 50000])
def test_the_size_of_blocks_makes_no_difference(size: int) -> None:
    sound = pink_noise(2.0, 500) + joined(quiet(1.0), tone(0.5, 3000), quiet(0.5))
    one, other = taken(sound, size), taken(sound)
    assert np.array_equal(one.raw, sound)
    assert all(np.array_equal(*pair) for pair in zip(one.streams, other.streams, strict=True))
    assert one.levels == pytest.approx(other.levels)


def test_all_streams_are_as_long_as_the_sound_and_there_is_a_level_for_each_whole_frame() -> None:
    sound = pink_noise(0.5, 500)[:-7]
    result = taken(sound)
    assert len(result.streams) == STREAMS
    assert {len(stream) for stream in (result.raw, *result.streams)} == {len(sound)}
    assert len(result.levels) == len(sound) // FRAME


def test_a_block_of_nothing_is_nothing() -> None:
    front_end = FrontEnd()
    result = front_end.take(np.zeros(0, dtype=np.int16))
    assert {len(part) for part in (result.raw, *result.streams, result.levels)} == {0}


def test_steady_noise_is_taken_out_and_what_is_said_in_it_stays() -> None:
    noise = pink_noise(4.0, 500)
    spoken = noise + joined(quiet(3.0), tone(0.5, 3000), quiet(0.5))
    for alone, voice in zip(taken(noise).streams, taken(spoken).streams, strict=True):
        assert rms(alone[2 * RATE :]) < 0.4 * rms(noise)
        assert rms(voice[round(3.1 * RATE) : round(3.4 * RATE)]) == pytest.approx(3000, rel=0.2)


def test_the_level_of_the_whole_is_that_of_the_sound_as_it_came() -> None:
    """How loud the surroundings are must not look better than it is."""
    noise = pink_noise(3.0, 500)
    known = taken(noise).levels[25:]
    assert known[:, 0].mean() == pytest.approx(20 * np.log10(500 / 32768), abs=0.5)
    assert known[:, 1:].max(axis=1).mean() < known[:, 0].mean() - 10.0


@pytest.mark.parametrize("at_s", [1.0, 1.307])
def test_a_frame_shows_its_whole_level_and_its_bands_of_the_same_moment(at_s: float) -> None:
    """Otherwise the beginning of speech would count as noise, and the surroundings seem much louder than they are."""
    levels = taken(joined(quiet(at_s), tone(0.4, 3000), quiet(1.0))).levels
    loud = levels > -40.0
    whole, bands = np.flatnonzero(loud[:, 0]), np.flatnonzero(loud[:, 1:].any(axis=1))
    assert len(whole) == pytest.approx(20, abs=1)
    assert abs(int(whole[0]) - int(bands[0])) <= 1
    assert abs(int(whole[-1]) - int(bands[-1])) <= 1


@pytest.mark.parametrize("click_s", [0.001, 0.01, FRAME_S])
def test_clicks_are_smoothed_away(click_s: float) -> None:
    assert loudest(tone(click_s, 8000)) == SILENCE_DBFS


def test_the_shortest_vowel_is_not() -> None:
    assert loudest(tone(SMOOTHED_FRAMES * FRAME_S, 8000)) > -30.0
