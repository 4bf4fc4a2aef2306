"""Cohen's kappa against published values, scikit-learn and statsmodels."""

from __future__ import annotations

import importlib
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handsfree.drill.agreement import Agreement, agreement, agreement_of
from handsfree.drill.estimate import Z_95

metrics: Any = importlib.import_module("sklearn.metrics")  # it has no types
inter_rater: Any = importlib.import_module("statsmodels.stats.inter_rater")  # nor has this

MARKS = st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3)), min_size=1, max_size=40)


def usual_interval(found: Agreement) -> tuple[float, float]:
    return found.kappa.value - Z_95 * found.standard_error, found.kappa.value + Z_95 * found.standard_error


@pytest.mark.parametrize(
    ("table", "kappa", "error", "low", "high"),
    [
        ([[0, 4, 1], [0, 8, 0], [0, 1, 5]], 0.4842, 0.1380, 0.2137, 0.7547),
        ([[0, 0, 0], [5, 16, 3], [8, 12, 28]], 0.3333, 0.0814, 0.1738, 0.4929),
    ],
)
def test_printed_results(table: list[list[int]], kappa: float, error: float, low: float, high: float) -> None:
    """Results that SAS printed, as the tests of statsmodels and J. Uebersax's page on kappa in SAS give them (read)."""
    found = agreement_of(table)
    assert found is not None
    assert (found.kappa.value, found.standard_error) == pytest.approx((kappa, error), abs=0.00005)
    assert usual_interval(found) == pytest.approx((low, high), abs=0.00005)
    assert found.kappa.low <= usual_interval(found)[0]
    assert found.kappa.high >= usual_interval(found)[1]


@given(MARKS)
def test_it_is_that_of_scikit_learn(pairs: list[tuple[int, int]]) -> None:
    one, other = [pair[0] for pair in pairs], [pair[1] for pair in pairs]
    found = agreement(one, other)
    if len({*one, *other}) > 1:
        assert found is not None
        assert found.kappa.value == pytest.approx(float(metrics.cohen_kappa_score(one, other)), abs=1e-12)
    else:
        assert found is None  # scikit-learn warns, and says nan


@given(st.lists(st.lists(st.integers(0, 12), min_size=3, max_size=3), min_size=3, max_size=3))
def test_its_standard_error_is_that_of_statsmodels(table: list[list[int]]) -> None:
    found = agreement_of(table)
    assume(found is not None)
    assert found is not None
    with np.errstate(all="ignore"):  # it takes roots of what rounding left below 0
        theirs = inter_rater.cohens_kappa(np.array(table))
    assert found.kappa.value == pytest.approx(float(theirs.kappa), abs=1e-12)
    assert found.standard_error**2 == pytest.approx(float(theirs.var_kappa), abs=1e-12)
