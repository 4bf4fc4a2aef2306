"""A defect spoken where a number is asked: in noise it must not be taken for a number within the limits, which passes.

Each of these was, as long as a number needed less than a pass, and no second opinion.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from demo.synthetic_speech import speak
from handsfree.bench.tasks import vocabulary_at
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.hearing.ears import Ears
from handsfree.hearing.recogniser import VoskRecogniser
from handsfree.language.heard import Heard
from handsfree.resources import find_checklist
from tests.support.sounds import blocks, in_noise, joined, quiet

Spoken = tuple[str, str, str, str, float]
"""Checklist, item, words, voice, decibels over the noise."""

DEFECTS: dict[Spoken, str] = {
    ("piston-trainer", "oil-quantity", "crack", "flite/kal16", 5): "five",
    ("piston-trainer", "left-fuel-quantity", "snapped", "festival/kal_diphone", 5): "half",
    ("piston-trainer", "left-fuel-quantity", "cracked", "flite/kal16", 5): "a half",
    ("twin-turboprop", "nose-strut", "snapped", "flite/kal16", 10): "nine",
    ("twin-turboprop", "nose-strut", "open", "flite/slt", 10): "fifteen",
    ("twin-turboprop", "left-oil", "snapped", "flite/kal16", 10): "half",
    ("twin-turboprop", "left-oil", "cracked", "flite/slt", 5): "half",
}
"""And the number that each was taken for."""
NUMBERS: dict[Spoken, str] = {
    ("piston-trainer", "oil-quantity", "six quarts", "espeak/en-029", 10): "6",
    ("twin-turboprop", "nose-strut", "seven centimetres", "flite/slt", 10): "7",
    ("twin-turboprop", "nose-strut", "nine", "espeak/en-gb-scotland", 10): "9",
    ("piston-trainer", "covers-counted", "three covers", "flite/rms", 5): "3",
}


@cache
def book(checklist: str) -> Book:
    return Book(load(find_checklist(checklist)))


def heard(model: Path, spoken: Spoken) -> Heard:
    checklist, item, words, voice, snr_db = spoken
    sound = in_noise(joined(quiet(0.4), speak(words, voice), quiet(1.2)), snr_db)
    ears = Ears(model, load=cache(VoskRecogniser))
    return ears.listen(blocks(sound), vocabulary_at(book(checklist), item), patience_s=4.0).heard


@pytest.mark.parametrize("spoken", DEFECTS, ids=lambda one: f"{one[2]} at {one[1]} by {one[3]}")
def test_the_defect_is_not_taken_for_a_number(spoken: Spoken, model: Path) -> None:
    assert heard(model, spoken).outcome in {"finding", "ask"}


@pytest.mark.parametrize(("spoken", "value"), NUMBERS.items(), ids=lambda one: " ".join(map(str, one)))
def test_a_number_is_still_one(spoken: Spoken, value: str, model: Path) -> None:
    meanings = heard(model, spoken).meanings
    assert [(one.outcome, one.get("value")) for one in meanings] == [("value", value)]
