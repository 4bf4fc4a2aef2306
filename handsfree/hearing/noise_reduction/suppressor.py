"""What every noise suppressor promises, and how it takes sound in blocks of any size."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Block = NDArray[np.int16]
"""16 kHz mono sound of any length."""


class NoiseSuppressor(Protocol):
    """Hears all of the microphone's sound, so that it knows the noise before somebody speaks."""

    @property
    def delay_s(self) -> float:
        """By how much what comes out is later than what goes in, in seconds; never more than 0.05."""
        ...

    def clean(self, block: Block) -> Block:
        """As many samples as were given, with less noise in them; what has been heard is kept in mind."""
        ...


class Framed:
    """Gives sound to a cleaner in whole frames; what comes out is one frame late, whatever the size of the blocks."""

    def __init__(self, frame: int, clean: Callable[[Block], Block]) -> None:
        """``clean`` is given one or more whole frames of so many samples, and returns as many."""
        self._frame = frame
        self._clean = clean
        self._waiting: Block = np.zeros(0, dtype=np.int16)
        self._ready: Block = np.zeros(frame, dtype=np.int16)

    def add(self, block: Block) -> Block:
        """As many samples as were given."""
        waiting = np.concatenate([self._waiting, block])
        whole = len(waiting) // self._frame * self._frame
        self._waiting = waiting[whole:]
        if whole:
            self._ready = np.concatenate([self._ready, self._clean(waiting[:whole])])
        given, self._ready = self._ready[: len(block)], self._ready[len(block) :]
        return given
