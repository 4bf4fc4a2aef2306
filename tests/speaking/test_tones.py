"""The four tones: short, soft-edged, and not to be mistaken for each other."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from handsfree.speaking.tones import TONE_KINDS, ToneKind, make_tone


def pitches(kind: ToneKind) -> list[float]:
    """The strongest frequency (hertz) of each note, found by listening to 40 ms pieces."""
    sound = make_tone(kind)
    size = round(0.04 * sound.rate)
    found: list[float] = []
    for start in range(0, len(sound.samples) - size, size):
        piece = sound.samples[start : start + size] * np.hanning(size)
        strongest = float(np.abs(np.fft.rfft(piece, 8 * size)).argmax()) * sound.rate / (8 * size)
        if not found or abs(strongest / found[-1] - 1) > 0.1:
            found.append(strongest)
    return found


@pytest.mark.parametrize("kind", TONE_KINDS)
def test_a_tone_is_over_before_the_next_prompt_is_missed(kind: ToneKind) -> None:
    assert 0.05 <= make_tone(kind).seconds <= 0.5


@pytest.mark.parametrize("kind", TONE_KINDS)
def test_a_tone_does_not_click(kind: ToneKind) -> None:
    """A click is a sudden step: at the ends there is none, and in between none that the pitch does not explain."""
    sound = make_tone(kind)
    level = sound.samples / 32767
    assert abs(level[0]) < 0.001
    assert abs(level[-1]) < 0.02
    steepest_sine = 2 * np.pi * 1400 / sound.rate * np.abs(level).max()
    assert np.abs(np.diff(level)).max() < steepest_sine


@pytest.mark.parametrize("kind", TONE_KINDS)
def test_a_tone_lies_where_a_signal_carries_over_noise(kind: ToneKind) -> None:
    """MIL-STD-1472E: 200 to 5000 Hz (read in a secondary copy)."""
    assert all(200 <= pitch <= 5000 for pitch in pitches(kind))


def test_no_two_tones_have_the_same_tune() -> None:
    """Number of notes and direction differ, so that a tone can be told by someone who cannot name a pitch."""
    tunes = {kind: tuple(np.sign(np.diff(pitches(kind))).astype(int).tolist()) for kind in TONE_KINDS}
    assert all(tunes[one] != tunes[other] for one, other in combinations(TONE_KINDS, 2)), tunes
