"""A number with what it may be instead; the interval of a share."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist
from typing import Final

Z_95: Final = NormalDist().inv_cdf(0.975)
"""Standard deviations to each side of a normal distribution's middle 95 %."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """What was measured, and the 95 % interval around it."""

    value: float
    low: float
    high: float


def share(hits: int, of: int) -> Estimate | None:
    """Hits by trials, 0 to 1, with Wilson's score interval (1927); None where nothing was tried."""
    if of == 0:
        return None
    value, z2 = hits / of, Z_95**2
    centre = (value + z2 / (2 * of)) / (1 + z2 / of)
    half = Z_95 * sqrt(value * (1 - value) / of + z2 / (4 * of * of)) / (1 + z2 / of)
    return Estimate(value, 0.0 if hits == 0 else centre - half, 1.0 if hits == of else centre + half)
