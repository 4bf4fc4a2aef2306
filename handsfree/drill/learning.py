"""How scores rise with practice, and where that leads: an exponential curve with its band.

The score of attempt n is a - b·exp(-(n - 1)/c).  Of the two usual curves of practice, power and exponential, this is
the one that fits single learners better (Heathcote, Brown & Mewhort, 2000), and its plateau has a meaning.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import exp, pi, sqrt, tan
from typing import Final

import numpy as np
from numpy.typing import NDArray

from handsfree.drill.estimate import Estimate

LEAST: Final = 4
"""Attempts below which there is no curve: it has three numbers of its own, and the band needs one more."""
_QUICKEST: Final = 0.2
"""Least pace that is tried, in attempts: all is learned in the first."""
_SLOWEST: Final = 10
"""Greatest pace that is tried, as a multiple of the attempts: within them such a curve is a straight line."""
_PACES: Final = 400
"""Paces that are tried; as many again are between the two neighbours of the best."""


@dataclass(frozen=True, slots=True)
class Curve:
    """The curve of least squares through the scores."""

    plateau: float
    """a: where it leads.  Far away where the scores still rise in a straight line: see the band of ``predict(inf)``."""
    gain: float
    """b: from the first attempt to the plateau; below 0 = it goes down."""
    pace: float
    """c, in attempts: in so many, 63 % of what is left is gained."""
    scores: tuple[float, ...]
    """What it was fitted to, from the first attempt on."""

    def predict(self, attempt: float) -> Estimate:
        """Where the curve is at an attempt (1 = the first; ``math.inf`` = the plateau), not one score around it.

        The 95 % band is the profile of the likelihood: all curves whose squares are not greater than the least by more
        than Student's t allows, with as many degrees of freedom as there are attempts beyond three.  Measured for 4 to
        20 attempts on four curves, with a normal scatter of 3 and of 8 points, 500 learners each: the true curve is
        inside in 92.4 % of cases or more, 95.9 % on average.  After four attempts it is too wide to be of use.

        An attempt before the first is a ValueError.
        """
        if not attempt >= 1:
            raise ValueError("attempts are counted from 1")
        value = self.plateau - self.gain * exp(-(attempt - 1) / self.pace)
        tried = _lines(self.scores, _around(self.pace, len(self.scores)))
        freedom = len(self.scores) - 3
        spare = tried.squares[-1] * (1 + _student(freedom) ** 2 / freedom) - tried.squares
        allowed = spare >= 0
        beyond = np.exp(-(attempt - 1) / tried.paces) - tried.middle
        half = np.sqrt(np.where(allowed, spare, 0.0) * (1 / len(self.scores) + beyond**2 / tried.spread))
        at = tried.height + tried.slope * beyond
        low, high = (at - half)[allowed].min(), (at + half)[allowed].max()
        return Estimate(value, min(value, float(low)), max(value, float(high)))  # rounding must not shut it out


@dataclass(frozen=True, slots=True)
class Learning:
    """A curve, or why there is none."""

    curve: Curve | None
    why_not: str | None


def learn(scores: Sequence[float]) -> Learning:
    """Fit the curve to the scores of all attempts, in their order.

    For each pace the other two numbers are those of a straight line, so only the pace is searched (variable
    projection; Golub & Pereyra, 1973).
    """
    if len(scores) < LEAST:
        return Learning(None, f"fewer than {LEAST} attempts")
    if min(scores) == max(scores):
        return Learning(None, "all attempts have the same score")
    paces = _paces(len(scores))
    best = int(_lines(scores, paces).squares.argmin())
    near = _between(float(paces[max(0, best - 1)]), float(paces[min(_PACES - 1, best + 1)]))
    fitted = _lines(scores, near)
    best = int(fitted.squares.argmin())
    slope = float(fitted.slope[best])
    plateau = fitted.height - slope * float(fitted.middle[best])
    return Learning(Curve(plateau, -slope, float(near[best]), tuple(scores)), None)


@dataclass(frozen=True, slots=True)
class _Lines:
    """For each pace c the line of least squares over u = exp(-(n - 1)/c)."""

    paces: NDArray[np.float64]
    middle: NDArray[np.float64]
    """Mean of u."""
    spread: NDArray[np.float64]
    """Sum of the squares of u around its mean."""
    height: float
    """Mean of the scores: every line goes through it at the mean of u."""
    slope: NDArray[np.float64]
    squares: NDArray[np.float64]
    """Sum of the squares of what the line leaves."""


def _lines(scores: Sequence[float], paces: NDArray[np.float64]) -> _Lines:
    u = np.exp(-np.arange(len(scores)) / paces[:, None])
    middle = u.mean(axis=1)
    u -= middle[:, None]
    y = np.asarray(scores, dtype=np.float64)
    height = float(y.mean())
    spread = (u**2).sum(axis=1)
    slope = u @ (y - height) / spread
    squares = ((y - height - slope[:, None] * u) ** 2).sum(axis=1)
    return _Lines(paces, middle, spread, height, slope, squares)


def _paces(attempts: int) -> NDArray[np.float64]:
    return _between(_QUICKEST, _SLOWEST * attempts)


def _between(least: float, most: float) -> NDArray[np.float64]:
    return np.geomspace(least, most, _PACES)


def _around(pace: float, attempts: int) -> NDArray[np.float64]:
    """All paces that are tried, and ever closer ones beside this one: with little scatter, only those are allowed."""
    steps = np.exp(_between(1e-7, 1.0))
    most = _SLOWEST * attempts
    return np.clip(np.concatenate([_paces(attempts), pace / steps, pace * steps, [pace]]), _QUICKEST, most)


@cache
def _student(freedom: int) -> float:
    """The 97.5 % quantile of Student's t, by the angle θ: t = √freedom·tan θ, of density cos(θ)^(freedom - 1)."""
    angle: NDArray[np.float64] = np.linspace(-pi / 2, pi / 2, 100_001)
    density: NDArray[np.float64] = np.maximum(np.cos(angle), 0.0) ** (freedom - 1)
    below = np.cumsum(density) - density / 2
    (quantile,) = np.interp([0.975 * float(density.sum())], below, angle)
    return sqrt(freedom) * tan(float(quantile))
