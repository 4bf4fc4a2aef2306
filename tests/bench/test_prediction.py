"""What the measure of sounds foretells, held against confusions that were counted."""

from __future__ import annotations

import pytest

from handsfree.bench.prediction import Correlation, correlation, counts_by_item
from tests.bench.made import trial
from tests.support.said import pronounce

FAR = ("dry", "moving freely", "bare and clean")
NEAR = (("cover on", "cover off"), ("pin in", "pin out"))


def counted(confused: int) -> dict[tuple[str, str], int]:
    """Every phrase said ten times; each of the near ones taken for the other so often."""
    right = {(phrase, phrase): 10 for phrase in FAR}
    near = {(one, other): confused for pair in NEAR for one, other in (pair, pair[::-1])}
    return {**right, **near, **{(one, one): 10 - confused for pair in NEAR for one in pair}}


def test_confusions_of_what_is_near_were_foretold() -> None:
    found = correlation([counted(confused=4)], pronounce)
    assert found.n == 7 * 6
    assert found.rho > 0.4
    assert found.p < 0.05


def test_confusions_of_what_is_far_were_not() -> None:
    trials = {**counted(confused=0), ("dry", "moving freely"): 5, ("moving freely", "dry"): 5}
    assert correlation([trials], pronounce).rho < 0.1


@pytest.mark.parametrize("trials", [{}, {("dry", "dry"): 3}, {("dry", "dry"): 3, ("leak", "leak"): 2}])
def test_without_confusions_there_is_nothing_to_foretell(trials: dict[tuple[str, str], int]) -> None:
    found = correlation([trials], pronounce)
    assert (found.rho, found.p) == (0.0, 1.0)


def test_what_was_heard_and_never_spoken_counts_only_as_a_mishearing() -> None:
    assert correlation([{("dry", "dry"): 3, ("leak", ""): 2}], pronounce) == Correlation(rho=0.0, n=2, p=1.0)


def test_the_same_counts_give_the_same_chance() -> None:
    assert correlation([counted(confused=4)], pronounce) == correlation([counted(confused=4)], pronounce)


def test_phrases_of_different_items_are_no_pairs() -> None:
    two = [{("dry", "dry"): 3, ("leak", "leak"): 2}, {("cut", "cut"): 1, ("worn", "cut"): 1}]
    assert correlation(two, pronounce).n == 4


def test_trials_are_counted_by_item_and_another_way_to_say_the_same_is_the_same() -> None:
    trials = [
        trial(words="cut", said="cuts"),
        trial(words="cut", said="worn", verdict="wrong"),
        trial(item="other", words="dry", said="dry"),
    ]
    assert counts_by_item(trials) == [{("cut", "cut"): 1, ("cut", "worn"): 1}, {("dry", "dry"): 1}]
