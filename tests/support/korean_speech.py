"""Somebody who reads Korean aloud with a Finnish accent: Hangul to sounds, and these by a Finnish diphone voice.

No registry carries a Korean voice that the Korean model understands, but a voice need not be Korean for its sounds: the
diphones of festival's "suo_fi_lj" are recordings of a person, and Finnish has most of the vowels and the plain stops.
How letters are said is by the rules of Standard Pronunciation (National Institute of Korean Language), from memory:
9 and 10 (ends of syllables), 12 (the letter h), 13 and 14 (an end goes over to the next vowel), 18 (before nasals),
19 and 20 (l and r beside others), 23 (stops after stops become tense).

Needs Debian's packages `festival` and `festvox-suopuhe-lj`.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from handsfree.hearing.files import blocks_from_file

Speech = NDArray[np.int16]
"""16 kHz mono."""

_VOICE: Final = "suo_fi_lj_diphone"
_PITCH_HZ: Final = 200.0
PACE: Final = 1.15
"""Times the lengths below: the one of three paces at which most was understood."""
_LEVEL: Final = 1600.0
"""Root mean square, of 32768."""
_FIRST_SYLLABLE, _LAST_SYLLABLE = 0xAC00, 0xD7A3

_STARTS: Final = "g kk n d tt r m b pp s ss - j jj ch k t p h".split()  # noqa: SIM905  # read as a row
_VOWELS: Final = "a e ja je o e jo je u ua ue ue ju u uo ue ui ju y yi i".split()  # noqa: SIM905
"""As Finnish sounds: the two vowels o and u are both u, and eo, which Finnish lacks, is o."""
_ENDS: Final = "- g kk gs n nj nh d l lg lm lb ls lt lp lh m b bs s ss ng j ch k t p h".split()  # noqa: SIM905
_AS_AN_END: Final = {
    "kk": "g",
    "k": "g",
    "gs": "g",
    "lg": "g",
    "s": "d",
    "ss": "d",
    "j": "d",
    "ch": "d",
    "t": "d",
    "h": "d",
    "p": "b",
    "bs": "b",
    "nj": "n",
    "nh": "n",
    "lm": "m",
    "lb": "l",
    "ls": "l",
    "lt": "l",
    "lp": "b",
    "lh": "l",
}
_PARTED: Final = {
    "gs": ("g", "ss"),
    "bs": ("b", "ss"),
    "nj": ("n", "j"),
    "nh": ("-", "n"),
    "lg": ("l", "g"),
    "lm": ("l", "m"),
    "lb": ("l", "b"),
    "ls": ("l", "ss"),
    "lt": ("l", "t"),
    "lp": ("l", "p"),
    "lh": ("-", "r"),
}
"""What of two letters stays at the end, and what goes over to the next vowel."""
_BREATHY: Final = {"g": "k", "d": "t", "b": "p", "j": "ch"}
_TENSE: Final = {"g": "kk", "d": "tt", "b": "pp", "s": "ss", "j": "jj"}
_NASAL: Final = {"g": "ng", "d": "n", "b": "m"}

_SOUNDS: Final = {
    "g": "k",
    "kk": "k",
    "n": "n",
    "d": "t",
    "tt": "t",
    "r": "r",
    "l": "l",
    "m": "m",
    "b": "p",
    "pp": "p",
    "s": "s",
    "ss": "s",
    "j": "ts",
    "jj": "ts",
    "ch": "tsh",
    "k": "kh",
    "t": "th",
    "p": "ph",
    "h": "h",
    "ng": "N",
}
_VOICED: Final = {"g": "g", "d": "d", "b": "b", "j": "ds"}
"""Plain stops between vowels, or after a nasal or an l."""


class _Syllable(NamedTuple):
    start: str
    vowel: str
    end: str


class Sound(NamedTuple):
    """A sound of the Finnish voice."""

    name: str
    seconds: float


@cache
def speak_korean(text: str, pace: float = PACE) -> Speech:
    """The sentence as sound; ``pace`` = times the usual lengths.  Raises CalledProcessError without the voice."""
    with tempfile.TemporaryDirectory() as folder:
        target, program = Path(folder) / "spoken.wav", Path(folder) / "spoken.scm"
        program.write_text(_festival_program(sounds_of(text), pace, target), encoding="utf-8")
        subprocess.run(["festival", "-b", str(program)], check=True, capture_output=True, timeout=60)
        speech = np.concatenate(list(blocks_from_file(target))).astype(np.float64)
    level = float(np.sqrt(np.mean(speech**2)))
    return np.clip(speech * (_LEVEL / max(level, 1.0)), -32768, 32767).astype(np.int16)


def sounds_of(text: str) -> list[Sound]:
    """The Finnish sounds of a Korean text, in order."""
    return [sound for word in text.split() for sound in _sounds(_said(_syllables(word)))]


def _festival_program(said: list[Sound], pace: float, target: Path) -> str:
    sounds = [Sound("#", 0.2), *said, Sound("#", 0.2)]
    falling = np.linspace(1.05, 0.85, len(sounds)) * _PITCH_HZ
    segments = " ".join(
        f"({sound.name} {sound.seconds * pace:.3f} ({sound.seconds * pace / 2:.3f} {pitch:.0f}))"
        for sound, pitch in zip(sounds, falling, strict=True)
    )
    return (
        f"(voice_{_VOICE})\n(set! spoken (Utterance Segments ({segments})))\n(utt.synth spoken)\n"
        f'(utt.save.wave spoken "{target}" \'riff)\n'
    )


def _syllables(word: str) -> list[_Syllable]:
    numbers = [ord(letter) - _FIRST_SYLLABLE for letter in word if _FIRST_SYLLABLE <= ord(letter) <= _LAST_SYLLABLE]
    return [_Syllable(_STARTS[n // 588], _VOWELS[n % 588 // 28], _ENDS[n % 28]) for n in numbers]


def _said(syllables: list[_Syllable]) -> list[_Syllable]:
    """As they are said beside each other."""
    said = list(syllables)
    for at in range(len(said) - 1):
        end, start = _meeting(said[at].end, said[at + 1].start)
        said[at], said[at + 1] = said[at]._replace(end=end), said[at + 1]._replace(start=start)
    if said:
        said[-1] = said[-1]._replace(end=_AS_AN_END.get(said[-1].end, said[-1].end))
    return said


def _meeting(end: str, start: str) -> tuple[str, str]:  # noqa: PLR0911  # one rule a line
    """The end of a syllable and the start of the next one."""
    if start == "-":
        return _over(end)
    if start == "h" and end in _BREATHY:
        return "-", _BREATHY[end]
    if end in ("h", "nh", "lh") and start in _BREATHY:
        return {"h": "-", "nh": "n", "lh": "l"}[end], _BREATHY[start]
    plain = _AS_AN_END.get(end, end)
    if start in ("n", "m") and plain in _NASAL:
        return _NASAL[plain], start
    if start == "r" and plain in ("m", "ng", "g", "b"):
        return _NASAL.get(plain, plain), "n"
    if (plain, start) in (("n", "r"), ("l", "r"), ("l", "n")):
        return "l", "l"
    return plain, _TENSE.get(start, start) if plain in _NASAL else start


def _over(end: str) -> tuple[str, str]:
    if end in ("-", "ng"):
        return end, "-"
    if end in _PARTED:
        return _PARTED[end]
    return "-", {"h": "-", "l": "r"}.get(end, end)


def _sounds(syllables: list[_Syllable]) -> Iterator[Sound]:
    before = ""
    for syllable in syllables:
        if syllable.start != "-":
            soft = before in ("vowel", "n", "m", "ng", "l")
            sounds = (_VOICED if soft else {}).get(syllable.start, _SOUNDS[syllable.start])
            seconds = 0.1 if syllable.start in _TENSE.values() else 0.075
            yield from (Sound(one, seconds if len(sounds) == 1 else seconds / 1.3) for one in sounds)
        *glides, vowel = syllable.vowel
        yield from (Sound(one, 0.06) for one in glides)
        yield Sound(vowel, 0.11)
        if syllable.end != "-":
            yield Sound(_SOUNDS[syllable.end], 0.09)
        before = syllable.end if syllable.end != "-" else "vowel"
