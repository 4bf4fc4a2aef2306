"""SpeexDSP's preprocessor: the only module that imports pyspeex_noise."""

from __future__ import annotations

import importlib
from typing import Any

import numpy as np

from handsfree.hearing.noise_reduction.suppressor import Block, Framed

_FRAME = 160
_OVERLAP = 160
"""Its windows reach over two frames, so that a frame comes out with the one after it."""


class Speex:
    """MMSE estimate of the logarithmic spectrum with minimum statistics of the noise, in C."""

    delay_s = (_FRAME + _OVERLAP) / 16000

    def __init__(self, suppression_db: int = -15) -> None:
        """``suppression_db`` is what it takes off noise at most, in decibels, negative."""
        library: Any = importlib.import_module("pyspeex_noise")
        self._library: Any = library.AudioProcessor(0, suppression_db)  # no automatic gain
        self._framed = Framed(_FRAME, self._frames)

    def clean(self, block: Block) -> Block:
        """As many samples as were given, later by `delay_s`."""
        return self._framed.add(block)

    def _frames(self, sound: Block) -> Block:
        frames = (sound[start : start + _FRAME].tobytes() for start in range(0, len(sound), _FRAME))
        return np.frombuffer(b"".join(self._library.process_10ms(frame) for frame in frames), dtype="<i2")
