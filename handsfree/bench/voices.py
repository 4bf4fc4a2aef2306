"""Synthetic inspectors: a sentence in many English voices, from three families of synthesisers.

The tool's own prompt voice, espeak-ng's "en", is not among them.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from platformdirs import user_cache_path

from handsfree.bench.effort import EFFORTS, Effort, EffortName, lifted
from handsfree.bench.speech_level import Sound
from handsfree.errors import Mendable
from handsfree.hearing.files import blocks_from_file
from handsfree.hearing.recogniser import RATE
from handsfree.portaudio import AudioError

Engine = Literal["espeak", "flite", "festival"]

_LIMIT_S = 60.0
_FRAME = RATE // 100
_SILENT_DB = -45.0
"""Frames of 10 ms that lie so far below the loudest are the synthesiser's pauses; a final "k" or "f" lies above."""


class VoiceError(Mendable):
    """A sentence cannot be spoken; `hint` says what the user can do."""


@dataclass(frozen=True, slots=True)
class Voice:
    """Somebody who speaks."""

    engine: Engine
    speaker: str
    """As the synthesiser calls it."""
    package: str
    """The Debian package that brings it."""
    words_per_minute: int = 160
    """Of espeak-ng's voices, as is the next; the others have rates and pitches of their own."""
    pitch: int = 50
    """From 0 to 99."""

    @property
    def name(self) -> str:
        """How reports call it."""
        return f"{self.engine}/{self.speaker}"


def _espeak(speaker: str, words_per_minute: int, pitch: int) -> Voice:
    return Voice("espeak", speaker, "espeak-ng", words_per_minute, pitch)


TUNING_VOICES: tuple[Voice, ...] = (
    _espeak("en-us", 160, 50),
    _espeak("en-us+f3", 150, 55),
    _espeak("en-gb-scotland+m1", 165, 40),
    _espeak("en-gb-x-gbcwmd+f4", 145, 60),
    _espeak("en-gb-x-gbcwmd+m4", 175, 35),
    Voice("flite", "rms", "flite"),
    Voice("flite", "kal16", "flite"),
    Voice("festival", "kal_diphone", "festvox-kallpc16k"),
)
"""Whoever sets a threshold listens to these."""
REPORTING_VOICES: tuple[Voice, ...] = (
    _espeak("en-us-nyc+m3", 150, 45),
    _espeak("en-us-nyc+f1", 165, 50),
    _espeak("en-gb-x-rp+f2", 155, 55),
    _espeak("en-gb-x-gbclan+m7", 170, 40),
    _espeak("en-029+m2", 145, 50),
    Voice("flite", "slt", "flite"),
    Voice("flite", "awb", "flite"),
    Voice("festival", "cmu_us_slt_arctic_hts", "festvox-us-slt-hts"),
)
"""Published figures come from these.  No accent, timbre or speaker is in both halves: "kal" and "slt" are each one
person recorded once, whichever synthesiser speaks with them."""
VOICES: tuple[Voice, ...] = TUNING_VOICES + REPORTING_VOICES
PROMPT_VOICE = _espeak("en", 175, 50)
"""Who speaks the prompts of a walk; never an inspector."""


def spoken(text: str, voice: Voice, effort: EffortName = "normal") -> Sound:
    """The sentence without the pauses before and after it, at the synthesiser's own level.

    Rendered once, then read from the user's cache.  A raised voice is rendered slower and higher (flite's "rms" and
    festival's "slt" know no other pitch) and its spectrum made flatter.  Raises VoiceError.
    """
    change = EFFORTS[effort]
    command = _command(voice, change)
    path = _cached(command, text)
    if not path.exists():
        _render_atomically(command, text, voice, path)
    try:
        blocks = list(blocks_from_file(path))
    except AudioError as error:
        raise VoiceError(f'{voice.name} left no usable sound for "{text}": {error}', f"delete {path}") from error
    sound = np.concatenate(blocks).astype(np.float32) / np.float32(32768.0)
    return lifted(without_silent_ends(sound), change.lift_db)


