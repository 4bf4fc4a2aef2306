"""The tables of many logs: what a slow and plain count gives too; and what cannot be read is named and left out."""

from __future__ import annotations

import os
import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from handsfree.archive import logs, reading
from handsfree.archive.columns import TABLES
from handsfree.archive.errors import ArchiveError
from handsfree.archive.facts import Facts, facts_of
from handsfree.journal.reader import LOG_NAME, MOST_BYTES
from tests.archive import reference
from tests.archive.made import Story, any_story, end_the_process, write_lines

ITEMS = ("tyres", "pitot", "strut", "fuel-caps", "red-disc", "oil")


@pytest.fixture(scope="module")
def some(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Sixty walks of five people, some a folder deeper."""
    folder, chance = tmp_path_factory.mktemp("class"), random.Random(7)
    for number in range(60):
        where = folder / f"group-{number % 3}" / f"walk-{number:02d}" if number % 2 else folder / f"walk-{number:02d}"
        any_story(chance, ITEMS, f"T{number % 5}", number // 5).write(where)
    return folder


def rows(facts: Facts, table: str) -> list[tuple[Any, ...]]:
    """As the plain count has them."""
    columns = ", ".join(f"told.{one}" for one in TABLES[table] if one not in ("walk", "folder"))
    question = f"SELECT walks.folder, {columns} FROM {table} AS told JOIN walks USING (walk)"
    return sorted(facts.database.rows(question), key=repr)


def test_every_table_is_what_a_plain_count_gives(some: Path) -> None:
    with facts_of(some) as facts:
        wanted = reference.tables(some)
        assert (facts.logs, facts.damaged) == (60, ())
        for table in TABLES:
            assert rows(facts, table) == wanted[table], table
        assert all(wanted.values())


def test_it_does_not_matter_how_many_processes_read(some: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with facts_of(some) as facts:
        alone = {table: rows(facts, table) for table in TABLES}
    size = sum(file.stat().st_size for file in some.rglob(LOG_NAME))
    monkeypatch.setattr(logs, "BATCH_BYTES", size // 6)
    assert len(list(logs.batches(logs.logs_below(some)))) > 4
    with facts_of(some) as facts:
        assert {table: rows(facts, table) for table in TABLES} == alone


def test_a_process_that_is_ended_is_one_error(some: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(logs, "BATCH_BYTES", 20_000)
    monkeypatch.setattr(reading, "read_batch", end_the_process)
    with pytest.raises(ArchiveError, match="was ended"), facts_of(some):
        pass


def small_class(folder: Path, *broken: tuple[str, Sequence[bytes]]) -> Path:
    Story("AB").ask("tyres", "defect").passes("tyres").end().write(folder / "good")
    for name, lines in broken:
        write_lines(folder / name, lines)
    return folder


def damaged(folder: Path) -> dict[str, str]:
    with facts_of(folder) as facts:
        assert facts.database.rows("SELECT folder FROM walks") == [("good",)]
        assert facts.database.rows("SELECT count(*) FROM trials") == [(1,)]
        return {one.folder: one.why for one in facts.damaged}


def test_damaged_logs_are_named_and_the_others_counted(tmp_path: Path) -> None:
    lines = Story("CD").ask("tyres", "defect").finds("tyres").end().lines()
    newer = [line.replace(b'"v":5', b'"v":6') for line in lines]
    found = damaged(
        small_class(
            tmp_path,
            ("cut-out", [*lines[:3], *lines[4:]]),
            ("empty", []),
            ("garbled", [*lines[:2], lines[2][:-9], *lines[3:]]),
            ("headless", lines[1:]),
            ("newer", newer),
            ("no-text", [*lines[:2], b'{"type":"said","text":"\xff"}', *lines[3:]]),
            ("unknown", [line.replace(b'"type":"ended"', b'"type":"landed"') for line in lines]),
        )
    )
    assert list(found) == ["cut-out", "empty", "garbled", "headless", "newer", "no-text", "unknown"]
    assert found["cut-out"] == "line 4 has the number 5: lines were removed, repeated or reordered"
    assert found["empty"] == "it holds no event"
    assert found["garbled"].startswith("line 3 is not an event of this format")
    assert found["headless"] == "line 1 does not say how the walk was opened"
    assert found["newer"].startswith("line 1 is not an event of this format")
    assert found["unknown"].startswith(f"line {len(lines)} is not an event of this format")


def test_what_is_no_file_is_not_waited_for(tmp_path: Path) -> None:
    small_class(tmp_path)
    for name in ("pipe", "folder", "huge", "nowhere"):
        (tmp_path / name).mkdir()
    os.mkfifo(tmp_path / "pipe" / LOG_NAME)
    (tmp_path / "folder" / LOG_NAME).symlink_to(tmp_path)
    (tmp_path / "nowhere" / LOG_NAME).symlink_to(tmp_path / "not-there")
    with (tmp_path / "huge" / LOG_NAME).open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    found = damaged(tmp_path)
    assert found == {
        "pipe": "it is no file",
        "huge": "it is larger than 48 MB",
        "nowhere": "No such file or directory",
    } | {one: why for one, why in found.items() if one == "folder"}


def test_a_link_to_a_log_is_read_and_a_link_to_a_folder_not_entered(tmp_path: Path) -> None:
    small_class(tmp_path / "class")
    elsewhere = Story("XY").ask("tyres", "sound").passes("tyres").end().write(tmp_path / "elsewhere")
    (tmp_path / "class" / "linked").mkdir()
    (tmp_path / "class" / "linked" / LOG_NAME).symlink_to(elsewhere / LOG_NAME)
    (tmp_path / "class" / "round").symlink_to(tmp_path / "class")
    with facts_of(tmp_path / "class") as facts:
        assert facts.database.rows("SELECT folder, who FROM walks ORDER BY folder") == [
            ("good", "AB"),
            ("linked", "XY"),
        ]


@pytest.mark.parametrize("name", ["*", "[a]", "?", "a'b", "a\nb", 'a"b;DROP TABLE walks', "\u202e", "x" * 200])
def test_a_folder_may_have_any_name(tmp_path: Path, name: str) -> None:
    Story("AB").ask("tyres").passes("tyres").end().write(tmp_path / name)
    Story("CD").ask("tyres").passes("tyres").end().write(tmp_path / "another")
    with facts_of(tmp_path) as facts:
        assert set(facts.database.rows("SELECT folder FROM walks")) == {(name,), ("another",)}


def test_half_a_line_at_the_end_is_no_damage(tmp_path: Path) -> None:
    lines = Story("AB").ask("tyres").passes("tyres").lines()
    folder = write_lines(tmp_path / "walk", lines)
    with (folder / LOG_NAME).open("ab") as file:
        file.write(lines[-1][:40])
    with facts_of(tmp_path) as facts:
        assert facts.damaged == ()
        assert facts.database.rows("SELECT events, outcome FROM walks") == [(len(lines), "interrupted")]


@pytest.mark.parametrize("folder", ["nothing", "file"])
def test_a_folder_without_logs_is_one_error(tmp_path: Path, folder: str) -> None:
    (tmp_path / "nothing").mkdir()
    (tmp_path / "file").write_text("")
    with pytest.raises(ArchiveError), facts_of(tmp_path / folder):
        pass
