"""Every suppressor keeps the same promises: an honest delay, no memory of block sizes, and less noise than before."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

import numpy as np
import pytest

from handsfree.hearing.noise_reduction.drops import DropRemover
from handsfree.hearing.noise_reduction.speex import Speex
from handsfree.hearing.noise_reduction.suppressor import NoiseSuppressor
from tests.support.sounds import Sound, blocks, joined, pink_noise, quiet, rms, speech, tone

RATE = 16000
MAKERS: dict[str, Callable[[], NoiseSuppressor]] = {"speex": Speex, "drops": DropRemover}
Maker = Callable[[], NoiseSuppressor]


@pytest.fixture(params=MAKERS)
def maker(request: pytest.FixtureRequest) -> Maker:
    return MAKERS[request.param]


def cleaned(suppressor: NoiseSuppressor, sound: Sound, size: int = 1600) -> Sound:
    return joined(*(suppressor.clean(block) for block in blocks(sound, size)))


def in_time(suppressor: NoiseSuppressor, sound: Sound) -> Sound:
    """Cleaned, and moved back by the delay, so that both begin at the same time."""
    late = round(suppressor.delay_s * RATE)
    return cleaned(suppressor, joined(sound, quiet(1.0)))[late : late + len(sound)]


def spoken() -> Sound:
    return joined(quiet(0.5), *(speech("cut on left tyre two", voice) for voice in ("en-us", "slt")))


def test_what_comes_out_is_as_late_as_it_says(maker: Maker) -> None:
    suppressor, sound = maker(), spoken()
    came = cleaned(suppressor, sound)
    size = 2 * len(sound)
    likeness = np.fft.irfft(np.fft.rfft(came, size) * np.conj(np.fft.rfft(sound, size)))
    assert abs(int(np.argmax(likeness[:RATE])) - suppressor.delay_s * RATE) <= 1
    assert suppressor.delay_s <= 0.05


def test_each_block_comes_back_as_long_as_it_was(maker: Maker) -> None:
    suppressor = maker()
    assert [len(suppressor.clean(np.zeros(size, dtype=np.int16))) for size in (1600, 1, 0, 37, 5000)] == [
        1600, 1, 0, 37, 5000
    ]  # fmt: skip


@pytest.mark.parametrize("size", [77, 160, 1024, 16000])
def test_the_size_of_the_blocks_makes_no_difference(maker: Maker, size: int) -> None:
    sound = joined(pink_noise(1.0, 400), tone(0.5, 3000))
    assert np.abs(cleaned(maker(), sound, size).astype(int) - cleaned(maker(), sound).astype(int)).max() <= 1


def test_silence_stays_silence(maker: Maker) -> None:
    suppressor = maker()
    assert not cleaned(suppressor, quiet(1.0)).any()
    cleaned(suppressor, tone(0.5, 3000))
    assert rms(cleaned(suppressor, quiet(1.0))[RATE // 2 :]) < 1.0


def test_noise_is_turned_down_and_what_is_said_in_it_is_not() -> None:
    noise, said = pink_noise(6.0, 500), joined(quiet(4.0), speech("cut on left tyre two", "slt"))
    said = joined(said, quiet(6.0))[: len(noise)]
    mixed = (noise.astype(int) + said).astype(np.int16)
    came = in_time(Speex(-25), mixed)
    active = slice(4 * RATE, 5 * RATE)
    before = rms(mixed[active]) / rms(mixed[2 * RATE : 4 * RATE])
    after = rms(came[active]) / rms(came[2 * RATE : 4 * RATE])
    assert 20 * math.log10(after / before) > 3.0
    assert rms(came[active]) > 0.6 * rms(said[active])


def test_the_loudest_sound_does_not_wrap_round(maker: Maker) -> None:
    loud = np.where(np.arange(2 * RATE) // 20 % 2, 32767, -32768).astype(np.int16)  # a square wave at full scale
    came = in_time(maker(), joined(quiet(0.5), loud))[RATE // 2 :].astype(int)
    jumps = np.abs(np.diff(came)) > 40000
    assert jumps.sum() <= (np.abs(np.diff(loud.astype(int))) > 40000).sum()


def drops(seconds: float) -> Sound:
    """Clicks of 3 ms, ten a second."""
    random = np.random.default_rng(1)
    sound = np.zeros(round(seconds * RATE))
    for start in random.integers(0, len(sound) - 48, round(10 * seconds)):
        sound[start : start + 48] += 12000.0 * random.standard_normal(48) * np.hanning(48)
    return np.clip(sound, -32768, 32767).astype(np.int16)


def test_drops_are_turned_down_and_speech_among_them_is_not() -> None:
    noise = drops(4.0)
    said = joined(quiet(1.0), spoken(), quiet(4.0))[: len(noise)]
    faint = pink_noise(4.0, 60)
    before, without = noise + faint, in_time(DropRemover(), (noise + faint).astype(np.int16))
    assert 20 * math.log10(rms(before.astype(np.int16)) / rms(without)) > 10.0
    assert rms(in_time(DropRemover(), said)) > 0.8 * rms(said)


def test_a_tenth_of_a_second_costs_less_than_a_tenth_of_a_core() -> None:
    chain, sound = (DropRemover(), Speex(-25)), pink_noise(5.0, 400)
    began = time.process_time()
    for block in blocks(sound, 800):
        chain[1].clean(chain[0].clean(block))
    assert (time.process_time() - began) / 5.0 < 0.1


def test_both_together_are_at_most_50_ms_late() -> None:
    assert DropRemover().delay_s + Speex(-25).delay_s <= 0.05
