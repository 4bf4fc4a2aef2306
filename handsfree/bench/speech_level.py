"""How loud speech is while somebody speaks: the active speech level of ITU-T Recommendation P.56, method B."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from handsfree.hearing.recogniser import RATE

Sound = NDArray[np.float32]
"""Mono, 16 kHz, full scale 1.0: all sound on the bench until it goes to the ears."""

_TIME_CONSTANT_S = 0.03
_HANGOVER_S = 0.2
_MARGIN_DB = 15.9
_THRESHOLDS = 2.0 ** -np.arange(15, 0, -1)
"""From one step of 16 bits to half of full scale, each double the one before."""
SILENT_DB = -100.0
"""The level of a sound in which there is no speech."""


@dataclass(frozen=True, slots=True)
class SpeechLevel:
    """What the meter shows."""

    active_db: float
    """Mean power while speech is active, in dB of full scale; `SILENT_DB` where there is no speech."""
    activity: float
    """The share of the time that is active, 0 to 1."""


def speech_level(sound: Sound) -> SpeechLevel:
    """Measure the level of speech, pauses left out.

    A threshold on the envelope decides what is activity, and the right threshold is the one that lies 15.9 dB below
    the level that it yields; between the thresholds tried, both are interpolated in dB, which is exact to well within
    the 0.5 dB that the Recommendation allows.
    """
    energy = float(np.sum(np.square(sound, dtype=np.float64)))
    counts = _active_samples(_envelope(sound))
    reached = counts > 0
    if not reached.any() or energy == 0.0:
        return SpeechLevel(SILENT_DB, 0.0)
    levels = 10.0 * np.log10(energy / counts[reached])
    excess = levels - 20.0 * np.log10(_THRESHOLDS[reached]) - _MARGIN_DB  # falls from threshold to threshold
    if excess[0] <= 0.0 or excess[-1] > 0.0:
        active_db = float(levels[0 if excess[0] <= 0.0 else -1])
    else:
        active_db = float(np.interp(0.0, excess[::-1], levels[::-1]))
    return SpeechLevel(active_db, min(1.0, energy / len(sound) / 10.0 ** (active_db / 10.0)))


def power_db(sound: Sound) -> float:
    """The mean power of a sound in dB of full scale; `SILENT_DB` at the least."""
    power = float(np.mean(np.square(sound, dtype=np.float64))) if len(sound) else 0.0
    return max(SILENT_DB, 10.0 * float(np.log10(max(power, 1e-30))))


def _envelope(sound: Sound) -> Sound:
    """The magnitude after two smoothings of 0.03 s, one after the other."""
    decay = np.exp(-1.0 / (_TIME_CONSTANT_S * RATE))
    steps = np.arange(round(15 * _TIME_CONSTANT_S * RATE))
    response = (1.0 - decay) ** 2 * (steps + 1) * decay**steps  # what both together answer to a single sample
    return convolved(np.abs(sound), response.astype(np.float32))[: len(sound)]


def _active_samples(envelope: Sound) -> NDArray[np.int64]:
    """For each threshold the samples at or above it, or no more than 0.2 s after one that was."""
    hangover = round(_HANGOVER_S * RATE)
    where = np.arange(len(envelope))
    counts = np.zeros(len(_THRESHOLDS), dtype=np.int64)
    for number, threshold in enumerate(_THRESHOLDS):
        last = np.maximum.accumulate(np.where(envelope >= threshold, where, -hangover - 1))
        counts[number] = np.count_nonzero(where - last <= hangover)
    return counts


def convolved(sound: Sound, response: Sound) -> Sound:
    """The sound through a filter with this response; longer than the sound by the response, less one sample."""
    length = len(sound) + len(response) - 1
    size = fast_length(length)
    return np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(response, size), size)[:length].astype(np.float32)


def fast_length(samples: int) -> int:
    """A length of at least so many samples that a Fourier transform is quick for: 4, 5, 6 or 7 times a power of two."""
    power = 1 << max(0, (max(samples, 8) - 1).bit_length() - 3)
    return next(power * factor for factor in (4, 5, 6, 7, 8) if power * factor >= samples)
