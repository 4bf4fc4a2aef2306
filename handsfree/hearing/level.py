"""How loud it is: the noise, and the speech over it.  Pure."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

FRAME = 320
"""Samples in a frame: 20 ms at 16 kHz."""
FRAME_S = 0.02

SILENCE_DBFS = -75.0
"""Nothing is quieter than this for us: below lies only the rounding of 16-bit samples."""

BANDS_HZ = ((150, 500), (500, 1000), (1000, 2000), (2000, 4000))
"""Speech is looked for in each of these by itself, so that noise elsewhere (wind, rumble, hiss) does not hide it."""

_MEMORY_FRAMES = 400  # 8 s: longer than an answer, shorter than a change of the surroundings
_SETTLED_FRAMES = 40  # before so much sound is known, a loud start is taken for speech, not for noise
_FLOOR_PERCENTILE = 25  # with speech in less than three quarters of the time this is a frame without any
_RECENT_FRAMES = 100  # 2 s: where it has suddenly become louder, the weakest of these tell, for even quick speech
_RECENT_PERCENTILE = 10  # leaves a tenth of each band free
_RECENT_BIAS_DB = 1.5  # so far the 10th percentile of steady noise lies below its 25th in the narrowest band
_FULL_SCALE = 32768.0

Levels = NDArray[np.float64]
"""One row a frame, in dBFS (0 = a full-scale square wave): the whole sound, then each band."""

NO_LEVELS: Levels = np.zeros((0, 1 + len(BANDS_HZ)))


class Framer:
    """Cuts sound of any block size into frames' levels."""

    def __init__(self) -> None:
        self._rest: NDArray[np.float64] = np.zeros(0)

    def add(self, block: NDArray[np.int16]) -> Levels:
        """The levels of the frames that this sound completes."""
        sound = np.concatenate([self._rest, block.astype(np.float64) / _FULL_SCALE])
        count = len(sound) // FRAME
        self._rest = sound[count * FRAME :]
        return _levels(sound[: count * FRAME].reshape(count, FRAME)) if count else NO_LEVELS


_FREQUENCIES = np.fft.rfftfreq(FRAME, FRAME_S / FRAME)
_WINDOW = np.hanning(FRAME)
_IN_BAND = np.stack([(low <= _FREQUENCIES) & (high > _FREQUENCIES) for low, high in BANDS_HZ], axis=1).astype(float)


def _levels(frames: NDArray[np.float64]) -> Levels:
    transformed = np.fft.rfft(frames * _WINDOW, axis=1)
    spectrum = (transformed.real**2 + transformed.imag**2) / FRAME**2
    powers = np.column_stack([np.mean(frames**2, axis=1), spectrum @ _IN_BAND])
    return np.maximum(10.0 * np.log10(powers + 1e-12), SILENCE_DBFS)


class NoiseFloor:
    """What the surroundings sound like, tracked over the last 8 s and kept from one answer to the next."""

    def __init__(self, active_db: float) -> None:
        """A frame is speech when a band of it is ``active_db`` over that band's floor."""
        self._active_db = active_db
        self._memory: Levels = NO_LEVELS
        self._floor = np.full(len(BANDS_HZ), SILENCE_DBFS)

    def add(self, levels: Levels) -> None:
        """Learn from more sound; speech in it does no harm as long as it pauses now and then."""
        self._memory = np.concatenate([self._memory, levels])[-_MEMORY_FRAMES:]
        if len(self._memory) >= _SETTLED_FRAMES:
            weakest = _percentile(self._memory[-_RECENT_FRAMES:, 1:], _RECENT_PERCENTILE)
            self._floor = weakest + _RECENT_BIAS_DB
        if len(self._memory) > _RECENT_FRAMES:
            self._floor = np.maximum(self._floor, _percentile(self._memory[:, 1:], _FLOOR_PERCENTILE))

    def active(self, levels: Levels) -> NDArray[np.bool_]:
        """Which frames are speech; until 0.8 s were heard, all that is louder than silence."""
        return np.any(levels[:, 1:] > self._floor + self._active_db, axis=1)

    @property
    def noise_dbfs(self) -> float:
        """The mean level (dBFS) of the remembered frames that are not speech."""
        return mean_dbfs(self._memory[~self.active(self._memory), 0])


def _percentile(levels: Levels, percent: int) -> NDArray[np.float64]:
    """Of each column, without a mean of neighbours: the ears want it twenty times a second."""
    at = (len(levels) - 1) * percent // 100
    return np.partition(levels, at, axis=0)[at]


def mean_dbfs(levels: NDArray[np.float64]) -> float:
    """The level of the mean power; silence for nothing."""
    if len(levels) == 0:
        return SILENCE_DBFS
    return float(10.0 * np.log10(np.mean(10.0 ** (levels / 10.0))))


def speech_over_noise_db(speech_and_noise_dbfs: float, noise_dbfs: float) -> float:
    """The speech alone over the noise, from the level of both together; decibels, at least -10."""
    surplus = 10.0 ** ((speech_and_noise_dbfs - noise_dbfs) / 10.0) - 1.0
    return round(max(-10.0, 10.0 * math.log10(max(surplus, 1e-3))), 1)
