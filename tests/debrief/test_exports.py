"""The debrief on paper, as rows for a spreadsheet and as rows with types; and the command that makes them."""

from __future__ import annotations

import csv
import io
import json
import sys
from pathlib import Path
from typing import Any, cast

import pyarrow.parquet as pq
import pytest
from pypdf import PdfReader

from handsfree.debrief.flat import as_csv, flat
from handsfree.debrief.gathering import Debrief, gather
from handsfree.debrief.parquet import as_parquet
from handsfree.debrief.pdf import as_pdf
from handsfree.debrief.timeline import rows_of
from handsfree.extras import how_to_install
from handsfree.journal import events as log
from tests.debrief import made
from tests.support.commands import Commands


@pytest.fixture(scope="module")
def story(tmp_path_factory: pytest.TempPathFactory) -> Debrief:
    return made.story(tmp_path_factory.mktemp("story"))


@pytest.fixture(scope="module")
def attempt(tmp_path_factory: pytest.TempPathFactory) -> Debrief:
    return made.attempt(tmp_path_factory.mktemp("attempt") / "walk")


def paper(data: bytes) -> str:
    """All words on it, on one line."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages).split())


def read_back(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def in_parquet(data: bytes) -> list[dict[str, Any]]:
    library = cast("Any", pq)  # it has no types
    return library.read_table(io.BytesIO(data)).to_pylist()


# ---- on paper


def test_on_paper_stands_what_was_found_and_who_decides(story: Debrief) -> None:
    text = paper(as_pdf(story))
    for words in (
        "Debrief: Q7KTA",
        "nose gear: cut, tyre two, ATA 32, confirmed",
        "ATA 32. Nose gear: cut, tyre two. Reported by AB at ",
        "“covers off” pass, 100% sure",
        "not accepted, by AB",
        "Page 1 of 3",
    ):
        assert words in text, words
    assert text.count(story.summary.refer) >= len(PdfReader(io.BytesIO(as_pdf(story))).pages)
    assert "airworthy" not in text.lower()


def test_practice_on_paper_is_called_practice(attempt: Debrief) -> None:
    text = paper(as_pdf(attempt))
    assert "Practice. No aircraft was inspected." in text
    assert "Miss. Pitot covers: The left tube is bare." in text


def test_names_in_other_letters_are_printed(story: Debrief, tmp_path: Path) -> None:
    name = "Zażółć Ωμέγα Щука Nguyễn"

    def named(event: log.AnyEvent) -> log.AnyEvent:
        return event.model_copy(update={"who": name}) if isinstance(event, log.Identity | log.Opened) else event

    walk = made.changed(story, tmp_path / "walk", named)
    assert f"Walked by {name}" in paper(as_pdf(walk))


def test_letters_that_the_font_lacks_and_hostile_words_do_no_harm(
    story: Debrief, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    odd = f"漢字 \U0001f642 {made.HOSTILE} {'x' * 300}"

    def named(event: log.AnyEvent) -> log.AnyEvent:
        return event.model_copy(update={"said": odd}) if isinstance(event, log.HeardEvent) else event

    text = paper(as_pdf(made.changed(story, tmp_path / "walk", named)))
    assert "onerror=alert(1)>" in text
    assert capsys.readouterr().err == ""


# ---- as rows


def test_there_is_a_row_for_everything_that_is_told(story: Debrief) -> None:
    rows = read_back(as_csv([story]))
    assert [int(row["event"]) for row in rows] == [row.at.event for _, row in rows_of(story.timeline)]
    (cut,) = [row for row in rows if row["description"] == "cut, tyre two"]
    assert [cut[name] for name in ("who", "zone", "item", "kind", "severity", "ata", "confirmed", "standing")] == [
        "AB", "nose", "nose-gear", "finding", "major", "32", "true", "stands",
    ]  # fmt: skip


def test_rows_of_an_attempt_hold_truth_and_outcome(attempt: Debrief) -> None:
    seen = {row["text"]: row for row in read_back(as_csv([attempt])) if row["kind"] == "scene"}
    missed = next(row for text, row in seen.items() if "grey bag" in text)
    assert (missed["practice"], missed["truth"], missed["outcome"], missed["marks"]) == (
        "scenes",
        "defect",
        "miss",
        "miss",
    )


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_no_field_is_a_formula(start: str, story: Debrief, tmp_path: Path) -> None:
    odd = f"{start}HYPERLINK(1)"

    def formula(event: log.AnyEvent) -> log.AnyEvent:
        match event:
            case log.HeardEvent():
                return event.model_copy(update={"said": odd, "why": odd})
            case log.AnswerEvent():
                return event.model_copy(update={"words": odd, "description": odd})
            case log.Identity():
                return event.model_copy(update={"who": odd, "registration": odd})
            case _:
                return event

    rows = read_back(as_csv([made.changed(story, tmp_path / "walk", formula)]))
    fields = [field for row in rows for field in row.values()]
    assert fields.count(f"'{odd}") > len(rows)
    assert not [field for field in fields if field.startswith(start)]


def test_rows_with_types_hold_the_same_and_their_words_unchanged(story: Debrief, attempt: Debrief) -> None:
    rows = in_parquet(as_parquet([story, attempt]))
    assert [row["event"] for row in rows] == [row.event for row in flat([story, attempt])]
    cut = next(row for row in rows if row["description"] == "cut, tyre two")
    assert (cut["confirmed"], type(cut["seconds"]), cut["outcome"]) == (True, float, None)
    assert {row["practice"] for row in rows} == {"", "scenes"}


# ---- the command


def test_the_page_is_named_after_the_walk_and_lies_where_the_command_ran(
    run: Commands, story: Debrief, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = run("debrief", story.folder)
    assert (ran.code, ran.err) == (0, "")
    page = tmp_path / "story.html"
    assert ran.out.startswith(f"story.html: the page, with {story.record.clips_kept} clips, ")
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>\n")
    assert page.stat().st_mode & 0o077 == 0, "it holds voices and names"


def test_it_writes_each_kind_of_file(run: Commands, story: Debrief, attempt: Debrief, tmp_path: Path) -> None:
    out = {name: tmp_path / f"walk.{name}" for name in ("html", "pdf", "csv", "parquet")}
    ran = run("debrief", story.folder, attempt.folder, "--out", out["html"], "--pdf", out["pdf"], "--csv", out["csv"],
        "--parquet", out["parquet"])  # fmt: skip
    assert ran.code == 0
    assert "never there" not in out["html"].read_text(encoding="utf-8")
    assert "What each found" in out["html"].read_text(encoding="utf-8")
    assert out["pdf"].read_bytes().startswith(b"%PDF")
    assert {row["walk"] for row in read_back(out["csv"].read_text(encoding="utf-8"))} == {"story", "walk"}
    assert len(in_parquet(out["parquet"].read_bytes())) == len(list(flat([story, attempt])))


def test_for_machines_it_is_one_object_and_no_page(
    run: Commands, story: Debrief, attempt: Debrief, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = run("debrief", attempt.folder, story.folder, "--json")
    told = json.loads(ran.out)
    assert list(told) == ["log", "summary", "timeline", "entries", "record", "comparison"]
    seen = [row for stay in told["timeline"]["stays"] for row in stay["rows"] if row.get("truth")]
    assert (seen[0]["outcome"], seen[0]["marks"]) == ("miss", ["miss"])
    assert list(tmp_path.glob("*.html")) == []


@pytest.mark.parametrize("option", ["--out", "--pdf", "--csv", "--parquet"])
def test_nothing_is_written_among_the_record(run: Commands, story: Debrief, option: str, tmp_path: Path) -> None:
    before = {file: file.read_bytes() for file in story.folder.rglob("*") if file.is_file()}
    (tmp_path / "link").symlink_to(story.folder)
    for file in ("log.jsonl", "clips/other.wav", "page.html"):
        for folder in (story.folder, tmp_path / "link"):
            run("debrief", story.folder, option, folder / file).failed("is in the folder of a walk's record")
    assert {file: file.read_bytes() for file in story.folder.rglob("*") if file.is_file()} == before


def test_what_cannot_be_written_or_read_is_one_clear_error(run: Commands, story: Debrief, tmp_path: Path) -> None:
    run("debrief", story.folder, "--out", tmp_path / "none" / "page.html").failed("cannot be written: No such file")
    run("debrief", tmp_path / "nothing").failed("no log can be read")
    (tmp_path / "walk").mkdir()
    (tmp_path / "walk" / "log.jsonl").write_text("{}\n", encoding="utf-8")
    run("debrief", tmp_path / "walk").failed("not an event of this format")


@pytest.mark.parametrize(("option", "library"), [("--pdf", "fpdf"), ("--pdf", "fontpkg"), ("--parquet", "pyarrow")])
def test_without_a_library_it_says_what_to_install(
    run: Commands, story: Debrief, option: str, library: str, tmp_path: Path
) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, library, None)
        ran = run("debrief", story.folder, "--out", tmp_path / "page.html", option, tmp_path / "file")
    ran.failed(
        "writing PDF needs fpdf2 and fontpkg-fira-sans" if option == "--pdf" else "writing Parquet needs pyarrow"
    )
    assert how_to_install("debrief") in ran.err
    assert list(tmp_path.iterdir()) == []


def test_a_page_needs_no_extra(story: Debrief, run: Commands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for library in ("fpdf", "fontpkg", "pyarrow"):
        monkeypatch.setitem(sys.modules, library, None)
    assert run("debrief", story.folder, "--out", tmp_path / "page.html", "--csv", tmp_path / "rows.csv").code == 0


def test_a_last_line_that_was_cut_off_is_told(run: Commands, story: Debrief, tmp_path: Path) -> None:
    walk = made.changed(story, tmp_path / "walk", lambda event: event)
    file = walk.folder / "log.jsonl"
    file.write_bytes(file.read_bytes()[:-40])
    ran = run("debrief", walk.folder, "--out", tmp_path / "page.html")
    assert "the last line was cut off and does not count" in ran.err
    assert gather(walk.folder).record.state == "cut short"
    assert "This record is cut short" in (tmp_path / "page.html").read_text(encoding="utf-8")
