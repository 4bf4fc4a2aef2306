"""How far two agree who mark the same things."""

from __future__ import annotations

import pytest

from handsfree.drill.agreement import Agreement, agreement, agreement_of
from handsfree.drill.estimate import Estimate


def kappa(one: str, other: str) -> Estimate:
    found = agreement(one, other)
    assert found is not None
    return found.kappa


def test_who_always_agree_have_one_and_are_not_certain_to_agree_again() -> None:
    found = kappa("ddssssssss", "ddssssssss")
    assert (found.value, found.high) == (1.0, 1.0)
    assert found.low < 0.5


def test_the_more_they_mark_alike_the_nearer_to_certain() -> None:
    assert kappa("ds" * 100, "ds" * 100).low > 0.95


def test_who_agree_as_by_chance_have_nothing() -> None:
    found = kappa("ddss" * 5, "dsds" * 5)
    assert found.value == pytest.approx(0)
    assert found.low < 0 < found.high


def test_who_always_disagree_have_minus_one() -> None:
    found = kappa("dsds", "sdsd")
    assert (found.value, found.low) == (-1.0, -1.0)


def test_many_alike_by_chance_is_no_agreement() -> None:
    """One defect among twenty, and each reports another item: 90 % alike."""
    found = agreement("d" + "s" * 19, "s" * 19 + "d")
    assert found is not None
    assert (found.observed, found.of) == (0.9, 20)
    assert found.kappa.value < 0


def test_a_table_says_the_same_as_the_marks() -> None:
    assert agreement("aabbc", "abbbc") == agreement_of([[1, 1, 0], [0, 2, 0], [0, 0, 1]])


@pytest.mark.parametrize("table", [[[7]], [[7, 0], [0, 0]], [[0, 0], [0, 0]], []])
def test_one_mark_for_all_has_no_kappa(table: list[list[int]]) -> None:
    assert agreement_of(table) is None


def test_nothing_marked_has_no_kappa() -> None:
    assert agreement([], []) is None


def test_one_mark_each_and_not_the_same_has_one() -> None:
    found = agreement("aaa", "bbb")
    assert isinstance(found, Agreement)
    assert found.kappa.value == 0


@pytest.mark.parametrize("table", [[[1, 2]], [[1], [2]], [[1, 2], [3]], [[1, -1], [0, 2]]])
def test_what_is_no_table_of_counts_is_refused(table: list[list[int]]) -> None:
    with pytest.raises(ValueError, match="square"):
        agreement_of(table)


def test_both_mark_the_same_things() -> None:
    with pytest.raises(ValueError, match="same things"):
        agreement("ab", "a")
