"""A pass and a defect in one breath, of which noise covers the second half: it must not be taken for the pass.

Each of these was, as long as a second clause cost as much when a pass is doubted as when it is first heard.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.bench.scene import Condition, make_scene
from handsfree.bench.tasks import vocabulary_at
from handsfree.bench.trial import WalkEars
from handsfree.bench.voices import VOICES
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.resources import find_checklist

BOTH = (
    ("nose-cone", "surface smooth burned", "espeak/en-us", Condition("babble", 5.0), 645),
    ("oxygen-disc", "green in place missing", "espeak/en-gb-x-gbcwmd+f4", Condition("babble", 5.0), 625),
    ("baggage-door", "door shut and not latched", "espeak/en-us", Condition("babble", 5.0), 790),
    ("chocks", "set in place and moved away", "espeak/en-gb-scotland+m1", Condition("babble", 5.0), 778),
    ("left-probe", "removed plugged", "flite/kal16", Condition("turbine", 5.0), 511),
    ("right-gear-pin", "removed and pin in", "flite/rms", Condition("pink", 0.0), 110),
)
ALONE = (
    ("baggage-door", "door shut", "espeak/en-us", Condition("babble", 10.0), 1),
    ("left-probe", "cover removed", "flite/kal16", Condition("turbine", 10.0), 1),
)


@pytest.fixture(scope="module")
def ears(model: Path) -> WalkEars:
    return WalkEars(model)


@pytest.fixture(scope="module")
def book() -> Book:
    return Book(load(find_checklist("twin-turboprop")))


def outcome(ears: WalkEars, book: Book, spoken: tuple[str, str, str, Condition, int]) -> str:
    item, words, voice, condition, seed = spoken
    speaker = next(one for one in VOICES if one.name == voice)
    return ears.hear(make_scene(words, speaker, condition, seed).sound, vocabulary_at(book, item)).heard.outcome


@pytest.mark.parametrize("spoken", BOTH, ids=lambda one: one[1])
def test_the_defect_is_not_lost(spoken: tuple[str, str, str, Condition, int], ears: WalkEars, book: Book) -> None:
    assert outcome(ears, book, spoken) in {"finding", "ask"}


@pytest.mark.parametrize("spoken", ALONE, ids=lambda one: one[1])
def test_the_same_pass_alone_is_still_one(
    spoken: tuple[str, str, str, Condition, int], ears: WalkEars, book: Book
) -> None:
    assert outcome(ears, book, spoken) == "pass"
