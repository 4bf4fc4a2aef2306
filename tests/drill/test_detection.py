"""Defects told from what is sound: what the numbers mean, and when there is none."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.drill.detection import Counts, detect, sensitivity
from handsfree.drill.estimate import share

FEW = st.integers(0, 30)


def test_more_told_apart_is_a_higher_d_prime() -> None:
    poor, good = detect(Counts(10, 10, 20, 40)).d_prime, detect(Counts(18, 2, 3, 57)).d_prime
    assert poor is not None
    assert good is not None
    assert good.low > poor.value


def test_guessing_tells_nothing_apart() -> None:
    guessed = detect(Counts(10, 10, 30, 30)).d_prime
    assert guessed is not None
    assert guessed.value == pytest.approx(0)
    assert (guessed.low + guessed.high) / 2 == pytest.approx(0, abs=1e-6)


def test_who_calls_all_a_defect_finds_all_and_tells_nothing_apart() -> None:
    found = detect(Counts(20, 0, 60, 0))
    assert found.hit_rate is not None
    assert found.d_prime is not None
    assert found.criterion is not None
    assert found.hit_rate.value == 1
    assert found.d_prime.low < 0 < found.d_prime.high
    assert found.criterion.high < 0, "quick to say defect"


def test_a_careful_tongue_has_a_high_criterion() -> None:
    found = detect(Counts(5, 15, 0, 60))
    assert found.criterion is not None
    assert found.beta is not None
    assert found.criterion.low > 0
    assert found.beta > 1


def test_nothing_missed_and_nothing_called_wrong_has_a_number_all_the_same() -> None:
    found = detect(Counts(8, 0, 0, 50)).d_prime
    assert found is not None
    assert found.value == pytest.approx(sensitivity(8.5 / 9, 0.5 / 51).d_prime)
    assert found.high - found.low > 1.5, "so few trials leave much open"


def test_without_trials_of_a_kind_there_is_no_number() -> None:
    no_defects = detect(Counts(0, 0, 2, 8))
    assert (no_defects.hit_rate, no_defects.d_prime, no_defects.criterion, no_defects.beta) == (None,) * 4
    assert no_defects.false_alarm_rate == share(2, 10)
    nothing_sound = detect(Counts(3, 1, 0, 0))
    assert nothing_sound.hit_rate == share(3, 4)
    assert nothing_sound.false_alarm_rate is None
    assert nothing_sound.d_prime is None


@given(st.integers(0, 30), FEW, FEW, FEW)
def test_the_interval_holds_the_value(hits: int, misses: int, false_alarms: int, right: int) -> None:
    found = detect(Counts(hits, misses, false_alarms, right))
    for one in (found.hit_rate, found.false_alarm_rate, found.d_prime, found.criterion):
        assert one is None or one.low <= one.value <= one.high


@given(FEW.filter(bool), FEW, FEW.filter(bool), FEW)
def test_the_other_way_round_all_signs_turn(hits: int, misses: int, false_alarms: int, right: int) -> None:
    """Who says "sound" for "defect" and the reverse tells apart as much, with the opposite sign."""
    one, other = detect(Counts(hits, misses, false_alarms, right)), detect(Counts(misses, hits, right, false_alarms))
    for here, there in ((one.d_prime, other.d_prime), (one.criterion, other.criterion)):
        assert here is not None
        assert there is not None
        assert (here.value, here.low, here.high) == pytest.approx((-there.value, -there.high, -there.low), abs=1e-6)


def test_more_trials_narrow_the_interval() -> None:
    few, many = detect(Counts(8, 2, 5, 45)).d_prime, detect(Counts(32, 8, 20, 180)).d_prime
    assert few is not None
    assert many is not None
    assert (many.high - many.low) < 0.6 * (few.high - few.low)


def test_a_count_below_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="below 0"):
        Counts(3, -1, 0, 5)


def test_a_rate_without_a_z_is_refused() -> None:
    with pytest.raises(ValueError, match=r"0\.0 < p < 1\.0"):
        sensitivity(1.0, 0.1)
