"""Defects in words that no checklist foresees, spoken to the real recogniser at the shipped items: none may pass."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from demo.synthetic_speech import speak
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.hearing.ears import Ears
from handsfree.resources import find_checklist
from handsfree.walk.events import Expect
from tests.support.sounds import blocks, quiet

VOICES = ("espeak/en-us", "flite/slt", "flite/awb")
UNFORESEEN = {
    "nose-leg": ("no it leaks", "leg isn't dry", "links incomplete", "almost dry", "it leaks"),
    "steering-pin": ("pin isn't removed", "pin still there"),
    "right-fuel-cap": ("cap isn't tight", "cap isn't shut", "cap ajar"),
    "right-fuel-drains": ("vent unclear", "drains aren't dry", "drains drip"),
    "right-intake": ("intake isn't clear", "intake unclear", "bird inside"),
    "right-relief-disc": ("disc isn't in place", "disc displaced"),
    "hydraulics-on": ("pump isn't running", "pump never running", "not confirmed by cockpit"),
    "left-static": ("holes unclear", "no holes clear", "all holes aren't clear"),
    "left-front-skin": ("skin isn't smooth", "looks rough"),
    "ground-power": ("door isn't shut", "door won't shut"),
}


@pytest.fixture(scope="module")
def ears(model: Path) -> Ears:
    return Ears(model)


@pytest.fixture(scope="module")
def book() -> Book:
    return Book(load(find_checklist("twin-turboprop")))


@pytest.mark.parametrize(("item", "words"), [(item, words) for item, said in UNFORESEEN.items() for words in said])
def test_it_never_passes(item: str, words: str, ears: Ears, book: Book) -> None:
    vocabulary = book.listening.vocabulary(Expect("item", item))
    for voice in VOICES:
        sound = np.concatenate([quiet(0.4), speak(words, voice), quiet(1.6)])
        heard = ears.listen(blocks(sound), vocabulary, patience_s=None).heard
        assert heard.outcome != "pass", f"{voice}: {heard.said}"


@pytest.mark.parametrize("words", ["that isn't correct", "that is not correct"])
def test_a_denied_yes_is_no_yes(words: str, ears: Ears, book: Book) -> None:
    vocabulary = book.phrasebook.yes_or_no()
    for voice in VOICES:
        sound = np.concatenate([quiet(0.4), speak(words, voice), quiet(1.6)])
        heard = ears.listen(blocks(sound), vocabulary, patience_s=None).heard
        assert "affirm" not in {meaning.get("control") for meaning in heard.meanings}, voice
