"""The figures as a table."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from rich.console import Console

from handsfree.bench.errors import BenchError
from handsfree.bench.table import BEGIN, END, as_markdown, below, rows, show, write_between_markers
from tests.bench.made import report, trial

TRIALS = [
    *(trial(seed=number, condition="clean") for number in range(3)),
    trial(seed=3, condition="pink 10 dB", outcome="pass", verdict="wrong", false_pass=True),
    trial(seed=4, condition="rain 10 dB", decided_after_s=0.6),
]


def test_the_rows_tell_each_column() -> None:
    heading, *others = rows(report(*TRIALS))
    told = {line[0]: dict(zip(heading[1:], line[1:], strict=True)) for line in others}
    assert heading == ("", "clean", "10 dB", "5 dB", "0 dB")
    assert told["right at first"] == {"clean": "100.0 %", "10 dB": "50.0 %", "5 dB": "-", "0 dB": "-"}
    assert told["false passes (95 % bound)"]["clean"] == "0 of 3 (≤ 56.15 %)"
    assert told["false passes (95 % bound)"]["10 dB"].startswith("1 of 2")
    assert told["rain alone, right at first"]["10 dB"] == "100.0 %"
    assert told["findings, controls: median / p95"]["clean"] == "0.20 / 0.20 s"


def test_the_machine_the_seed_and_the_cost_are_below() -> None:
    found = report(*TRIALS, seed=5)
    assert "seed 5" in below(found)
    assert str(found.machine) in below(found)
    assert "0.10 of real time" in below(found)


def test_an_interrupted_bench_says_so() -> None:
    assert "answers of 17960 planned (interrupted)" in below(report(*TRIALS))
    whole = report(*TRIALS)
    assert "interrupted" not in below(whole.model_copy(update={"planned": whole.tried}))


def test_markdown_has_as_many_cells_in_each_line() -> None:
    lines = [line for line in as_markdown(report(*TRIALS)).splitlines() if line.startswith("|")]
    assert {line.count("|") for line in lines} == {6}


def test_the_terminal_shows_the_same() -> None:
    shown = io.StringIO()
    show(report(*TRIALS), Console(file=shown, width=200))
    assert "right at first" in shown.getvalue()
    assert "0 of 3 (≤ 56.15 %)" in shown.getvalue()


def test_the_table_is_written_between_its_markers(tmp_path: Path) -> None:
    file = tmp_path / "README.md"
    file.write_text(f"before\n{BEGIN}\nold\n{END}\nafter\n", encoding="utf-8")
    for text in ("new", "newer"):
        write_between_markers(file, text)
        assert file.read_text(encoding="utf-8") == f"before\n{BEGIN}\n{text}\n{END}\nafter\n"


def test_without_markers_nothing_is_written(tmp_path: Path) -> None:
    file = tmp_path / "README.md"
    file.write_text("no place\n", encoding="utf-8")
    with pytest.raises(BenchError, match="no place for the table"):
        write_between_markers(file, "new")
    assert file.read_text(encoding="utf-8") == "no place\n"
