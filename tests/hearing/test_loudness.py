"""When it is said that it was too loud to hear: only of what was not understood, and only where there is noise."""

from __future__ import annotations

import pytest

from handsfree.hearing.loudness import too_loud
from handsfree.hearing.settings import LoudnessSettings
from handsfree.language.heard import HeardOutcome

SETTINGS = LoudnessSettings()
LOUD, QUIET = -30.0, -65.0


@pytest.mark.parametrize("outcome", ["ask", "none"])
def test_what_was_not_understood_and_stood_hardly_over_the_noise_was_drowned(outcome: HeardOutcome) -> None:
    assert too_loud(outcome, SETTINGS.poor_snr_db - 0.1, LOUD, SETTINGS)
    assert not too_loud(outcome, SETTINGS.poor_snr_db, LOUD, SETTINGS)


@pytest.mark.parametrize("outcome", ["pass", "finding", "value", "control"])
def test_what_was_understood_was_not_drowned(outcome: HeardOutcome) -> None:
    assert not too_loud(outcome, 0.0, LOUD, SETTINGS)


@pytest.mark.parametrize("snr_db", [0.0, None])
def test_a_quiet_place_is_not_to_blame_for_a_faint_voice(snr_db: float | None) -> None:
    assert not too_loud("none", snr_db, QUIET, SETTINGS)


def test_silence_is_none_where_a_raised_voice_would_have_been_drowned() -> None:
    drowning = SETTINGS.speech_dbfs - SETTINGS.poor_snr_db
    assert too_loud("none", None, drowning + 1, SETTINGS)
    assert not too_loud("none", None, drowning - 1, SETTINGS)


def test_what_was_typed_has_no_noise() -> None:
    assert not too_loud("ask", None, None, SETTINGS)
