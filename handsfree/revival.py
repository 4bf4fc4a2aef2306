"""Brings sound devices back: one try at a time, with the sound library started anew."""

from __future__ import annotations

import time
from collections.abc import Callable, Collection
from typing import Protocol

from handsfree import portaudio
from handsfree.portaudio import AudioError
from handsfree.steadfast import RETRY_S, Device, Fault


class Reopening(Protocol):
    """A microphone that can be opened again."""

    def let_go(self) -> None:
        """Release the device."""
        ...

    def reopen(self) -> None:
        """Open it again, and wait until it has shown that it lives.  Raises AudioError."""
        ...


class Revival:
    """Tries to bring devices back, at most once in a while."""

    def __init__(
        self,
        microphone: Reopening | None,
        try_speaking: Callable[[], object],
        *,
        every_s: float = RETRY_S,
        start_anew: Callable[[], None] = portaudio.start_anew,
    ) -> None:
        """``try_speaking`` says a few words, and raises AudioError when they were not spoken to their end."""
        self._microphone = microphone
        self._try_speaking = try_speaking
        self._every_s = every_s
        self._start_anew = start_anew
        self._due = 0.0

    def __call__(self, gone: Collection[Device]) -> tuple[Fault, ...]:
        """Wait until it is time, and try once; what does not work then.

        The microphone is opened again whichever is gone: the library finds no new device while a stream is open.
        """
        time.sleep(max(0.0, self._due - time.monotonic()))
        self._due = time.monotonic() + self._every_s
        faults: list[Fault] = []
        if self._microphone is not None:
            self._microphone.let_go()
        try:
            self._start_anew()
        except AudioError as error:
            shut: set[Device] = {"microphone"} if self._microphone is not None else set()
            return tuple(Fault(one, error.message, error.hint) for one in sorted(shut.union(gone)))
        if self._microphone is not None:
            try:
                self._microphone.reopen()
            except AudioError as error:
                faults.append(Fault("microphone", error.message, error.hint))
        if "loudspeaker" in gone:
            try:
                self._try_speaking()
            except AudioError as error:
                faults.append(Fault("loudspeaker", error.message, error.hint))
        return tuple(faults)
