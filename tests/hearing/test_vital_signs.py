"""Whether a microphone lives, told by nothing but the blocks that come and a clock."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from handsfree.hearing.vital_signs import Fault, VitalSigns

RATE = 16000
BLOCK_S = 0.05


def blocks(seconds: float, rate: float = RATE, lump_s: float = BLOCK_S) -> Iterator[tuple[float, int]]:
    """When blocks come and how many samples they hold, from a device of this rate that hands on lumps of this length.

    A lump comes as several blocks at once, as from a card whose buffer was full.
    """
    lumps = round(seconds / lump_s)
    for lump in range(1, lumps + 1):
        for _ in range(round(lump_s / BLOCK_S)):
            yield lump * lump_s, round(BLOCK_S * rate)


def noticed(coming: Iterator[tuple[float, int]], signs: VitalSigns | None = None) -> tuple[Fault | None, float]:
    """The first fault, and when."""
    signs = signs or VitalSigns(RATE, 0.0)
    at = 0.0
    for at, samples in coming:
        if signs.fault(at) is not None:
            return signs.fault(at), at
        signs.came(at, samples, zeros=False, hole=False)
    return signs.fault(at), at


@pytest.mark.parametrize("rate", [RATE, RATE * 1.08, RATE * 0.92], ids=["right", "8 % fast", "8 % slow"])
def test_a_device_whose_clock_is_a_little_off_is_well(rate: float) -> None:
    assert noticed(blocks(120, rate))[0] is None


@pytest.mark.parametrize("rate", [44100, 48000, 22050, 8000], ids=str)
def test_another_rate_than_it_says_is_noticed_after_two_seconds(rate: int) -> None:
    fault, at = noticed(blocks(5, rate))
    assert fault == "wrong rate"
    assert at <= 2.3


def test_a_rate_that_is_a_fifth_off_is_noticed_in_the_end() -> None:
    assert noticed(blocks(10, RATE * 1.2))[0] == "wrong rate"


@pytest.mark.parametrize("lump_s", [0.2, 0.5, 1.0])
def test_a_busy_machine_that_hands_sound_on_in_lumps_is_well(lump_s: float) -> None:
    assert noticed(blocks(60, lump_s=lump_s))[0] is None


def test_a_hole_in_the_sound_is_no_other_rate() -> None:
    signs = VitalSigns(RATE, 0.0)
    assert noticed(blocks(30), signs)[0] is None
    late = 5.0  # so much was lost
    for at, samples in blocks(30):
        signs.came(30 + late + at, samples, zeros=False, hole=at == BLOCK_S)
    assert signs.fault(30 + late + 30) is None


def test_no_sound_for_longer_than_it_may_be_late_is_a_fault_also_from_the_start() -> None:
    signs = VitalSigns(RATE, 10.0)
    assert [signs.fault(at) for at in (11.1, 11.3)] == [None, "no sound comes"]
    signs.came(11.3, 800, zeros=False, hole=False)
    assert [signs.fault(at) for at in (12.4, 12.6)] == [None, "no sound comes"]


def test_a_device_is_proven_by_its_first_sound_and_its_rate_by_two_seconds_of_it() -> None:
    signs = VitalSigns(RATE, 0.0)
    assert not signs.proven("no sound comes")
    proven_at = 0.0
    for at, samples in blocks(3):
        signs.came(at, samples, zeros=True, hole=False)
        assert signs.proven("no sound comes")
        proven_at = proven_at or (at if signs.proven("wrong rate") else 0.0)
    assert 2.0 <= proven_at <= 2.2


def test_zeros_are_sound_that_comes_but_not_sound() -> None:
    signs = VitalSigns(RATE, 0.0)
    signs.came(0.1, 800, zeros=True, hole=False)
    assert not signs.ever_sounded
    signs.came(0.2, 800, zeros=False, hole=False)
    signs.came(0.3, 800, zeros=True, hole=False)
    assert signs.ever_sounded
