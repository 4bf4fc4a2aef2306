"""Synthetic people to be listened to: the same sentence in many English voices, from three families of synthesisers.

Needs Debian's packages `espeak-ng`, `flite`, `festival`, `festvox-kallpc16k` and `festvox-us-slt-hts`.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from platformdirs import user_cache_path

from handsfree.hearing.files import blocks_from_file

Speech = NDArray[np.int16]
"""16 kHz mono."""

VOICES: tuple[str, ...] = (
    "espeak/en-us",
    "espeak/en-us+f3",
    "espeak/en-gb-scotland",
    "espeak/en-gb-x-rp+f2",
    "espeak/en-gb-x-gbclan+m3",
    "espeak/en-029",
    "flite/slt",
    "flite/rms",
    "flite/awb",
    "flite/kal16",
    "festival/kal_diphone",
    "festival/cmu_us_slt_arctic_hts",
)
"""Synthesiser and voice.  The tool's own prompt voice, espeak-ng's "en", is not among them."""

_LEVEL = 1600.0
"""Root mean square of each sentence (of 32768, about -26 dBFS), so that no voice is easier because it is louder."""


def speak(text: str, voice: str) -> Speech:
    """The sentence in one of `VOICES`; rendered once, then read from the user's cache.  Raises CalledProcessError."""
    name = hashlib.sha256(f"{voice}\n{text}".encode()).hexdigest()
    path = user_cache_path("handsfree-walkaround") / "synthetic-speech" / f"{name}.wav"
    if not path.exists():
        _render_atomically(text, voice, path)
    speech = np.concatenate(list(blocks_from_file(path))).astype(np.float64)
    level = float(np.sqrt(np.mean(speech**2)))
    return np.clip(speech * (_LEVEL / max(level, 1.0)), -32768, 32767).astype(np.int16)


def _render_atomically(text: str, voice: str, path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, unfinished = tempfile.mkstemp(prefix=".unfinished-", suffix=".wav", dir=path.parent)
    os.close(handle)
    try:
        subprocess.run(
            _command(voice, unfinished), input=text, text=True, check=True, stdout=subprocess.DEVNULL, timeout=60
        )
        Path(unfinished).replace(path)
    finally:
        Path(unfinished).unlink(missing_ok=True)


def _command(voice: str, target: str) -> list[str]:
    synthesiser, _, name = voice.partition("/")
    match synthesiser:
        case "espeak":
            return ["espeak-ng", "-v", name, "-s", "150", "-w", target, "--stdin"]
        case "flite":
            return ["flite", "-voice", name, "-f", "/dev/stdin", "-o", target]
        case "festival":
            return ["text2wave", "-eval", f"(voice_{name})", "-o", target]
        case _:
            raise ValueError(f'"{voice}" is not one of the voices')
