"""The live microphone as an endless source of blocks."""

from __future__ import annotations

import math
import queue
import time
from collections.abc import Iterator

import numpy as np

from handsfree.hearing.level import SILENCE_DBFS
from handsfree.hearing.recogniser import RATE, Block
from handsfree.hearing.resampling import Resampler
from handsfree.portaudio import AudioDevice, AudioError, InputStream, Samples, find_device

_WATCHDOG_S = 2.0  # an unplugged device raises nothing: it only falls silent
_LOOK_S = 0.1


class Microphone:
    """A context manager that yields 16 kHz mono blocks of whatever size the sound card gives.

    Sound is taken on the sound card's own thread, which only puts it into a queue; everything else happens in the
    thread that reads.
    """

    def __init__(self, device: str | None = None, *, watchdog_s: float = _WATCHDOG_S) -> None:
        """``device`` is a part of the microphone's name; None is the system's default."""
        self._name = device
        self._watchdog_s = watchdog_s
        self._queue: queue.SimpleQueue[tuple[Samples, bool] | None] = queue.SimpleQueue()
        self._paused = False
        self._closed = False
        self._stream: InputStream | None = None
        self._resampler = Resampler(RATE)
        self._last_came = time.monotonic()
        self._failure: Exception | None = None
        self.overflows = 0
        """How often sound was lost before a block that was handed on: the machine was too slow."""
        self.level_dbfs = SILENCE_DBFS
        """How loud the last block was; 0 is the loudest possible."""

    def __enter__(self) -> Microphone:
        """Open and start.  Raises AudioError."""
        self._last_came = time.monotonic()
        self._stream = InputStream(find_device(self._name, "input"), RATE, self._on_block, self._on_end)
        self._resampler = Resampler(self._stream.rate)
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Stop and release the microphone; reading then ends.  Safe to call twice."""
        self._closed = True
        if self._stream is not None:
            self._stream.close()
        self._queue.put(None)

    @property
    def device(self) -> AudioDevice | None:
        """The device in use; None before it is opened."""
        return self._stream.device if self._stream is not None else None

    def pause(self) -> None:
        """Drop what is heard from now on: the tool is speaking."""
        self._paused = True

    def resume(self) -> None:
        """Hear again, beginning with now."""
        while not self._queue.empty():
            self._queue.get_nowait()
        self._paused = False

    def __iter__(self) -> Iterator[Block]:
        return self

    def __next__(self) -> Block:
        """The next block; waits for it.  Raises AudioError when the microphone has died."""
        while True:
            try:
                came = self._queue.get(timeout=_LOOK_S)
            except queue.Empty:
                self._look_after()
                continue
            if came is None:
                if self._closed:
                    raise StopIteration
                self._look_after()
                continue
            sound, overflowed = came
            self.overflows += overflowed
            block = self._resampler.add(sound.astype(np.float32) / 32768.0)
            if len(block) > 0:
                return block

    def _on_block(self, samples: Samples, overflowed: bool) -> None:
        # On the sound card's thread: no waiting, no resampling, nothing that can take long.
        self._last_came = time.monotonic()
        if not self._paused:
            self.level_dbfs = _level(samples)
            self._queue.put((samples, overflowed))

    def _on_end(self, error: Exception | None) -> None:
        self._failure = error or (None if self._closed else OSError("the stream ended"))
        self._queue.put(None)

    def _look_after(self) -> None:
        if self._closed:
            raise StopIteration
        if self._failure is not None:
            raise AudioError(f"the microphone stopped ({self._failure})", "plug it in again, and start again")
        if time.monotonic() - self._last_came > self._watchdog_s:
            raise AudioError(
                f"no sound has come from the microphone for {self._watchdog_s:.0f} s",
                "see that it is plugged in and switched on, and start again",
            )


def _level(samples: Samples) -> float:
    if len(samples) == 0:
        return SILENCE_DBFS
    power = float(np.mean(samples.astype(np.float64) ** 2)) / 32768.0**2
    return max(SILENCE_DBFS, 10.0 * math.log10(power + 1e-12))
