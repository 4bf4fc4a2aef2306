"""What lies between a mouth and the ears."""

from __future__ import annotations

import numpy as np
import pytest

from handsfree.bench.channels import CHANNELS, bluetooth, clipped, hangar, plain, room
from handsfree.bench.speech_level import Sound, power_db

RATE = 16_000


def tone(hertz: float, level_db: float = -26.0) -> Sound:
    wave = np.sin(2 * np.pi * hertz * np.arange(RATE) / RATE) * 10 ** (level_db / 20) * 2**0.5
    return wave.astype(np.float32)


@pytest.mark.parametrize("name", CHANNELS)
@pytest.mark.parametrize("samples", [1, 1601, 16_000])
def test_a_channel_keeps_the_length(name: str, samples: int) -> None:
    heard = CHANNELS[name](np.random.default_rng(1).standard_normal(samples, dtype=np.float32))
    assert heard.shape == (samples,)
    assert heard.dtype == np.float32


def test_plain_changes_nothing() -> None:
    assert np.array_equal(plain(tone(440)), tone(440))


@pytest.mark.parametrize(("hertz", "gain_db"), [(500, 0), (1000, 0), (3000, 0), (150, -40), (5000, -40), (7000, -40)])
def test_a_headset_passes_the_band_of_a_telephone(hertz: float, gain_db: float) -> None:
    gain = power_db(bluetooth(tone(hertz))[1600:-1600]) - power_db(tone(hertz))
    assert gain == pytest.approx(0, abs=0.5) if gain_db == 0 else gain < gain_db


def test_a_headset_does_not_delay() -> None:
    sound = tone(1000)
    likeness = np.correlate(bluetooth(sound)[2000:6000], sound[1996:6004], "valid")
    assert int(np.argmax(likeness)) == 4


@pytest.mark.parametrize("seconds", [0.4, 3.0])
def test_a_room_falls_by_sixty_decibels_in_its_time(seconds: float) -> None:
    left = np.cumsum(room(seconds)[::-1] ** 2)[::-1]  # what is still to come, after Schroeder
    level = 10 * np.log10(left / left[0])
    begin, end = (int(np.argmax(level < mark)) for mark in (-5, -25))
    assert 3 * (end - begin) / RATE == pytest.approx(seconds, rel=0.05)


def test_a_hangar_rings_on_ten_decibels_below_the_direct_sound() -> None:
    knock = np.zeros(3 * RATE, dtype=np.float32)
    knock[100] = 0.5
    heard = hangar(knock)
    assert heard[100] == pytest.approx(0.5, abs=1e-3)
    assert 10 * np.log10(np.sum(heard[101:] ** 2) / 0.25) == pytest.approx(-10, abs=0.2)
    assert not heard[:100].round(6).any()


def test_an_input_turned_up_too_far_cuts_off_what_is_loud_and_keeps_what_is_soft() -> None:
    assert np.abs(clipped(tone(440, -10))).max() == 1.0
    assert power_db(clipped(tone(440, -40))) == pytest.approx(-20, abs=0.01)
