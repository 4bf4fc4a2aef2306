"""The quick form of tests/faults.sh: a sample of each kind of fault."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.faults.clock import clock_jumps
from tests.faults.disk import disk_faults
from tests.faults.figures import Row, as_table
from tests.faults.kills import cuts, kills
from tests.faults.load import long_log, long_walk
from tests.journal.recorded import sealed_walk


def holds(row: Row, least: int) -> None:
    assert row.good, row.problems
    assert row.injected >= least


def test_the_disk_refuses(tmp_path: Path) -> None:
    holds(disk_faults(tmp_path, every=17), 30)


def test_killed_anywhere(tmp_path: Path) -> None:
    holds(kills(tmp_path, 20), 20)


def test_cut_anywhere(tmp_path: Path) -> None:
    holds(cuts(sealed_walk(tmp_path / "walk"), tmp_path / "cut", every=211), 100)


def test_the_clock_jumps(tmp_path: Path) -> None:
    holds(clock_jumps(tmp_path, every=23), 10)


@pytest.mark.slow
def test_a_long_walk(tmp_path: Path) -> None:
    holds(long_walk(tmp_path / "walk", 60), 1)


def test_a_long_log(tmp_path: Path) -> None:
    holds(long_log(tmp_path, 10_000), 1)


def test_a_row_is_good_only_when_all_survived_and_nothing_was_lost_or_invented() -> None:
    row = Row("killed")
    assert not row.good, "nothing was tried"
    row.count()
    assert row.good
    for lost, invented, problem in ((1, 0, ""), (0, 1, ""), (0, 0, "it did not go on")):
        other = Row("killed")
        other.count()
        other.count(lost=lost, invented=invented, problem=problem)
        assert (other.good, other.injected, other.survived) == (False, 2, 1)
    assert as_table([row]).splitlines()[-1] == "| killed | 1 | 1 | 0 | 0 |  |"
