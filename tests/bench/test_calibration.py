"""Whether confidence means what it says."""

from __future__ import annotations

import numpy as np
import pytest

from handsfree.bench.calibration import fitted, reliability
from handsfree.hearing.settings import ScoreSettings
from tests.bench.made import trial


def test_the_constants_behind_the_answers_are_found_again() -> None:
    random = np.random.default_rng(1)
    log_odds = random.uniform(0.0, 12.0, 20000)
    right = random.random(20000) < 1.0 / (1.0 + np.exp(-(0.5 * log_odds - 1.0)))
    score = fitted(log_odds.tolist(), right.tolist())
    assert score.slope == pytest.approx(0.5, abs=0.03)
    assert score.offset == pytest.approx(-1.0, abs=0.12)


def test_confidence_and_log_odds_are_each_others_inverse() -> None:
    score = ScoreSettings(offset=-0.5, slope=0.6)
    for log_odds in (-3.0, 0.0, 2.5, 9.0):
        assert score.log_odds(score.confidence(log_odds)) == pytest.approx(log_odds)
    assert score.confidence(50.0) == score.confidence(score.most)


def test_answers_are_put_together_by_how_sure_the_ears_were() -> None:
    sure = [trial(confidence=0.999) for _ in range(9)]
    found = reliability([*sure, trial(confidence=0.995, verdict="wrong"), trial(confidence=0.6)])
    assert [(one.name, one.right.hits, one.right.of) for one in found.bins] == [
        ("0.5 to 0.8", 1, 1),
        ("0.99 to 1", 9, 10),
    ]
    assert found.brier == pytest.approx((9 * 0.001**2 + 0.995**2 + 0.4**2) / 11)


def test_questions_do_not_count_as_answers() -> None:
    assert reliability([trial(verdict="asked"), trial(verdict="missed")]).bins == ()
