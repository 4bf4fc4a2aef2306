"""d', c, β and the intervals against published values, a planted truth and other libraries."""

from __future__ import annotations

import importlib
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.drill.detection import Counts, detect, sensitivity
from handsfree.drill.estimate import share

proportion_confint: Any = importlib.import_module("statsmodels.stats.proportion").proportion_confint  # it has no types
stats: Any = importlib.import_module("scipy.stats")


@pytest.mark.parametrize(
    ("hit_rate", "false_alarm_rate", "d_prime", "beta"),
    [(0.7, 0.1, 1.806, 1.981), (0.5, 0.4, 0.253, 1.033), (0.85, 0.05, 2.681, 2.261)],
)
def test_a_published_table(hit_rate: float, false_alarm_rate: float, d_prime: float, beta: float) -> None:
    """A published table of d' and β by hit rate and false alarm rate, to three places."""
    found = sensitivity(hit_rate, false_alarm_rate)
    assert found.d_prime == pytest.approx(d_prime, abs=0.001)
    assert found.beta == pytest.approx(beta, abs=0.001)


def test_twenty_of_twenty_five() -> None:
    """Macmillan & Creelman, "Detection Theory: A User's Guide": 20 of 25 hits, 10 of 25 false alarms.

    Values from memory, recomputed; without correction.
    """
    found = sensitivity(20 / 25, 10 / 25)
    assert found.d_prime == pytest.approx(1.095, abs=0.0005)
    assert found.criterion == pytest.approx(-0.294, abs=0.0005)


def test_the_example_of_statpsych() -> None:
    """R package statpsych (Bonett), help page of `signal`: signal(82, 46, 100, 100), with the log-linear correction.

    Its "Bias" is our criterion.
    """
    found = detect(Counts(hits=82, misses=18, false_alarms=46, correct_rejections=54))
    assert found.d_prime is not None
    assert found.criterion is not None
    assert found.d_prime.value == pytest.approx(1.002793, abs=5e-7)
    assert found.criterion.value == pytest.approx(-0.4019603, abs=5e-8)


@pytest.mark.parametrize(
    ("hits", "of", "low", "high"), [(18, 20, 0.69896635, 0.97213352), (4, 20, 0.08065766, 0.41601743)]
)
def test_published_wilson_intervals(hits: int, of: int, low: float, high: float) -> None:
    """As R prints them: propCI(x = 18, n = 20, method = "wilson") and prop.test(4, 20, correct = FALSE)."""
    found = share(hits, of)
    assert found is not None
    assert (found.low, found.high) == pytest.approx((low, high), abs=1e-8)


@given(st.integers(0, 200), st.integers(0, 200))
def test_wilsons_interval_is_that_of_statsmodels(hits: int, more: int) -> None:
    found = share(hits, hits + more)
    if found is None:
        assert hits + more == 0
    else:
        low, high = proportion_confint(hits, hits + more, alpha=0.05, method="wilson")
        assert (found.low, found.high) == pytest.approx((low, high), abs=1e-12)


@pytest.mark.parametrize(
    "counts", [Counts(8, 0, 0, 50), Counts(13, 7, 4, 56), Counts(0, 1, 1, 0), Counts(90, 9, 5, 400)]
)
def test_the_interval_is_that_of_drawn_posteriors(counts: Counts) -> None:
    """SciPy's Beta quantiles at evenly spaced shares, every pair of them, instead of densities on a grid of z."""
    shares = (np.arange(2000) + 0.5) / 2000
    hit = stats.norm.ppf(stats.beta.ppf(shares, counts.hits + 0.6, counts.misses + 0.6))
    alarm = stats.norm.ppf(stats.beta.ppf(shares, counts.false_alarms + 0.6, counts.correct_rejections + 0.6))
    found = detect(counts)
    for one, drawn in (
        (found.d_prime, np.subtract.outer(hit, alarm)),
        (found.criterion, np.add.outer(hit, alarm) / -2),
    ):
        assert one is not None
        assert (one.low, one.high) == pytest.approx((np.quantile(drawn, 0.02), np.quantile(drawn, 0.98)), abs=0.005)


@cache
def interval(hits: int, defects: int, false_alarms: int, sound: int) -> tuple[float, float]:
    found = detect(Counts(hits, defects - hits, false_alarms, sound - false_alarms)).d_prime
    assert found is not None
    return found.low, found.high


@pytest.mark.parametrize(
    ("defects", "sound", "hit_rate", "false_alarm_rate"),
    [
        (8, 50, 0.5, 0.08),
        (8, 50, 0.97, 0.01),
        (8, 70, 0.7, 0.03),
        (9, 55, 0.64, 0.0575),  # the worst point of all that were measured
        (12, 50, 0.85, 0.02),
        (17, 60, 0.85, 0.05),
        (25, 50, 0.9, 0.04),  # the worst point of the middle 95 % after Jeffreys' prior
        (25, 50, 0.97, 0.15),
        (25, 70, 0.97, 0.01),
    ],
)
def test_a_planted_d_prime_is_inside_as_often_as_said(
    defects: int, sound: int, hit_rate: float, false_alarm_rate: float
) -> None:
    """Twenty thousand attempts of somebody whose true rates are known."""
    random = np.random.default_rng(11)
    hits = random.binomial(defects, hit_rate, 20_000).tolist()
    false_alarms = random.binomial(sound, false_alarm_rate, 20_000).tolist()
    true = float(stats.norm.ppf(hit_rate) - stats.norm.ppf(false_alarm_rate))
    intervals = [interval(hit, defects, alarm, sound) for hit, alarm in zip(hits, false_alarms, strict=True)]
    covered = sum(low <= true <= high for low, high in intervals) / len(intervals)
    assert 0.93 <= covered <= 0.995
