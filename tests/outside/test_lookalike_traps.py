"""Pairs that RapidFuzz 3.14 finds much alike and that mean the opposite (scores found by running it)."""

from pathlib import Path

import pytest
from rapidfuzz import fuzz

from handsfree.language.grammars import Grammars
from handsfree.language.nearest import blocked_by
from handsfree.language.vocabulary import Entry, Vocabulary


@pytest.fixture(scope="module")
def grammars() -> Grammars:
    return Grammars.load(Path(__file__).parents[2] / "grammars")


def test_the_traps_are_real() -> None:
    assert fuzz.ratio("serviceable", "unserviceable") == pytest.approx(91.7, abs=0.05)
    assert fuzz.token_set_ratio("not checked", "checked") == 100
    assert fuzz.WRatio("no", "normal") == pytest.approx(90)
    assert fuzz.ratio("", "") == 100


@pytest.mark.parametrize(
    ("heard", "phrase"), [("unserviceable", "serviceable"), ("not checked", "checked"), ("no", "normal")]
)
def test_neither_is_taken_for_the_other(grammars: Grammars, heard: str, phrase: str) -> None:
    assert blocked_by(heard, phrase)
    assert blocked_by(phrase, heard)
    for said, known in ((heard, phrase), (phrase, heard)):
        vocabulary = Vocabulary.build([Entry(grammars.expansion(known), "pass")])
        assert all(near.blocked for near in vocabulary.nearest(said))
        assert vocabulary.parse(said).clauses == ()


def test_empty_text_is_near_to_nothing(grammars: Grammars) -> None:
    assert Vocabulary.build([Entry(grammars.expansion("checked"), "pass")]).nearest("") == ()
