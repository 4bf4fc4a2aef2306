"""Short tones that say what became of an answer, before any word does."""

from __future__ import annotations

from typing import Literal, get_args

import numpy as np

from handsfree.speaking.sound import Sound

ToneKind = Literal["heard", "not_heard", "finding", "done"]
TONE_KINDS: tuple[ToneKind, ...] = get_args(ToneKind)

RATE = 22050
"""The same as espeak-ng's, so that tones and prompts need the same stream."""
_LEVEL = 0.35
"""Peak, of full scale: below the voice, clearly above silence."""
_EDGE_S = 0.012
"""Each note fades in and out this long: a hard edge would click, and a click looks like speech to the ears."""

_NOTES: dict[ToneKind, tuple[tuple[float, float], ...]] = {
    "heard": ((880.0, 0.09),),
    "not_heard": ((440.0, 0.11), (330.0, 0.17)),
    "finding": ((660.0, 0.09), (990.0, 0.09), (660.0, 0.12)),
    "done": ((660.0, 0.09), (880.0, 0.09), (1320.0, 0.2)),
}
"""Frequency (hertz) and length (seconds) of each note.  They differ in number and direction, not only in pitch, so
that they stay apart in noise; all within 200-5000 Hz, the band that MIL-STD-1472E gives for signals over noise."""


def make_tone(kind: ToneKind) -> Sound:
    """The sound of a tone."""
    notes = [_note(frequency, length) for frequency, length in _NOTES[kind]]
    return Sound(np.concatenate(notes), RATE)


def _note(frequency: float, length: float) -> np.ndarray[tuple[int], np.dtype[np.int16]]:
    time = np.arange(round(length * RATE)) / RATE
    edge = np.clip(np.minimum(time, length - time) / _EDGE_S, 0.0, 1.0)
    envelope = np.sin(edge * np.pi / 2) ** 2
    return np.round(np.sin(2 * np.pi * frequency * time) * envelope * _LEVEL * 32767).astype(np.int16)
