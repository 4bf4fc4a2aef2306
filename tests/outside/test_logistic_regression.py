"""Our fit of the confidence against SciPy's general minimiser on the same likelihood (Cox, 1958)."""

from __future__ import annotations

import importlib
from typing import Any

import numpy as np
import pytest

from handsfree.bench.calibration import fitted

optimize: Any = importlib.import_module("scipy.optimize")  # it has no types


def test_it_finds_what_scipy_finds() -> None:
    random = np.random.default_rng(5)
    odds = random.normal(3.0, 3.0, 400)
    right = random.random(400) < 1.0 / (1.0 + np.exp(-(0.7 * odds - 0.4)))

    def surprise(weights: Any) -> float:
        z = weights[0] + weights[1] * odds
        return float(np.sum(np.logaddexp(0.0, z) - right * z) + 5e-4 * np.sum(np.square(weights)))

    best = optimize.minimize(surprise, np.zeros(2)).x
    ours = fitted(odds.tolist(), right.tolist())
    assert (ours.offset, ours.slope) == pytest.approx(tuple(best), abs=2e-3)
