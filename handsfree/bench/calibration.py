"""How far the ears' confidence can be believed: "0.9 sure" should be right nine times of ten.

``python -m handsfree.bench.calibration FOLDER`` fits the two constants of `hearing.settings.ScoreSettings` to a bench
of the tuning voices; the report of a bench of the other voices then shows whether they hold.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np

from handsfree.bench.figures import Figure, Share, share_of
from handsfree.bench.store import trials_in
from handsfree.bench.trial import Trial
from handsfree.hearing.settings import ScoreSettings

_EDGES = (0.0, 0.5, 0.8, 0.9, 0.95, 0.99, 1.0)
_STEPS = 50


class Bin(Figure):
    """Answers of which the ears were about equally sure."""

    name: str
    confidence: float
    """The mean."""
    right: Share


class Reliability(Figure):
    """Of all answers that were taken, not asked again."""

    bins: tuple[Bin, ...]
    brier: float
    """The mean square of confidence minus 1 (right) or 0 (wrong): 0 is best (Brier, 1950)."""


def reliability(trials: Sequence[Trial]) -> Reliability:
    """Confidence against what came of it."""
    taken = [trial for trial in trials if trial.verdict in {"right", "wrong"}]
    bins = (
        _bin(f"{low:g} to {high:g}", [one for one in taken if low < one.confidence <= high])
        for low, high in pairwise(_EDGES)
    )
    errors = [(trial.confidence - (trial.verdict == "right")) ** 2 for trial in taken]
    return Reliability(bins=tuple(one for one in bins if one is not None), brier=float(np.mean(errors or [0.0])))


def _bin(name: str, trials: Sequence[Trial]) -> Bin | None:
    if not trials:
        return None
    mean = float(np.mean([trial.confidence for trial in trials]))
    return Bin(name=name, confidence=mean, right=share_of(trial.verdict == "right" for trial in trials))


def fitted(log_odds: Sequence[float], right: Sequence[bool]) -> ScoreSettings:
    """The likeliest constants: logistic regression by Newton's method, with a little pull towards none."""
    columns = np.stack([np.ones(len(log_odds)), np.asarray(log_odds)], axis=1)
    wanted = np.asarray(right, dtype=float)
    weights = np.zeros(2)  # from there Newton's method does not overshoot
    for _ in range(_STEPS):
        likely = 1.0 / (1.0 + np.exp(-columns @ weights))
        gradient = columns.T @ (wanted - likely) - 1e-3 * weights
        curvature = (columns * (likely * (1.0 - likely))[:, None]).T @ columns + 1e-3 * np.eye(2)
        weights = weights + np.linalg.solve(curvature, gradient)
    return ScoreSettings(offset=round(float(weights[0]), 3), slope=round(float(weights[1]), 3))


def _main(folder: Path) -> None:
    now = ScoreSettings()
    taken = [trial for trial in trials_in(folder) if trial.verdict in {"right", "wrong"}]
    odds = [now.log_odds(trial.confidence) for trial in taken]
    sys.stdout.write(f"{len(taken)} answers: {fitted(odds, [trial.verdict == 'right' for trial in taken])}\n")


if __name__ == "__main__":
    _main(Path(sys.argv[1]))
