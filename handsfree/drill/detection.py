"""How well defects were told from what is sound, apart from how readily "defect" was said.

Signal detection theory (Green & Swets, 1966; formulas as in Stanislaw & Todorov, 1999).  Somebody who calls everything
a defect finds all of them: the hit rate alone says little.  d' is what was told apart, in standard deviations; c is
where the line was drawn (above 0 = slow to say "defect", below 0 = quick to), β the same as a ratio of likelihoods.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import erfc, exp, sqrt
from statistics import NormalDist
from typing import Final

import numpy as np
from numpy.typing import NDArray

from handsfree.drill.estimate import Estimate, share

_NORMAL: Final = NormalDist()
_PRIOR: Final = 0.6
_MIDDLE: Final = 0.96
"""Both chosen by measurement, see `detect`."""
_STEP, _REACH = 0.02, 9.0
"""Grid of z, in standard deviations: at its ends a posterior has less than a millionth of its height."""


@dataclass(frozen=True, slots=True)
class Counts:
    """Trials by what was there and what was said."""

    hits: int
    """Defects that were called defects."""
    misses: int
    """Defects that were passed."""
    false_alarms: int
    """Sound, and called a defect."""
    correct_rejections: int
    """Sound, and passed."""

    def __post_init__(self) -> None:
        if min(self.hits, self.misses, self.false_alarms, self.correct_rejections) < 0:
            raise ValueError("a count is never below 0")

    @property
    def defects(self) -> int:
        """Trials with a defect."""
        return self.hits + self.misses

    @property
    def sound(self) -> int:
        """Trials without one."""
        return self.false_alarms + self.correct_rejections


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What two rates say."""

    d_prime: float
    criterion: float
    beta: float


@dataclass(frozen=True, slots=True)
class Detection:
    """What the counts say; None = there were no trials of a kind that it needs."""

    hit_rate: Estimate | None
    """As counted, with Wilson's interval."""
    false_alarm_rate: Estimate | None
    d_prime: Estimate | None
    criterion: Estimate | None
    beta: float | None


def sensitivity(hit_rate: float, false_alarm_rate: float) -> Sensitivity:
    """Of the rates as they are: d' = z(H) - z(F), c = -(z(H) + z(F)) / 2, β = exp((z(F)² - z(H)²) / 2).

    A rate of 0 or 1 is a ValueError: it has no z.
    """
    hit, alarm = _NORMAL.inv_cdf(hit_rate), _NORMAL.inv_cdf(false_alarm_rate)
    return Sensitivity(hit - alarm, -(hit + alarm) / 2, exp((alarm**2 - hit**2) / 2))


def detect(counts: Counts) -> Detection:
    """The values with the log-linear correction: half a trial more of each outcome (Hautus, 1995).

    The intervals are Bayesian: each rate has a Beta posterior with a prior of 0.6 of a trial for each outcome; written
    as densities of z they are independent, so d' and c have their convolutions, of which the middle 96 % is taken.

    Measured, by adding up the probabilities of all outcomes, for 8 to 25 defects and 50 to 70 sound items, hit
    rates 0.5 to 0.97 and false alarm rates 0.01 to 0.15 in small steps: the true d' is inside in 96.3 % of attempts on
    average, at the worst point in 93.9 %, at the best in 98.9 %.  The middle 95 % after Jeffreys' prior (0.5) covers
    95.0 % on average, but less than 92 % at the worst point.
    """
    hit_rate, false_alarm_rate = share(counts.hits, counts.defects), share(counts.false_alarms, counts.sound)
    if hit_rate is None or false_alarm_rate is None:
        return Detection(hit_rate, false_alarm_rate, None, None, None)
    values = sensitivity((counts.hits + 0.5) / (counts.defects + 1), (counts.false_alarms + 0.5) / (counts.sound + 1))
    hit = _posterior(counts.hits, counts.misses)
    alarm = _posterior(counts.false_alarms, counts.correct_rejections)
    low, high = _middle(np.convolve(hit, alarm[::-1]))
    least, most = _middle(np.convolve(hit, alarm))
    return Detection(
        hit_rate,
        false_alarm_rate,
        d_prime=Estimate(values.d_prime, low, high),
        criterion=Estimate(values.criterion, -most / 2, -least / 2),
        beta=values.beta,
    )


@cache
def _grid() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Values of z, and the logarithms of the normal distribution function there."""
    z = np.linspace(-_REACH, _REACH, round(2 * _REACH / _STEP) + 1)
    return z, np.log([erfc(-value / sqrt(2)) / 2 for value in z.tolist()])


def _posterior(yes: int, no: int) -> NDArray[np.float64]:
    """The density of z(rate) on the grid, after so many trials of either outcome; its sum is 1."""
    z, below = _grid()
    above = below[::-1]  # the grid and the normal distribution are symmetric
    log = (yes + _PRIOR - 1) * below + (no + _PRIOR - 1) * above - z**2 / 2
    density = np.exp(log - log.max())
    return density / density.sum()


def _middle(density: NDArray[np.float64]) -> tuple[float, float]:
    """The bounds of the middle share of a sum of two values on the grid."""
    below = np.cumsum(density) - density / 2
    values = np.linspace(-2 * _REACH, 2 * _REACH, len(density))
    outside = (1 - _MIDDLE) / 2
    low, high = np.interp([outside, 1 - outside], below, values)
    return float(low), float(high)
