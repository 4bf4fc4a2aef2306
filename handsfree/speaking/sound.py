"""A piece of sound in memory, and as a WAV file."""

from __future__ import annotations

import wave
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.int16]


class BrokenSoundError(Exception):
    """A file is not a complete mono 16-bit WAV with sound in it."""


@dataclass(frozen=True, slots=True, eq=False)
class Sound:
    """Mono, signed 16 bit."""

    samples: Samples
    rate: int
    """Samples per second."""

    @property
    def seconds(self) -> float:
        """Its length."""
        return len(self.samples) / self.rate

    def at_rate(self, rate: int) -> Sound:
        """The same sound at another rate (hertz).

        Linear interpolation: what it adds lies above the band of a synthetic voice and far below its level, so a
        resampling library is not worth its weight here.
        """
        if rate == self.rate or not len(self.samples):
            return Sound(self.samples, rate)
        wanted = np.arange(round(len(self.samples) * rate / self.rate)) * (self.rate / rate)
        between = np.interp(wanted, np.arange(len(self.samples)), self.samples)
        return Sound(np.round(between).astype(np.int16), rate)

    def louder(self, factor: float) -> Sound:
        """The same sound with every sample multiplied by `factor`, from 0 to 1."""
        return Sound(np.round(self.samples * factor).astype(np.int16), self.rate)

    def without_silent_ends(self, *, keep_s: float, threshold: int) -> Sound:
        """Without the silence before and after, but for `keep_s` seconds of it; below `threshold` counts as silence."""
        loud = np.flatnonzero(np.abs(self.samples.astype(np.int32)) >= threshold)
        if not len(loud):
            return self
        keep = round(keep_s * self.rate)
        return Sound(self.samples[max(0, int(loud[0]) - keep) : int(loud[-1]) + 1 + keep], self.rate)


def read_wav(path: Path) -> Sound:
    """Read a mono 16-bit WAV.  Raises BrokenSoundError when it is anything else, empty or cut short; OSError."""
    with path.open("rb") as file:
        return wav_sound(file, path.name)


def wav_sound(file: BinaryIO, name: str) -> Sound:
    """A mono 16-bit WAV from an open file, which ``name`` names.  Raises as `read_wav` does."""
    try:
        with wave.open(file) as reader:
            expected = reader.getnframes()
            shape = (reader.getnchannels(), reader.getsampwidth())
            rate = reader.getframerate()
            frames = reader.readframes(expected)
    except (wave.Error, EOFError) as error:
        raise BrokenSoundError(f"{name} is not a WAV file: {error}") from error
    if shape != (1, 2):
        raise BrokenSoundError(f"{name} is not mono 16 bit")
    if rate < 1:
        raise BrokenSoundError(f"{name} has no sampling rate")
    if not expected or len(frames) != 2 * expected:
        raise BrokenSoundError(f"{name} holds {len(frames)} bytes of sound instead of {2 * expected}")
    return Sound(np.frombuffer(frames, dtype="<i2").astype(np.int16), rate)


def write_wav(path: Path, sound: Sound) -> None:
    """Write a mono 16-bit WAV.  Raises OSError."""
    with path.open("wb") as file, wave.open(file, "wb") as writer:
        writer.setnchannels(1)
        writer.setsampwidth(2)
        writer.setframerate(sound.rate)
        writer.writeframes(sound.samples.astype("<i2").tobytes())
