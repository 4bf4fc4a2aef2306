"""How loud the noise and the speech are."""

from __future__ import annotations

import numpy as np
import pytest

from handsfree.hearing.level import SILENCE_DBFS, Framer, NoiseFloor, mean_dbfs, speech_over_noise_db
from handsfree.hearing.settings import EndpointSettings
from tests.support.sounds import blocks, joined, pink_noise, quiet, tone

ACTIVE_DB = EndpointSettings().active_db


def test_levels_are_in_decibels_below_full_scale() -> None:
    """A sine's mean power is half its peak's: full scale is -3.01 dBFS (value from memory, and computed here)."""
    levels = Framer().add(tone(0.1, 32767 / np.sqrt(2)))
    assert levels[:, 0] == pytest.approx(-3.01, abs=0.05)
    assert Framer().add(quiet(0.1))[:, 0] == pytest.approx(SILENCE_DBFS)


@pytest.mark.parametrize("size", [1, 100, 319, 321, 1600, 7777])
def test_the_size_of_blocks_makes_no_difference(size: int) -> None:
    sound = pink_noise(0.6, 500)
    framer = Framer()
    assert np.concatenate([framer.add(block) for block in blocks(sound, size)]) == pytest.approx(Framer().add(sound))


def test_the_noise_floor_settles_and_then_sees_speech_only() -> None:
    floor = NoiseFloor(ACTIVE_DB)
    floor.add(Framer().add(pink_noise(2.0, 500)))
    assert not floor.active(Framer().add(pink_noise(2.0, 500, seed=2))).any()
    assert floor.active(Framer().add(tone(0.2, 2000))).all()
    assert floor.noise_dbfs == pytest.approx(20 * np.log10(500 / 32768), abs=0.5)


def test_the_noise_floor_survives_four_seconds_of_speech() -> None:
    floor = NoiseFloor(ACTIVE_DB)
    floor.add(Framer().add(pink_noise(3.0, 300)))
    noise = pink_noise(4.0, 300, seed=2)
    floor.add(Framer().add(noise + joined(*[tone(0.8, 4000), quiet(0.2)] * 4)))
    assert not floor.active(Framer().add(pink_noise(1.0, 300, seed=3))).any()


def test_noise_after_total_silence_is_known_within_two_seconds() -> None:
    floor = NoiseFloor(ACTIVE_DB)
    floor.add(Framer().add(quiet(8.0)))
    floor.add(Framer().add(pink_noise(2.0, 300)))
    assert floor.active(Framer().add(pink_noise(1.0, 300, seed=3))).mean() < 0.05


def test_a_loud_beginning_is_taken_for_speech_until_the_noise_is_known() -> None:
    floor = NoiseFloor(ACTIVE_DB)
    floor.add(Framer().add(tone(0.4, 1000)))
    assert floor.active(Framer().add(tone(0.2, 1000))).all()


@pytest.mark.parametrize("snr_db", [20, 10, 3, -5])
def test_the_ratio_of_speech_to_noise_is_that_of_the_speech_alone(snr_db: float) -> None:
    noise, voice = pink_noise(4.0, 400), tone(4.0, 400 * 10 ** (snr_db / 20))
    noise_dbfs = mean_dbfs(Framer().add(noise)[:, 0])
    both_dbfs = mean_dbfs(Framer().add(noise + voice)[:, 0])
    assert noise_dbfs == pytest.approx(20 * np.log10(400 / 32768), abs=0.1)
    assert speech_over_noise_db(both_dbfs, noise_dbfs) == pytest.approx(snr_db, abs=0.5)


def test_the_ratio_has_a_lower_end_and_nothing_is_silence() -> None:
    assert speech_over_noise_db(-30.0, -30.0) == speech_over_noise_db(-40.0, -30.0) == -10.0
    assert mean_dbfs(np.zeros(0)) == SILENCE_DBFS
