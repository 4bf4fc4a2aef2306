"""The quick form: some of every kind of hostile input."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.faults.attack import harmless, refused
from tests.faults.boxed import MOST_MEMORY, Ended, boxed
from tests.faults.hostile import hostile


def test_hostile_input_is_refused_or_does_no_harm(tmp_path: Path) -> None:
    row = hostile(tmp_path, every=11)
    assert row.good, row.problems
    assert row.injected >= 40


def test_a_box_notices_what_takes_too_much(monkeypatch: pytest.MonkeyPatch) -> None:
    """A guard that sees nothing would let everything pass."""
    monkeypatch.setattr("tests.faults.boxed.MOST_CPU_S", 1)
    monkeypatch.setattr("tests.faults.boxed.PATIENCE_S", 1)

    def for_ever() -> None:
        while True:
            pass

    busy = boxed(for_ever).broke
    assert "SIGXCPU" in busy or "SIGALRM" in busy  # whichever comes first
    assert "MemoryError" in boxed(lambda: bytearray(2 * MOST_MEMORY)).broke
    assert "SIGALRM" in boxed(lambda: input() or __import__("time").sleep(60), typed=b"\n").broke


def test_a_judge_wants_one_clear_error_and_nothing_that_acts() -> None:
    good = Ended(2, "handsfree: no\n  what to do: this\n", 0.1)
    assert refused(good) == ""
    assert harmless(good, (0,)) != ""
    for shown in (
        "",
        good.shown * 2,
        f"{good.shown}\x1b[2J",
        f"{good.shown}\u202e",
        "Traceback\n",
        good.shown + "x" * 50_000,
    ):
        assert refused(Ended(2, shown, 0.1)) != ""
    assert refused(Ended(-24, good.shown, 5.0)) != ""
