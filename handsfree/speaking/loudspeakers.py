"""Where sound goes: a protocol, and two loudspeakers that need no sound card."""

from __future__ import annotations

import threading
import wave
from pathlib import Path
from types import TracebackType
from typing import Protocol

from handsfree.speaking.sound import Samples, Sound


class Loudspeaker(Protocol):
    """Plays one sound at a time."""

    def play(self, samples: Samples, rate: int, stopped: threading.Event) -> None:
        """Return when the last sample has been played, or soon after `stopped` is set; mono, `rate` in hertz."""
        ...


class SilentSpeaker:
    """Takes no time and makes no sound: for typed walks and for walks faster than real time."""

    def play(self, samples: Samples, rate: int, stopped: threading.Event) -> None:
        """Return at once."""


class FileSpeaker:
    """Collects what is played in one mono WAV file, which is valid after every sound."""

    def __init__(self, path: Path, rate: int = 22050) -> None:
        self._rate = rate
        self._file = path.open("wb")
        self._writer = wave.open(self._file, "wb")  # noqa: SIM115 - closed by close()
        self._writer.setnchannels(1)
        self._writer.setsampwidth(2)
        self._writer.setframerate(rate)

    def play(self, samples: Samples, rate: int, stopped: threading.Event) -> None:
        """Append the sound; it takes no time, so that nothing can stop it half-way."""
        if not stopped.is_set():
            self._writer.writeframes(Sound(samples, rate).at_rate(self._rate).samples.astype("<i2").tobytes())
            self._file.flush()

    def close(self) -> None:
        """Finish the file."""
        self._writer.close()
        self._file.close()

    def __enter__(self) -> FileSpeaker:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()
