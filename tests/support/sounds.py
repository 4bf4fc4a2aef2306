"""Sound for tests: synthetic speech, noise, and files."""

from __future__ import annotations

import hashlib
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from handsfree.hearing.files import blocks_from_file
from handsfree.hearing.recogniser import RATE

Sound = NDArray[np.int16]
"""16 kHz mono."""

_RENDERED = Path(tempfile.gettempdir()) / "handsfree-test-speech"


def speech(text: str, voice: str = "en-gb") -> Sound:
    """A synthetic voice saying it: espeak-ng's ``en-…``, flite's slt, rms, awb or kal, or ``festival``."""
    _RENDERED.mkdir(exist_ok=True)
    name = hashlib.sha256(f"{voice}/{text}".encode()).hexdigest()[:24]
    path = _RENDERED / f"{name}.wav"
    if not path.exists():
        with tempfile.TemporaryDirectory(dir=_RENDERED) as folder:
            fresh = Path(folder) / "fresh.wav"
            _render(text, voice, fresh)
            fresh.rename(path)
    sound = whole(path)
    return (sound * (1600.0 / max(1.0, rms(sound)))).clip(-32768, 32767).astype(np.int16)


def _render(text: str, voice: str, path: Path) -> None:
    if voice.startswith("en"):
        subprocess.run(["espeak-ng", "-v", voice, "-s", "150", "-w", str(path), text], check=True)
    elif voice == "festival":
        subprocess.run(["text2wave", "-o", str(path)], input=text.encode(), check=True)
    else:
        subprocess.run(["flite", "-voice", voice, "-t", text, "-o", str(path)], check=True)


def whole(path: Path) -> Sound:
    """All of a recording."""
    return np.concatenate(list(blocks_from_file(path)))


def quiet(seconds: float) -> Sound:
    return np.zeros(round(seconds * RATE), dtype=np.int16)


def pink_noise(seconds: float, level: float, seed: int = 1) -> Sound:
    """Noise with equal power in each octave; ``level`` is its root mean square, of 32768."""
    count = round(seconds * RATE)
    spectrum = np.fft.rfft(np.random.default_rng(seed).standard_normal(count))
    frequencies = np.maximum(np.fft.rfftfreq(count, 1 / RATE), 40.0)
    noise = np.fft.irfft(spectrum / np.sqrt(frequencies), count)
    return (noise * level / np.sqrt(np.mean(noise**2))).astype(np.int16)


def in_noise(sound: Sound, snr_db: float, seed: int = 1) -> Sound:
    """The sound in pink noise, the ratio taken over its whole length."""
    noise = pink_noise(len(sound) / RATE, rms(sound[sound != 0]) * 10 ** (-snr_db / 20), seed)
    return (sound.astype(np.int32) + noise).clip(-32768, 32767).astype(np.int16)


def tone(seconds: float, level: float, hertz: float = 400.0) -> Sound:
    at = np.arange(round(seconds * RATE)) / RATE
    return (level * np.sqrt(2) * np.sin(2 * np.pi * hertz * at)).astype(np.int16)


def rms(sound: Sound) -> float:
    return float(np.sqrt(np.mean(sound.astype(np.float64) ** 2))) if len(sound) else 0.0


def joined(*parts: Sound) -> Sound:
    return np.concatenate(parts)


def blocks(sound: Sound, size: int = 1600) -> Iterator[Sound]:
    return (sound[start : start + size] for start in range(0, len(sound), size))
