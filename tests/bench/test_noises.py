"""The noises of an apron."""

from __future__ import annotations

import time

import numpy as np
import pytest

from handsfree.bench.noises import NOISES
from handsfree.bench.speech_level import Sound

RATE = 16_000


def made(name: str, seconds: float = 6.0, seed: int = 1) -> Sound:
    return NOISES[name](round(seconds * RATE), np.random.default_rng(seed))


def share(sound: Sound, low_hz: float, high_hz: float) -> float:
    """How much of the power lies between two frequencies."""
    power = np.abs(np.fft.rfft(sound)) ** 2
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE)
    return float(power[(hertz >= low_hz) & (hertz < high_hz)].sum() / power.sum())


def crest(sound: Sound) -> float:
    """The loudest sample over the root mean square."""
    return float(np.abs(sound).max() / np.sqrt(np.mean(sound**2)))


@pytest.mark.parametrize("name", NOISES)
def test_the_same_seed_is_the_same_noise_and_another_is_not(name: str) -> None:
    assert np.array_equal(made(name), made(name))
    assert not np.array_equal(made(name), made(name, seed=2))


@pytest.mark.parametrize("name", NOISES)
@pytest.mark.parametrize("samples", [1, 1601, 16_000, 99_991])
def test_any_length_is_made_of_finite_numbers(name: str, samples: int) -> None:
    noise = NOISES[name](samples, np.random.default_rng(3))
    assert noise.shape == (samples,)
    assert noise.dtype == np.float32
    assert np.isfinite(noise).all()


@pytest.mark.parametrize("name", NOISES)
def test_six_seconds_are_made_quickly(name: str) -> None:
    made(name)

    def cpu_s() -> float:
        begin = time.process_time()
        made(name)
        return time.process_time() - begin

    assert min(cpu_s() for _ in range(5)) < 0.05


def test_a_turbine_whines_at_a_few_kilohertz_over_a_roar() -> None:
    noise = made("turbine")
    power = np.abs(np.fft.rfft(noise)) ** 2
    hertz = np.fft.rfftfreq(len(noise), 1 / RATE)
    whining = (hertz > 1500) & (hertz < 3000)
    peak = hertz[whining][np.argmax(power[whining])]
    tone = share(noise, 0.94 * peak, 1.06 * peak)
    beside = (share(noise, 0.8 * peak, 0.92 * peak) + share(noise, 1.08 * peak, 1.2 * peak)) / 2
    assert tone > 5 * beside
    assert share(noise, 0, 1000) > 0.3


def test_a_propeller_is_made_of_the_passing_of_its_blades() -> None:
    noise = made("propeller")
    likeness = np.fft.irfft(np.abs(np.fft.rfft(noise, 2 * len(noise))) ** 2)
    lags = slice(RATE // 100, RATE // 65)
    assert likeness[lags].max() > 0.3 * likeness[0]


def test_wind_is_low_and_comes_in_gusts() -> None:
    noise = made("wind", 30)
    assert share(noise, 0, 200) > 0.8
    half_seconds = np.sqrt(np.mean(noise.reshape(-1, RATE // 2) ** 2, axis=1))
    steady = np.sqrt(np.mean(made("pink", 30).reshape(-1, RATE // 2) ** 2, axis=1))
    assert half_seconds.std() / half_seconds.mean() > 5 * steady.std() / steady.mean()


def test_rain_is_made_of_drops() -> None:
    assert crest(made("rain")) > 2 * crest(made("pink"))
    assert share(made("rain"), 500, 8000) > 0.7


def test_babble_has_the_spectrum_of_speech_and_no_pauses() -> None:
    noise = made("babble", 20)
    assert share(noise, 80, 4000) > 0.9
    tenths = np.mean(noise.reshape(-1, RATE // 10) ** 2, axis=1)
    assert tenths.min() > tenths.mean() / 100
