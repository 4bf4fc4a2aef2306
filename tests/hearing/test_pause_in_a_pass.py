"""Who says "no", then "leak", has found one: "no leak" passes in one breath, and with a pause it is asked about."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from demo.synthetic_speech import speak
from handsfree.bench.tasks import vocabulary_at
from handsfree.bench.trial import WalkEars
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.hearing.recogniser import RATE
from handsfree.language.heard import Heard
from handsfree.language.vocabulary import Vocabulary
from handsfree.resources import find_checklist

VOICES = ("flite/rms", "flite/slt")
AUDIBLE = 300


@pytest.fixture(scope="module")
def ears(model: Path) -> WalkEars:
    return WalkEars(model)


@cache
def at_the_leg() -> Vocabulary:
    return vocabulary_at(Book(load(find_checklist("twin-turboprop"))), "left-leg")


def silence(seconds: float) -> NDArray[np.int16]:
    return np.zeros(round(RATE * seconds), np.int16)


def one_word(text: str, voice: str) -> NDArray[np.int16]:
    """Without the silence around it."""
    sound = speak(text, voice)
    heard = np.flatnonzero(np.abs(sound.astype(np.int32)) > AUDIBLE)
    return sound[max(0, heard[0] - 400) : heard[-1] + 400]


def heard(ears: WalkEars, *parts: NDArray[np.int16]) -> Heard:
    whole = np.concatenate([silence(0.5), *parts, silence(1.5)])
    noise = np.random.default_rng(1).normal(0, 8, len(whole))
    return ears.hear((whole + noise).astype(np.int16), at_the_leg()).heard


@pytest.mark.parametrize("voice", VOICES)
@pytest.mark.parametrize("pause_s", [0.3, 0.5, 0.8])
def test_with_a_pause_it_is_no_pass(ears: WalkEars, voice: str, pause_s: float) -> None:
    parts = (one_word("no", voice), silence(pause_s), one_word("leaks", voice))
    assert heard(ears, *parts).outcome in {"ask", "finding"}


@pytest.mark.parametrize("voice", VOICES)
def test_in_one_breath_it_is_one(ears: WalkEars, voice: str) -> None:
    assert heard(ears, speak("no leaks", voice)).outcome == "pass"
