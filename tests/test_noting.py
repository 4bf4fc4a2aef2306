"""The command for an instructor's notes: what they say, whether they are whole, and how far two instructors agree."""

from __future__ import annotations

from pathlib import Path

import pytest
from sklearn.metrics import cohen_kappa_score  # pyright: ignore[reportMissingTypeStubs, reportUnknownVariableType]

from handsfree.debrief.note_writing import NotesWriter
from handsfree.debrief.notes import Marked, MarkKind, Overruled, TextNote
from handsfree.journal.keys import make_key
from tests.drill.practised import practise
from tests.drill.test_attempt import ROUND
from tests.support.commands import Commands
from tests.walk.conversation import small

FIRST: tuple[MarkKind, ...] = ("hit", "hit", "miss", "right", "right", "right", "false alarm", "hit")
SECOND: tuple[MarkKind, ...] = ("hit", "miss", "miss", "right", "right", "hit", "false alarm", "hit")
ITEMS = tuple(item.id for item in small().checklist.items())[: len(FIRST)]


@pytest.fixture
def walk(tmp_path: Path) -> Path:
    practise(tmp_path / "walk", "scenes", *ROUND)
    return tmp_path / "walk"


def marked(walk: Path, author: str, marks: tuple[MarkKind, ...], file: Path | None = None) -> None:
    with NotesWriter(walk, file) as writer:
        for item, mark in zip(ITEMS, marks, strict=True):
            writer.add(Marked(author=author, item=item, mark=mark))


def test_without_notes_it_says_so(run: Commands, walk: Path) -> None:
    ran = run("notes", walk)
    assert ran.code == 0
    assert "notes.jsonl: intact, 0 notes" in ran.out


def test_every_note_is_shown_with_its_author_and_event(run: Commands, walk: Path) -> None:
    with NotesWriter(walk) as writer:
        writer.add(TextNote(about=3, author="AB", text="Slower here."))
        writer.add(Overruled(about=5, author="AB", outcome="finding", finding="cut"))
    ran = run("notes", walk)
    assert ran.code == 0
    assert "AB, event 3: Slower here." in ran.out
    assert "AB, event 5: should have been: finding, cut" in ran.out
    assert "not signed" in ran.out


def test_a_signature_is_named(run: Commands, walk: Path, tmp_path: Path) -> None:
    key = make_key(tmp_path / "key.pem")
    with NotesWriter(walk, key=key) as writer:
        writer.add(TextNote(about=3, author="AB", text="Signed."))
    assert f"signed with the key {key.public}" in run("notes", walk).out


def test_two_instructors_are_held_against_each_other(run: Commands, walk: Path, tmp_path: Path) -> None:
    marked(walk, "AB", FIRST)
    marked(walk, "CD", SECOND, tmp_path / "second.jsonl")
    ran = run("notes", walk, tmp_path / "second.jsonl")
    assert ran.code == 0
    assert "AB and CD: 8 marked by both, 6 of them alike" in ran.out
    expected = float(cohen_kappa_score(FIRST, SECOND))
    assert f"Cohen's kappa {expected:.2f} (" in ran.out
    assert f"{ITEMS[1]}: hit for AB, miss for CD" in ran.out
    row = run("notes", walk, tmp_path / "second.jsonl", "--json").rows[-1]
    assert row["agreement"]["kappa"]["value"] == pytest.approx(expected)
    assert len(row["pairs"]) == len(ITEMS)


def test_marks_of_one_kind_only_have_no_kappa(run: Commands, walk: Path, tmp_path: Path) -> None:
    marked(walk, "AB", ("hit",) * len(ITEMS))
    marked(walk, "CD", ("hit",) * len(ITEMS), tmp_path / "second.jsonl")
    assert "no kappa" in run("notes", walk, tmp_path / "second.jsonl").out


def test_altered_notes_are_named_and_not_counted(run: Commands, walk: Path, tmp_path: Path) -> None:
    marked(walk, "AB", FIRST)
    marked(walk, "CD", SECOND, tmp_path / "second.jsonl")
    file = tmp_path / "second.jsonl"
    file.write_bytes(file.read_bytes().replace(b'"miss"', b'"right"', 1))
    ran = run("notes", walk, file)
    assert ran.code == 12
    assert "second.jsonl: altered at line " in ran.out
    assert "AB and CD" not in ran.out


def test_notes_of_another_log_are_refused(run: Commands, walk: Path, tmp_path: Path) -> None:
    practise(tmp_path / "other", "scenes", *ROUND)
    marked(tmp_path / "other", "CD", SECOND)
    ran = run("notes", walk, tmp_path / "other" / "notes.jsonl")
    assert ran.code == 2
    assert "for another log: " in ran.out


def test_a_key_is_for_notes_only(run: Commands, walk: Path, tmp_path: Path) -> None:
    make_key(tmp_path / "key.pem")
    run("debrief", walk, "--sign", tmp_path / "key.pem").failed("--sign is for notes")
