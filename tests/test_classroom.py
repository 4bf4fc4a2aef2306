"""The command ``handsfree class``."""

from __future__ import annotations

import builtins
import json
import stat
import sys
from pathlib import Path
from typing import Any

import pytest

from handsfree.extras import how_to_install
from tests.archive.made import Story
from tests.support.commands import Commands


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Commands:
    monkeypatch.chdir(tmp_path)
    return Commands(monkeypatch, capsys)


@pytest.fixture
def walks(tmp_path: Path) -> Path:
    folder = tmp_path / "walks"
    Story("AB").ask("tyres", "defect").passes("tyres", "dry").control("correction").end().write(folder / "one")
    Story("CD").ask("tyres", "defect").finds("tyres").ask("oil", "odd").passes("oil").end().write(folder / "two")
    Story("\x1b[2J\u202e", practice="").ask("tyres").passes("tyres").end().write(folder / "three")
    (folder / "four").mkdir()
    (folder / "four" / "log.jsonl").write_bytes(b"no log\n")
    return folder


def test_it_leaves_a_page_here_and_says_the_worst(run: Commands, walks: Path, tmp_path: Path) -> None:
    done = run("class", walks)
    assert done.code == 0, done.err
    assert done.out.splitlines()[0].startswith("4 logs, 1 of them damaged and left out. 3 walks on 2026-03-02.")
    assert "Missed most: tyres, 1 of 2 defects" in done.out
    assert "Left out: four: line 1 is not an event of this format" in done.out
    assert (tmp_path / "class.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    assert stat.S_IMODE((tmp_path / "class.html").stat().st_mode) == 0o600
    assert done.out.replace("\n", "").isprintable()


def test_json_is_one_object_and_leaves_no_page(run: Commands, walks: Path, tmp_path: Path) -> None:
    done = run("class", walks, "--json")
    (told,) = done.rows
    assert told["logs"] == 4
    assert told["damaged"][0]["folder"] == "four"
    assert told["first"] == "2026-03-02T08:00:00.000Z"
    assert [(one["who"], one["counts"]["hits"], one["counts"]["misses"]) for one in told["attempts"]] == [
        ("AB", 0, 1),
        ("CD", 1, 0),
    ]
    assert told["items"][0]["share"]["value"] == 0.5
    assert not (tmp_path / "class.html").exists()
    assert done.out.strip().isprintable()


def test_page_json_and_tables_together(run: Commands, walks: Path, tmp_path: Path) -> None:
    done = run("class", walks, "--json", "--out", tmp_path / "monday.html", "--parquet", tmp_path / "tables")
    assert json.loads(done.out)["logs"] == 4
    assert (tmp_path / "monday.html").exists()
    assert len(list((tmp_path / "tables").iterdir())) == 5
    assert done.err == "Logs that were read: 4 of 4.\n"


def test_what_cannot_be_used_is_one_line(run: Commands, walks: Path, tmp_path: Path) -> None:
    run("class", tmp_path / "nowhere").failed("is no folder")
    (tmp_path / "empty").mkdir()
    run("class", tmp_path / "empty").failed("there is no log.jsonl")
    run("class", walks, "--out", tmp_path / "nowhere" / "page.html").failed("cannot be written")
    run("class", walks, "--parquet", walks / "one" / "log.jsonl").failed("is in the folder of a walk's record")


def test_nothing_is_written_among_a_record(run: Commands, walks: Path) -> None:
    before = {one.name for one in (walks / "one").iterdir()}
    for option in ("--out", "--parquet"):
        run("class", walks, option, walks / "one" / "x").failed("is in the folder of a walk's record")
        run("class", walks, option, walks / "one").failed("is in the folder of a walk's record")
    assert {one.name for one in (walks / "one").iterdir()} == before


@pytest.mark.parametrize("library", ["duckdb", "msgspec"])
def test_without_its_libraries_it_says_what_to_install(
    run: Commands, walks: Path, monkeypatch: pytest.MonkeyPatch, library: str
) -> None:
    original = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == library:
            raise ModuleNotFoundError(f"No module named '{library}'", name=library)
        return original(name, *rest, **more)

    for name in [one for one in sys.modules if one.startswith("handsfree.archive")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setattr(builtins, "__import__", without)
    done = run("class", walks)
    done.failed(f"a class needs {library}")
    assert how_to_install("class") in done.err
