"""The live microphone as an endless source of blocks."""

from __future__ import annotations

import math
import queue
import time
from collections.abc import Callable, Iterator

import numpy as np

from handsfree.hearing import vital_signs
from handsfree.hearing.recogniser import RATE, Block
from handsfree.hearing.resampling import Resampler
from handsfree.hearing.vital_signs import Limits, VitalSigns
from handsfree.portaudio import (
    AudioDevice,
    AudioError,
    InputStream,
    MicrophoneError,
    Samples,
    SilentMicrophoneError,
    find_device,
)

_LOOK_S = 0.1
_PROOF_LATER_S = 0.5
"""How much longer than what proves that a device lives it is waited for."""


class Microphone:
    """A context manager that yields 16 kHz mono blocks of whatever size the sound card gives.

    Sound is taken on the sound card's own thread, which only puts it into a queue; everything else happens in the
    thread that reads.  When it dies, reading raises MicrophoneError; then `let_go` and `reopen` may bring it back.
    """

    def __init__(self, device: str | None = None, *, limits: Limits | None = None) -> None:
        """``device`` is a part of the microphone's name; None is the system's default."""
        self._name = device
        self._limits = limits or Limits()
        self._paused = False
        self._closed = False
        self._life: _Life | None = None
        self._resampler = Resampler(RATE)
        self._zeros_heard_s = 0.0
        self._told_of_zeros = False
        self._fault: vital_signs.Fault | None = None
        self.overflows = 0
        """How often sound was lost before a block that was handed on: the machine was too slow."""
        self.level_dbfs = -math.inf
        """How loud the last block was; 0 is the loudest possible, minus infinity nothing but zeros."""

    def __enter__(self) -> Microphone:
        """Open and start.  Raises AudioError."""
        self._open()
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Stop and release the microphone; reading then ends.  Safe to call twice."""
        self._closed = True
        self.let_go()

    def let_go(self) -> None:
        """Release the device, as a sound system that is to start anew needs it."""
        if self._life is not None:
            self._life.end()

    def reopen(self) -> None:
        """Open the device again, and wait until it has shown that it lives.  Raises MicrophoneError."""
        self.let_go()
        try:
            life = self._open()
        except AudioError as error:
            raise MicrophoneError(error.message, error.hint) from error
        proof_s = self._limits.proof_s if self._fault == "wrong rate" else self._limits.gap_s
        until = time.monotonic() + proof_s + _PROOF_LATER_S
        while not life.signs.proven(self._fault):
            error = life.error(self._limits)
            if error is None and time.monotonic() > until:
                error = MicrophoneError("the microphone opens, and gives no sound", "see that it is switched on")
            if error is not None:
                life.end()
                raise error
            time.sleep(_LOOK_S / 2)
        self._fault = None

    @property
    def device(self) -> AudioDevice | None:
        """The device in use; None before it is opened."""
        return self._life.stream.device if self._life is not None else None

    def pause(self) -> None:
        """Drop what is heard from now on: the tool is speaking."""
        self._paused = True

    def resume(self) -> None:
        """Hear again, beginning with now."""
        if self._life is not None:
            self._life.forget()
        self._paused = False

    def __iter__(self) -> Iterator[Block]:
        return self

    def __next__(self) -> Block:
        """The next block; waits for it.  Raises MicrophoneError when the microphone has died.

        Raises SilentMicrophoneError, once, when it has given nothing but zeros since it was opened.
        """
        life = self._life
        if life is None:
            raise MicrophoneError("the microphone is not open")
        while True:
            try:
                came = life.queue.get(timeout=_LOOK_S)
            except queue.Empty:
                came = None
            if self._closed:
                raise StopIteration
            fault = life.signs.fault(time.monotonic())
            error = life.error(self._limits) if came is None or fault == "wrong rate" else None
            if error is not None:
                self._fault = fault
                raise error
            if came is None:
                continue
            sound, overflowed = came
            self._look_for_zeros(life, sound)
            self.overflows += overflowed
            block = self._resampler.add(sound.astype(np.float32) / 32768.0)
            if len(block) > 0:
                return block

    def _open(self) -> _Life:
        life = _Life(self._name, self._limits, self._on_block)
        self._life, self._resampler = life, Resampler(life.stream.rate)
        return life

    def _on_block(self, samples: Samples) -> bool:
        # On the sound card's thread: no waiting, no resampling, nothing that can take long.
        if not self._paused:
            self.level_dbfs = _level(samples)
        return not self._paused

    def _look_for_zeros(self, life: _Life, sound: Samples) -> None:
        """Some headsets shut themselves between words; so zeros are worth a word only when nothing else ever came."""
        if life.signs.ever_sounded or self._told_of_zeros:
            return
        self._zeros_heard_s += len(sound) / life.stream.rate
        if self._zeros_heard_s >= self._limits.zeros_s:
            self._told_of_zeros = True
            name = life.stream.device.name
            raise SilentMicrophoneError(f'"{name}" gives nothing but zeros', "look whether it is muted or switched off")


class _Life:
    """The microphone from one opening to its end; what comes late from an earlier one is none of this one's."""

    def __init__(self, name: str | None, limits: Limits, on_block: Callable[[Samples], bool]) -> None:
        """Open.  ``on_block`` is told of each block, and says whether it is wanted.  Raises AudioError."""
        self.queue: queue.SimpleQueue[tuple[Samples, bool] | None] = queue.SimpleQueue()
        self._wanted = on_block
        self._failure: Exception | None = None
        self._ended = False
        self._signs: VitalSigns | None = None
        self.stream = InputStream(find_device(name, "input"), RATE, self._on_block, self._on_end)
        self.signs = self._signs = VitalSigns(self.stream.rate, time.monotonic(), limits)

    def end(self) -> None:
        """Close; safe to call twice."""
        self._ended = True
        self.stream.close()
        self.queue.put(None)

    def forget(self) -> None:
        """Drop what came and was not read; a None in it was only there to wake who reads."""
        while not self.queue.empty():
            self.queue.get_nowait()

    def error(self, limits: Limits) -> MicrophoneError | None:
        """What is wrong with it, if anything."""
        fault = self.signs.fault(time.monotonic())
        if self._failure is not None:
            return MicrophoneError(f"the microphone stopped ({self._failure})", "see that it is plugged in")
        if fault == "wrong rate":
            return MicrophoneError(
                f"the microphone does not keep to the {self.stream.rate} Hz that it says", "plug it out and in again"
            )
        if fault is not None:
            seconds = f"{limits.gap_s:.1f}".removesuffix(".0")
            return MicrophoneError(
                f"no sound has come from the microphone for {seconds} s", "see that it is plugged in and switched on"
            )
        return None

    def _on_block(self, samples: Samples, overflowed: bool) -> None:
        if self._signs is not None:
            self._signs.came(time.monotonic(), len(samples), zeros=not samples.any(), hole=overflowed)
        if self._wanted(samples):
            self.queue.put((samples, overflowed))

    def _on_end(self, error: Exception | None) -> None:
        self._failure = error or (None if self._ended else OSError("the stream ended"))
        self.queue.put(None)


def _level(samples: Samples) -> float:
    power = float(np.mean(samples.astype(np.float64) ** 2)) / 32768.0**2 if samples.any() else 0.0
    return 10.0 * math.log10(power) if power > 0 else -math.inf
