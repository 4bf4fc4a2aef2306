"""Tables that were written earlier spare the reading of logs that have not changed, and change no answer."""

from __future__ import annotations

import os
import random
import shutil
from pathlib import Path
from typing import Any

import pytest

from handsfree.archive import earlier
from handsfree.archive.columns import TABLES
from handsfree.archive.facts import Facts, facts_of
from handsfree.archive.parquet import write_tables
from handsfree.archive.questions import answers
from tests.archive.made import Story, any_story

ITEMS = ("tyres", "strut", "oil")


@pytest.fixture
def walks(tmp_path: Path) -> Path:
    """Twelve logs, one of them damaged, and their tables."""
    folder, chance = tmp_path / "walks", random.Random(5)
    for number in range(11):
        any_story(chance, ITEMS, f"T{number % 3}", number).write(folder / f"walk-{number:02d}")
    (folder / "walk-05b").mkdir()
    (folder / "walk-05b" / "log.jsonl").write_bytes(b"no log\n")
    with facts_of(folder, tmp_path / "tables") as facts:
        assert facts.read == 12
        write_tables(facts.database, tmp_path / "tables")
    return folder


def everything(facts: Facts) -> dict[str, Any]:
    return {table: facts.database.rows(f"FROM {table} ORDER BY ALL") for table in TABLES} | {
        "told": answers(facts), "damaged": facts.damaged,
    }  # fmt: skip


def read_again(walks: Path) -> int:
    """How many logs are read; what they give is what is given without the tables."""
    with facts_of(walks) as anew, facts_of(walks, walks.parent / "tables") as known:
        assert everything(known) == everything(anew)
        return known.read


def test_nothing_is_read_again_where_nothing_changed(walks: Path) -> None:
    assert read_again(walks) == 0


def test_a_new_log_is_read_and_all_get_their_numbers_anew(walks: Path) -> None:
    Story("XY").ask("tyres", "defect").passes("tyres").end().write(walks / "before-all")
    assert read_again(walks) == 1


def test_a_log_that_is_gone_is_gone(walks: Path) -> None:
    shutil.rmtree(walks / "walk-03")
    assert read_again(walks) == 0


def test_a_log_that_was_gone_on_with_is_read_again(walks: Path) -> None:
    with (walks / "walk-03" / "log.jsonl").open("ab") as file:
        file.write(b"half a line")
    assert read_again(walks) == 1


def test_a_log_that_was_changed_in_place_is_read_again(walks: Path) -> None:
    file = walks / "walk-05b" / "log.jsonl"
    file.write_bytes(b"no_log\n")
    os.utime(file, ns=(0, 1_700_000_000_000_000_000))
    assert read_again(walks) == 1


def test_it_goes_on_from_tables_to_tables(walks: Path) -> None:
    Story("XY").ask("tyres", "defect").passes("tyres").end().write(walks / "more")
    with facts_of(walks, walks.parent / "tables") as facts:
        write_tables(facts.database, walks.parent / "tables")
    assert read_again(walks) == 0


@pytest.mark.parametrize("spoil", ["missing", "garbled", "another", "pipe"])
def test_tables_that_do_not_fit_are_not_used(walks: Path, spoil: str) -> None:
    file = walks.parent / "tables" / "trials.parquet"
    match spoil:
        case "another":
            shutil.copy(walks.parent / "tables" / "walks.parquet", file)
        case "garbled":
            file.write_bytes(file.read_bytes()[:50])
        case _:
            file.unlink()
    if spoil == "pipe":
        os.mkfifo(file)
    assert read_again(walks) == 12


def test_tables_of_another_format_are_not_used(walks: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(earlier, "FORMAT", earlier.FORMAT + 1)
    assert read_again(walks) == 12


@pytest.mark.parametrize("name", ["*", "[a]", "a?", "a'b"])
def test_the_tables_may_be_anywhere(walks: Path, name: str) -> None:
    shutil.move(walks.parent / "tables", walks.parent / name)
    with facts_of(walks, walks.parent / name) as facts:
        assert facts.read == 0
