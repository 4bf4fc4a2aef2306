"""How scores rise with practice."""

from __future__ import annotations

from math import exp, inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.drill.learning import Curve, learn


def curve_of(scores: list[float]) -> Curve:
    found = learn(scores)
    assert found.curve is not None
    assert found.why_not is None
    return found.curve


def planted(attempts: int, scatter: float, seed: int) -> list[float]:
    """From 50 towards 90, at a pace of 3."""
    true = 90 - 40 * np.exp(-np.arange(attempts) / 3)
    return (true + np.random.default_rng(seed).normal(0, scatter, attempts)).tolist()


def test_scores_on_a_curve_give_the_curve() -> None:
    curve = curve_of(planted(8, 0.0, 1))
    assert (curve.plateau, curve.gain, curve.pace) == pytest.approx((90, 40, 3), rel=1e-3)
    assert curve.predict(1).value == pytest.approx(50, abs=0.01)
    assert curve.predict(20).value == pytest.approx(90 - 40 * exp(-19 / 3), abs=0.02)
    assert curve.predict(inf).value == pytest.approx(curve.plateau)


@pytest.mark.parametrize("attempts", [5, 8, 15])
def test_the_true_curve_is_in_the_band_as_often_as_said(attempts: int) -> None:
    learners = 150
    inside = 0
    for seed in range(learners):
        band = curve_of(planted(attempts, 5.0, seed)).predict(attempts + 1)
        inside += band.low <= 90 - 40 * exp(-attempts / 3) <= band.high
    assert inside / learners >= 0.92


def test_more_attempts_narrow_the_band() -> None:
    few, many = (curve_of(planted(attempts, 5.0, 7)).predict(4) for attempts in (5, 20))
    assert many.high - many.low < few.high - few.low


def test_further_ahead_less_is_known() -> None:
    curve = curve_of(planted(6, 4.0, 3))
    near, far = curve.predict(6), curve.predict(30)
    assert far.high - far.low > near.high - near.low


def test_where_no_plateau_is_in_sight_its_band_says_so() -> None:
    plateau = curve_of([40, 51, 59, 70, 81, 89]).predict(inf)
    assert plateau.high - plateau.low > 100


def test_scores_may_fall() -> None:
    curve = curve_of([90, 80, 74, 71, 70, 69])
    assert curve.gain < 0
    assert curve.predict(7).value < 70


@pytest.mark.parametrize("scores", [[], [50], [50, 60, 70]])
def test_too_few_attempts_have_no_curve(scores: list[float]) -> None:
    found = learn(scores)
    assert (found.curve, found.why_not) == (None, "fewer than 4 attempts")


def test_without_spread_there_is_no_curve() -> None:
    found = learn([80] * 6)
    assert (found.curve, found.why_not) == (None, "all attempts have the same score")


@given(st.lists(st.integers(0, 100), min_size=4, max_size=12), st.integers(1, 30))
def test_the_band_holds_the_curve(scores: list[float], attempt: int) -> None:
    curve = learn(scores).curve
    if curve is not None:
        band = curve.predict(attempt)
        assert band.low <= band.value <= band.high


@pytest.mark.parametrize("attempt", [0, 0.5, -1, float("nan")])
def test_there_is_nothing_before_the_first_attempt(attempt: float) -> None:
    with pytest.raises(ValueError, match="counted from 1"):
        curve_of([50, 60, 70, 75]).predict(attempt)
