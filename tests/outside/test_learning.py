"""The curve of practice against SciPy's general fit of curves, and its band against SciPy's Student's t."""

from __future__ import annotations

import importlib
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.drill.learning import learn

curve_fit: Any = importlib.import_module("scipy.optimize").curve_fit  # it has no types
stats: Any = importlib.import_module("scipy.stats")


def height(attempt: Any, plateau: float, gain: float, pace: float) -> Any:
    return plateau - gain * np.exp(-(attempt - 1) / pace)


@pytest.mark.parametrize("seed", range(10))
def test_it_finds_what_scipy_finds(seed: int) -> None:
    attempts = np.arange(1, 13)
    scores = height(attempts, 90, 40, 3) + np.random.default_rng(seed).normal(0, 3, 12)
    theirs, _ = curve_fit(height, attempts, scores, p0=(80, 30, 2))
    ours = learn(scores.tolist()).curve
    assert ours is not None
    assert (ours.plateau, ours.gain, ours.pace) == pytest.approx(tuple(theirs), rel=1e-3)


@given(st.lists(st.integers(0, 100), min_size=4, max_size=15).filter(lambda scores: len(set(scores)) > 1))
@settings(max_examples=40, deadline=None)
def test_scipy_finds_nothing_better_between_the_same_bounds(scores: list[int]) -> None:
    ours = learn(scores).curve
    assert ours is not None
    attempts = np.arange(1, len(scores) + 1)
    bounds = ([-np.inf, -np.inf, 0.2], [np.inf, np.inf, 10.0 * len(scores)])
    theirs, _ = curve_fit(
        height, attempts, scores, p0=(scores[-1], scores[-1] - scores[0], 2.0), bounds=bounds, max_nfev=20_000
    )
    left = sum((ours.predict(int(n)).value - score) ** 2 for n, score in zip(attempts, scores, strict=True))
    assert left <= float(np.sum((height(attempts, *theirs) - scores) ** 2)) * (1 + 1e-4) + 1e-6


@pytest.mark.parametrize("attempts", [6, 12])
def test_the_band_is_as_wide_as_the_linear_theory_has_it_where_scatter_is_small(attempts: int) -> None:
    """SciPy's covariance of the three numbers, carried to the curve by its slopes, times SciPy's quantile of t."""
    n = np.arange(1, attempts + 1)
    scores = height(n, 90, 40, 3) + np.random.default_rng(4).normal(0, 0.05, attempts)
    theirs, covariance = curve_fit(height, n, scores, p0=(80, 30, 2))
    at = attempts + 1
    fall = np.exp(-(at - 1) / theirs[2])
    slopes = np.array([1.0, -fall, -theirs[1] * fall * (at - 1) / theirs[2] ** 2])
    half = stats.t.ppf(0.975, attempts - 3) * np.sqrt(slopes @ covariance @ slopes)
    curve = learn(scores.tolist()).curve
    assert curve is not None
    band = curve.predict(at)
    assert (band.high - band.low) / 2 == pytest.approx(half, rel=0.1)
