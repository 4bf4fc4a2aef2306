"""Distance and rank correlation against known values and other libraries."""

from __future__ import annotations

from typing import cast

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein
from scipy.stats import kendalltau  # pyright: ignore[reportUnknownVariableType]  # SciPy ships no types

from handsfree.drill.order import edit_distance, kendall_tau

WORDS = st.text("abcd", max_size=12)
PAIRS = st.lists(st.tuples(st.integers(0, 5), st.integers(-3, 3)), min_size=2, max_size=25)


def test_kitten_and_sitting() -> None:
    """Value from memory."""
    assert edit_distance("kitten", "sitting") == 3


def test_the_example_of_scipys_documentation() -> None:
    """scipy.stats.kendalltau; value from memory."""
    assert kendall_tau([12, 2, 1, 12, 2], [1, 4, 7, 1, 0]) == pytest.approx(-0.4714045, abs=5e-8)


def test_one_swap_of_neighbours_in_five() -> None:
    """One of ten pairs disagrees: (9 - 1) / 10."""
    assert kendall_tau([1, 2, 3, 4, 5], [1, 3, 2, 4, 5]) == pytest.approx(0.8)


@given(WORDS, WORDS)
def test_the_distance_is_rapidfuzzs(one: str, other: str) -> None:
    assert edit_distance(one, other) == Levenshtein.distance(one, other)


@given(PAIRS)
def test_tau_is_scipys(pairs: list[tuple[int, int]]) -> None:
    one, other = zip(*pairs, strict=True)
    found = kendall_tau(one, other)
    if len(set(one)) > 1 and len(set(other)) > 1:
        (tau, _) = cast("tuple[float, float]", kendalltau(one, other))
        assert found == pytest.approx(tau, abs=1e-12)
    else:
        assert found is None  # SciPy says nan
