"""Takes single drops out of rain: sounds much shorter than those of speech, and far louder than what is around them.

Each frequency of each frame of 8 ms is held down to a few times the middle value of the frames around it.  A rain drop
on a hood lasts 2 to 10 ms and loses against the 44 ms that are looked at; vowels and even the bursts of "t" and "k"
keep most of what they have.  Measured in rain at 0 dB on 98 answers of 7 voices, with Speex after it: 28 ms .73 of them
right, 36 ms .78, 44 ms .80; longer would be too late for an answer at once.
"""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from handsfree.hearing.noise_reduction.suppressor import Block, Framed

FRAME = 128
HOP = 64
_AROUND = 11
"""Frames, this one in the middle: 44 ms."""
_OVER = 2.0
"""How many times the middle power is let through."""
_NEAR = 5
"""Frequencies (of 125 Hz) that are taken together."""
_MEAN_OF_NEAR = np.tri(FRAME // 2 + 1, k=_NEAR // 2) * np.tri(FRAME // 2 + 1, k=_NEAR // 2).T / _NEAR
_WINDOW = np.sqrt(np.hanning(FRAME + 1)[:FRAME])

Spectra = NDArray[np.complex128]


class DropRemover:
    """Limits what is loud for a few milliseconds only."""

    delay_s = (FRAME - HOP + HOP * (_AROUND // 2) + HOP) / 16000

    def __init__(self) -> None:
        self._framed = Framed(HOP, self._hops)
        self._before = np.zeros(FRAME - HOP)
        self._spectra: Spectra = np.zeros((_AROUND - 1, FRAME // 2 + 1), dtype=np.complex128)
        self._power = np.zeros((_AROUND - 1, FRAME // 2 + 1))
        self._overlap = np.zeros(FRAME - HOP)

    def clean(self, block: Block) -> Block:
        """As many samples as were given, later by `delay_s`."""
        return self._framed.add(block)

    def _hops(self, sound: Block) -> Block:
        stream = np.concatenate([self._before, sound])
        self._before = stream[-(FRAME - HOP) :]
        spectra = np.concatenate([self._spectra, np.fft.rfft(sliding_window_view(stream, FRAME)[::HOP] * _WINDOW)])
        fresh = spectra[_AROUND - 1 :]
        power = np.concatenate([self._power, (fresh.real**2 + fresh.imag**2) @ _MEAN_OF_NEAR])
        self._spectra, self._power = spectra[-(_AROUND - 1) :], power[-(_AROUND - 1) :]
        middle = np.partition(sliding_window_view(power, _AROUND, axis=0), _AROUND // 2, axis=-1)[..., _AROUND // 2]
        shown = slice(_AROUND // 2, len(power) - _AROUND // 2)
        gains = np.sqrt(np.minimum(1.0, _OVER * middle / np.maximum(power[shown], 1e-9)))
        return self._joined(np.fft.irfft(spectra[shown] * gains, FRAME) * _WINDOW)

    def _joined(self, frames: NDArray[np.float64]) -> Block:
        """Frames that overlap by half, added up."""
        tails = np.concatenate([self._overlap[None], frames[:, HOP:]])
        self._overlap = tails[-1]
        return np.clip(np.rint(tails[:-1] + frames[:, :HOP]), -32768, 32767).astype(np.int16).ravel()