def without_silent_ends(sound: Sound) -> Sound:
    """From the first frame of 10 ms that holds speech to the last."""
    frames = sound[: len(sound) // _FRAME * _FRAME].reshape(-1, _FRAME)
    power = np.mean(np.square(frames, dtype=np.float64), axis=1)
    loud = np.flatnonzero(power > power.max(initial=0.0) * 10.0 ** (_SILENT_DB / 10.0))
    return sound[loud[0] * _FRAME : (loud[-1] + 1) * _FRAME] if len(loud) else sound[:0]


def _command(voice: Voice, effort: Effort) -> tuple[str, ...]:
    """How to start the synthesiser: it reads the text from its input; the file to write comes behind."""
    match voice.engine:
        case "espeak":
            pitch = min(99, round(voice.pitch + _ESPEAK_OCTAVE * float(np.log2(effort.pitch))))
            rate = round(voice.words_per_minute / effort.stretch)
            return ("espeak-ng", "-v", voice.speaker, "-s", f"{rate}", "-p", f"{pitch}", "--stdin", "-w")
        case "flite":
            features = (f"duration_stretch={effort.stretch:.3f}", f"f0_shift={effort.pitch:.3f}")
            settings = [word for feature in features for word in ("--setf", feature)]
            return ("flite", "-voice", voice.speaker, *settings, "-f", "/dev/stdin", "-o")
        case "festival":
            return ("text2wave", "-eval", f"(begin (voice_{voice.speaker}) {_festival_effort(voice, effort)})", "-o")


_ESPEAK_OCTAVE = 60.0
"""Steps of espeak-ng's pitch that make an octave."""


def _festival_effort(voice: Voice, effort: Effort) -> str:
    if voice.speaker.endswith("_hts"):
        return f'(set! hts_engine_params (append hts_engine_params \'(("-r" {1.0 / effort.stretch:.3f}))))'
    return (
        f"(Parameter.set 'Duration_Stretch {effort.stretch:.3f})"
        f" (set! int_lr_params '((target_f0_mean {105.0 * effort.pitch:.1f}) (target_f0_std 14)"
        " (model_f0_mean 170) (model_f0_std 34)))"
    )


def _cached(command: tuple[str, ...], text: str) -> Path:
    name = hashlib.sha256("\n".join([*command, text]).encode()).hexdigest()
    return user_cache_path("handsfree-walkaround") / "bench-voices" / f"{name}.wav"


def _render_atomically(command: tuple[str, ...], text: str, voice: Voice, path: Path) -> None:
    # flite speaks with another voice where it does not know the one asked for, and says nothing of it
    if voice.engine == "flite" and voice.speaker not in _run(("flite", "-lv"), "", voice).split():
        raise VoiceError(f"there is no voice {voice.name}", _install(voice))
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, unfinished = tempfile.mkstemp(prefix=".unfinished-", suffix=".wav", dir=path.parent)
    os.close(handle)
    try:
        _run((*command, unfinished), text, voice)
        Path(unfinished).replace(path)
    finally:
        Path(unfinished).unlink(missing_ok=True)


def _run(command: tuple[str, ...], text: str, voice: Voice) -> str:
    try:
        done = subprocess.run(command, input=text.encode(), capture_output=True, check=False, timeout=_LIMIT_S)
    except FileNotFoundError as error:
        raise VoiceError(f'the voice {voice.name} needs the program "{command[0]}"', _install(voice)) from error
    except subprocess.TimeoutExpired as error:
        raise VoiceError(f'{voice.name} hangs at "{text}"') from error
    complaint = done.stderr.decode(errors="replace").strip()
    if done.returncode or "SIOD ERROR" in complaint:  # festival speaks with another voice and ends well
        raise VoiceError(f"there is no voice {voice.name}: {complaint or done.returncode}", _install(voice))
    return done.stdout.decode(errors="replace")


def _install(voice: Voice) -> str:
    return f"on Debian or Ubuntu: apt install {voice.package}"
