"""One order against another."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.drill.order import compare, edit_distance, kendall_tau

EXPECTED = ("nose", "left wing", "left engine", "tail", "right wing")


def test_the_expected_way() -> None:
    found = compare(EXPECTED, EXPECTED)
    assert (found.distance, found.tau, found.omitted, found.out_of_place) == (0, 1.0, (), ())


def test_backwards() -> None:
    found = compare(EXPECTED[::-1], EXPECTED)
    assert found.tau == -1
    assert len(found.out_of_place) == 4, "one may stay where it is"


def test_of_two_that_were_swapped_the_one_gone_to_early_is_out_of_place() -> None:
    found = compare(("nose", "left engine", "left wing", "tail", "right wing"), EXPECTED)
    assert found.out_of_place == ("left engine",)
    assert found.distance == 2
    assert found.tau == pytest.approx(0.8)


def test_one_that_came_late_moves_alone() -> None:
    found = compare(("left wing", "left engine", "tail", "nose", "right wing"), EXPECTED)
    assert found.out_of_place == ("nose",)


def test_what_was_left_out_is_not_out_of_place() -> None:
    found = compare(("nose", "left engine", "right wing"), EXPECTED)
    assert found.omitted == ("left wing", "tail")
    assert found.out_of_place == ()
    assert found.distance == 2
    assert found.tau == 1


def test_what_nobody_expected_is_only_a_distance() -> None:
    found = compare(("nose", "hangar", *EXPECTED[1:]), EXPECTED)
    assert (found.distance, found.tau, found.omitted, found.out_of_place) == (1, 1.0, (), ())


def test_coming_back_does_not_change_the_first_time() -> None:
    found = compare((*EXPECTED, "nose"), EXPECTED)
    assert (found.distance, found.tau, found.out_of_place) == (1, 1.0, ())


@pytest.mark.parametrize("went", [(), ("tail",), ("hangar", "gate")])
def test_fewer_than_two_have_no_order(went: tuple[str, ...]) -> None:
    assert compare(went, EXPECTED).tau is None


@given(st.permutations("abcdefg"), st.integers(0, 7))
def test_no_fewer_could_be_moved(letters: list[str], many: int) -> None:
    went = letters[:many]
    moved = compare(went, "abcdefg").out_of_place
    kept = [letter for letter in went if letter not in moved]
    assert kept == sorted(kept)
    assert not any(list(more) == sorted(more) for more in combinations(went, len(kept) + 1))


@given(st.lists(st.integers(0, 3), max_size=8), st.lists(st.integers(0, 3), max_size=8))
def test_a_distance_is_the_same_both_ways_and_nothing_only_between_equals(one: list[int], other: list[int]) -> None:
    assert edit_distance(one, other) == edit_distance(other, one)
    assert (edit_distance(one, other) == 0) == (one == other)


@pytest.mark.parametrize("nothing_to_rank", [[], [1.0], [2.0, 2.0, 2.0]])
def test_without_anything_to_rank_there_is_no_tau(nothing_to_rank: list[float]) -> None:
    assert kendall_tau(nothing_to_rank, list(range(len(nothing_to_rank)))) is None


def test_ranks_come_in_pairs() -> None:
    with pytest.raises(ValueError, match="zip"):
        kendall_tau([1, 2], [1, 2, 3])
