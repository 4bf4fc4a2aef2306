"""From trials to figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.bench.figures import (
    BIN_MS,
    BINS,
    FIRST_BIN_MS,
    confused,
    cost,
    figures,
    histogram,
    percentile,
    share_of,
)
from handsfree.drill.estimate import share
from tests.bench.made import CUT, GOOD, STAND_BY, trial


def test_shares_count_what_they_should() -> None:
    found = figures(
        "clean",
        [
            trial(),
            trial(verdict="asked", outcome="ask", second="right"),
            trial(verdict="missed", outcome="none", second="missed", decided_after_s=None, answered_after_s=None),
            trial(verdict="wrong", outcome="pass", false_pass=True, cut_off=True, decided_after_s=-0.1),
            trial(wanted=(GOOD,), defect=False, outcome="finding", verdict="wrong", false_finding=True),
        ],
    )
    counted = {name: (getattr(found, name).hits, getattr(found, name).of) for name in type(found).model_fields
               if hasattr(getattr(found, name), "hits")}  # fmt: skip
    assert counted == {
        "right": (1, 5), "right_within_two": (2, 5), "asked": (1, 5), "missed": (1, 5), "wrong": (2, 5),
        "false_pass": (1, 4), "false_finding": (1, 1), "early_and_wrong": (1, 5),
    }  # fmt: skip


def test_a_pass_beside_a_defect_is_a_defect() -> None:
    found = figures("clean", [trial(wanted=(GOOD, CUT), outcome="pass", verdict="wrong", false_pass=True)])
    assert (found.false_pass.hits, found.false_pass.of) == (1, 1)
    assert found.false_finding.of == 0


def test_times_are_told_apart_by_kind() -> None:
    found = figures(
        "clean",
        [
            trial(decided_after_s=0.1),
            trial(wanted=(STAND_BY,), decided_after_s=0.3),
            trial(wanted=(GOOD,), decided_after_s=0.5),
            trial(decided_after_s=None),
        ],
    )
    assert (found.findings_and_controls.count, found.findings_and_controls.p95_s) == (2, 0.3)
    assert (found.passes.count, found.passes.median_s) == (1, 0.5)
    assert (found.numbers.count, found.numbers.median_s) == (0, None)
    assert found.decided.count == 3


@pytest.mark.parametrize(("part", "value"), [(0.5, 3), (0.95, 5), (0.2, 1), (0.0, 1), (1.0, 5)])
def test_a_percentile_is_a_value_that_was_measured(part: float, value: float) -> None:
    assert percentile([5, 1, 4, 2, 3], part) == value


@given(st.integers(0, 5000), st.integers(1, 5000))
def test_an_interval_holds_its_share(hits: int, more: int) -> None:
    found = share(hits, hits + more)
    assert found is not None
    assert 0 <= found.low <= hits / (hits + more) <= found.high <= 1


def test_nothing_counted_says_nothing() -> None:
    assert (share_of([]).share, share_of([]).low, share_of([]).high) == (0, 0, 1)


def test_how_many_without_one_false_pass_prove_a_rate_below_one_in_a_thousand() -> None:
    enough, too_few = share(0, 3838), share(0, 3837)
    assert enough is not None
    assert too_few is not None
    assert enough.high <= 0.001 < too_few.high


def test_cost_is_work_over_sound() -> None:
    found = cost(
        [
            trial(cost_s=0.5, audio_s=5.0, blocks_ms=(4.0, 6.0) * 99, memory_mb=150.0),
            trial(cost_s=1.0, audio_s=5.0, blocks_ms=(80.0,)),
        ]
    )
    assert (found.of_real_time, found.memory_mb) == (pytest.approx(0.15), 200.0)
    assert (found.work_median_ms, found.work_p99_ms) == (10.0, 10.0)  # of each 100 ms, which are two blocks


def test_every_time_is_in_one_bin() -> None:
    counts = histogram([-9.0, FIRST_BIN_MS / 1000, 0.0, 0.01, 99.0, None])
    assert (sum(counts), counts[0], counts[-1]) == (5, 2, 1)
    assert counts[-FIRST_BIN_MS // BIN_MS] == 2
    assert len(counts) == BINS


def test_what_was_confused_begins_with_the_false_passes() -> None:
    rows = confused(
        [
            trial(words="worn", verdict="wrong", outcome="finding", said="torn"),
            trial(words="worn", verdict="wrong", outcome="finding", said="torn"),
            trial(words="cut", verdict="wrong", outcome="pass", said="good", false_pass=True),
            trial(words="leak"),
            trial(words="dent", verdict="asked", outcome="ask", said="[unk]"),
        ],
        most=2,
    )
    assert [(row.words, row.wrong, row.heard) for row in rows] == [
        ("cut", 1, "pass: good"),
        ("worn", 2, "finding: torn"),
    ]
