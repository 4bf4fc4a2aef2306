"""Sound of any sampling rate to the recogniser's: the only module that imports soxr."""

from __future__ import annotations

from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray

from handsfree.hearing.recogniser import RATE, Block

_library: Any = soxr  # it has no types


class Resampler:
    """Brings a stream of mono sound to 16 kHz, block by block."""

    def __init__(self, rate: int) -> None:
        """``rate`` is that of the incoming sound, in hertz."""
        self._stream: Any = None if rate == RATE else _library.ResampleStream(rate, RATE, 1, dtype="float32")

    def add(self, sound: NDArray[np.float32], *, last: bool = False) -> Block:
        """What this sound (-1 to 1) brings; possibly nothing, as the filter looks ahead.  ``last`` empties it."""
        at_rate = sound if self._stream is None else self._stream.resample_chunk(sound, last=last)
        return np.clip(np.rint(at_rate * 32768.0), -32768, 32767).astype(np.int16)
