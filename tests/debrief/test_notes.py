"""Notes of an instructor: what was acknowledged is kept, what was changed is found, and the log is never touched."""

from __future__ import annotations

import errno
import json
import os
import shutil
import stat
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from handsfree.debrief.marks import authors_of, marks_of, paired_marks
from handsfree.debrief.note_writing import NotesWriter
from handsfree.debrief.notes import (
    AlteredNotesError,
    Marked,
    NotesError,
    OtherLogError,
    Overruled,
    TextNote,
    note_of,
    read_notes,
    verify_notes,
)
from handsfree.journal.errors import JournalError
from handsfree.journal.lines import canonical, digest
from handsfree.journal.reader import read
from handsfree.journal.verification import verify
from tests.journal.recorded import copied, new_key, reopened, sealed_walk
from tests.walk.conversation import GOLDEN, read_scene, small
from tests.walk.performance import perform

NOON = datetime(2026, 1, 1, 12, 0, 0, 123456, tzinfo=UTC)
NOTE = TextNote(about=24, author="AB", text="The tyre was to be looked at from behind.")
RULED = Overruled(about=19, author="AB", outcome="finding", finding="cover-on")
MARK = Marked(about=24, author="AB", item="nose-gear", mark="hit")


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return sealed_walk(tmp_path_factory.mktemp("recorded") / "walk")


@pytest.fixture
def walk(recorded: Path, tmp_path: Path) -> Path:
    return copied(recorded, tmp_path / "walk")


def noted(walk: Path, *notes: TextNote | Overruled | Marked) -> Path:
    with NotesWriter(walk, clock=lambda: NOON) as writer:
        for note in notes or (NOTE, RULED, MARK):
            writer.add(note)
    return walk / "notes.jsonl"


def everything(folder: Path) -> dict[str, bytes]:
    return {str(one): one.read_bytes() for one in folder.rglob("*") if one.is_file()}


# ---- what is kept


def test_notes_lie_beside_the_log_which_stays_as_it_was(walk: Path) -> None:
    before = everything(walk)
    file = noted(walk)
    after = everything(walk)
    assert {name: after[name] for name in before} == before
    assert {Path(name).name for name in after.keys() - before.keys()} == {"notes.jsonl", "notes.jsonl.lock"}
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert verify(walk).state == "intact"


def test_a_line_is_canonical_and_chained_and_the_first_names_the_log(walk: Path) -> None:
    lines = noted(walk).read_bytes().splitlines()
    rows = [json.loads(line) for line in lines]
    assert [canonical(row) for row in rows] == lines
    assert [row["prev"] for row in rows] == [digest(b""), *map(digest, lines[:-1])]
    assert [(row["seq"], row["kind"]) for row in rows] == [(1, "log"), (2, "note"), (3, "overruled"), (4, "mark")]
    assert {row["time"] for row in rows} == {"2026-01-01T12:00:00.123Z"}
    log = (walk / "log.jsonl").read_bytes().splitlines()
    assert (rows[0]["events"], rows[0]["chain"]) == (len(log), digest(log[-1]))
    assert rows[0]["seal_sha256"] == digest((walk / "seal.json").read_bytes())


def test_they_are_read_as_they_were_written_and_go_on(walk: Path) -> None:
    noted(walk, NOTE)
    with NotesWriter(walk, clock=lambda: NOON) as writer:
        assert [type(one) for one in writer.notes] == [TextNote]
        kept = writer.add(RULED)
        assert writer.notes[-1] == kept
    found = read_notes(walk)
    assert found.notes[-1] == kept
    assert [(one.seq, one.kind) for one in found.notes] == [(2, "note"), (3, "overruled")]
    assert isinstance(found.notes[0], TextNote)
    assert (found.notes[0].about, found.notes[0].author, found.notes[0].text) == (24, "AB", NOTE.text)


def test_opened_and_left_nothing_is_made(walk: Path) -> None:
    NotesWriter(walk).close()
    assert not (walk / "notes.jsonl").exists()
    assert read_notes(walk).notes == ()
    assert verify_notes(walk).state == "intact"


def test_notes_may_lie_elsewhere(walk: Path, tmp_path: Path) -> None:
    """A second instructor does not see what the first wrote."""
    noted(walk)
    with NotesWriter(walk, tmp_path / "second.jsonl") as writer:
        assert writer.notes == ()
        writer.add(MARK)
    assert verify_notes(walk, tmp_path / "second.jsonl").notes == 1
    assert len(read_notes(tmp_path / "second.jsonl").notes) == 1


def test_a_note_is_one_write_and_one_sync_before_it_is_acknowledged(
    walk: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []
    write, fsync = os.write, os.fsync

    def watched_write(descriptor: int, data: bytes) -> int:
        done.append(f"write {len(data.splitlines())}")
        return write(descriptor, data)

    def watched_sync(descriptor: int) -> None:
        done.append(f"sync {Path(f'/proc/self/fd/{descriptor}').readlink().name}")
        fsync(descriptor)

    with NotesWriter(walk) as writer:
        monkeypatch.setattr(os, "write", watched_write)
        monkeypatch.setattr(os, "fsync", watched_sync)
        writer.add(NOTE)
        writer.add(RULED)
    assert done == ["write 2", "sync notes.jsonl", "sync walk", "write 1", "sync notes.jsonl"]


@pytest.mark.parametrize("refused", ["write", "fsync", "half"])
def test_what_the_disk_refuses_is_not_acknowledged_and_leaves_nothing(
    walk: Path, monkeypatch: pytest.MonkeyPatch, refused: str
) -> None:
    with NotesWriter(walk) as writer:
        writer.add(NOTE)
        before = (walk / "notes.jsonl").read_bytes()
        real = os.write

        def full(descriptor: int, data: bytes = b"") -> int:
            if refused == "half":
                return real(descriptor, data[: len(data) // 2])
            raise OSError(errno.ENOSPC, "No space left on device")

        with monkeypatch.context() as patch:
            patch.setattr(os, "fsync" if refused == "fsync" else "write", full)
            with pytest.raises(NotesError, match="cannot be written"):
                writer.add(RULED)
        assert (walk / "notes.jsonl").read_bytes() == before
        assert len(writer.notes) == 1
        writer.add(MARK)
    assert [one.kind for one in read_notes(walk).notes] == ["note", "mark"]


@pytest.mark.parametrize("kept", [1, 40, -1])
def test_half_a_line_is_set_aside_and_one_without_its_newline_counts(walk: Path, kept: int) -> None:
    file = noted(walk)
    whole = file.read_bytes()
    *before, last = whole.splitlines(keepends=True)
    file.write_bytes(b"".join(before) + last[:kept])
    assert verify_notes(walk).state == "intact"
    with NotesWriter(walk) as writer:
        assert len(writer.notes) == (3 if kept == -1 else 2)
        writer.add(NOTE)
    found = read_notes(walk)
    assert [one.seq for one in found.notes] == ([2, 3, 4, 5] if kept == -1 else [2, 3, 4])
    torn = walk / "notes.jsonl.torn"
    assert torn.exists() == (kept != -1)
    assert kept == -1 or torn.read_bytes() == last[:kept] + b"\n"


def test_one_program_writes_them_at_a_time(walk: Path) -> None:
    with NotesWriter(walk), pytest.raises(JournalError, match="is writing the notes"):
        NotesWriter(walk)
    with NotesWriter(walk) as again:
        again.add(NOTE)


def test_notes_do_not_keep_the_walk_from_being_written(tmp_path: Path) -> None:
    walk = perform(read_scene(GOLDEN / "say-again.txt"), small(), tmp_path / "walk").folder
    with NotesWriter(walk):
        reopened(walk).close()


def test_what_somebody_else_appended_meanwhile_is_not_written_behind(walk: Path) -> None:
    with NotesWriter(walk) as writer:
        writer.add(NOTE)
        with (walk / "notes.jsonl").open("ab") as file:
            file.write(b"{}\n")
        with pytest.raises(NotesError, match="somebody else has written there"):
            writer.add(RULED)


def test_a_link_is_never_written_through(walk: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_bytes(b"")
    (walk / "notes.jsonl").symlink_to(elsewhere)
    with NotesWriter(walk) as writer, pytest.raises(NotesError, match="is a link or a pipe"):
        writer.add(NOTE)
    assert elsewhere.read_bytes() == b""


# ---- what is found


Lines = list[bytes]


def rewritten(lines: Lines, **changed: Any) -> Lines:
    """The second note is another, in canonical form."""
    return [*lines[:2], canonical(json.loads(lines[2]) | changed), *lines[3:]]


CHANGES: dict[str, tuple[Callable[[Lines], Lines], int]] = {
    "a word": (lambda lines: [lines[0], lines[1].replace(b"behind", b"before"), *lines[2:]], 3),
    "a blank": (lambda lines: [lines[0], lines[1].replace(b'"about":24', b'"about": 24'), *lines[2:]], 2),
    "a name": (lambda lines: [lines[0].replace(b'"events"', b'"events "'), *lines[1:]], 1),
    "swapped": (lambda lines: [lines[0], lines[2], lines[1], lines[3]], 2),
    "removed": (lambda lines: [lines[0], *lines[2:]], 2),
    "repeated": (lambda lines: [*lines[:2], lines[1], *lines[2:]], 3),
    "without the first": (lambda lines: lines[1:], 1),
    "another verdict": (lambda lines: rewritten(lines, outcome="pass", finding=None), 4),
    "no verdict": (lambda lines: rewritten(lines, outcome="unknown"), 3),
    "another chain": (lambda lines: rewritten(lines, prev="0" * 64), 3),
    "another number": (lambda lines: rewritten(lines, seq=7), 3),
    "depth": (lambda lines: [lines[0], b"[" * 100_000, *lines[1:]], 2),
    "an empty line": (lambda lines: [lines[0], b"", *lines[1:]], 2),
    "no text": (lambda lines: [lines[0], b"\xff", *lines[1:]], 2),
}


@pytest.mark.parametrize(("change", "at"), CHANGES.values(), ids=CHANGES.keys())
def test_the_first_line_that_does_not_fit_is_named(
    walk: Path, change: Callable[[list[bytes]], list[bytes]], at: int
) -> None:
    file = noted(walk)
    file.write_bytes(b"".join(line + b"\n" for line in change(file.read_bytes().splitlines())))
    found = verify_notes(walk)
    assert (found.state, found.altered_at) == ("altered", at)
    with pytest.raises(AlteredNotesError, match=f"line {at}:"):
        NotesWriter(walk)


def test_intact_notes_are_said_to_be(walk: Path) -> None:
    noted(walk)
    found = verify_notes(walk)
    assert (found.state, found.notes, found.why, found.signers) == ("intact", 3, "", (None,))


def test_notes_of_another_log_are_told_from_altered_ones(walk: Path, tmp_path: Path) -> None:
    file = noted(walk)
    other = perform(read_scene(GOLDEN / "pass.txt"), small(), tmp_path / "other").folder
    shutil.copy(file, other / "notes.jsonl")
    assert verify_notes(other).state == "for another log"
    with pytest.raises(OtherLogError, match="another log"):
        NotesWriter(other)


def test_another_seal_is_another_log(walk: Path) -> None:
    noted(walk)
    seal = walk / "seal.json"
    seal.write_bytes(seal.read_bytes().replace(b"20", b"21", 1))
    assert verify_notes(walk).state == "for another log"
    seal.unlink()
    assert verify_notes(walk).state == "for another log"


def test_a_log_that_was_cut_short_or_changed_is_another(walk: Path) -> None:
    noted(walk)
    log = walk / "log.jsonl"
    lines = log.read_bytes().splitlines(keepends=True)
    log.write_bytes(b"".join(lines[:-1]))
    assert verify_notes(walk).state == "for another log"
    log.write_bytes(b"".join(lines[:-1]) + lines[-1].replace(b"accept", b"excuse"))
    assert verify_notes(walk).state == "for another log"


def test_a_walk_that_goes_on_is_still_the_same_log(tmp_path: Path) -> None:
    walk = perform(read_scene(GOLDEN / "say-again.txt"), small(), tmp_path / "walk").folder
    noted(walk, TextNote(about=3, author="AB", text="So far."))
    writer = reopened(walk)
    last = read(walk).events[-1]
    writer.append([last])
    writer.close()
    assert verify_notes(walk).state == "intact"
    with NotesWriter(walk) as notes:
        notes.add(TextNote(about=last.seq + 1, author="AB", text="And then."))
    assert verify_notes(walk).notes == 2


@pytest.mark.parametrize("version", ["version-1", "version-2"])
def test_a_log_of_an_earlier_version_has_notes_too(tmp_path: Path, version: str) -> None:
    walk = copied(Path(__file__).parents[1] / "journal" / "golden" / version, tmp_path / "walk")
    noted(walk, TextNote(about=1, author="AB", text="An old one."))
    assert verify_notes(walk).state == "intact"


def test_in_a_log_that_was_not_chained_every_byte_counts(tmp_path: Path) -> None:
    walk = copied(Path(__file__).parents[1] / "journal" / "golden" / "version-1", tmp_path / "walk")
    noted(walk, TextNote(about=1, author="AB", text="An old one."))
    log = walk / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b'"heard"', b'"heard" ', 1))
    assert verify_notes(walk).state == "for another log"


# ---- signed


def test_a_signed_line_says_whose_it_is_and_cannot_be_altered(walk: Path, tmp_path: Path) -> None:
    key = new_key(tmp_path)
    with NotesWriter(walk, key=key) as writer:
        writer.add(NOTE)
    assert verify_notes(walk).signers == (key.public,)
    with NotesWriter(walk) as writer:
        writer.add(MARK)
    assert verify_notes(walk).signers == (key.public, None)


@pytest.mark.parametrize(
    "changed",
    [{"text": "Other."}, {"signature": None}, {"signed_by": None}, {"time": "2026-01-01T12:00:00.124Z"}],
)
def test_who_has_no_key_cannot_write_a_signed_line_anew(walk: Path, tmp_path: Path, changed: dict[str, Any]) -> None:
    """Chain and form are right, for anybody can make those: only the signature tells."""
    with NotesWriter(walk, key=new_key(tmp_path)) as writer:
        writer.add(NOTE)
    file = walk / "notes.jsonl"
    first, second = file.read_bytes().splitlines()
    file.write_bytes(first + b"\n" + canonical(json.loads(second) | changed) + b"\n")
    found = verify_notes(walk)
    assert (found.state, found.altered_at) == ("altered", 2)
    assert "signature" in found.why


# ---- what can be noted


@pytest.mark.parametrize(
    "given",
    [
        {"kind": "note", "about": 24, "author": "AB", "text": "One line\nand another."},
        {"kind": "overruled", "about": 24, "author": "AB", "outcome": "pass"},
        {"kind": "overruled", "about": 24, "author": "AB", "outcome": "finding", "words": "a cut at the side"},
        {"kind": "mark", "author": "AB", "item": "nose-gear", "mark": "omitted"},
        {"kind": "mark", "about": 24, "author": "AB", "item": "nose-gear", "mark": "false alarm"},
    ],
)
def test_what_a_person_may_give(walk: Path, given: dict[str, Any]) -> None:
    with NotesWriter(walk) as writer:
        kept = writer.add(note_of(given))
    assert kept.model_dump(include=set(given)) == given


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({}, "kind"),
        ({"kind": "log", "events": 3, "chain": "0" * 64, "seal_sha256": None}, "log"),
        ({"kind": "note", "about": 24, "author": "AB"}, "text: Field required"),
        ({"kind": "note", "about": 24, "author": " ", "text": "x"}, "author"),
        ({"kind": "note", "about": 24, "author": "A" * 61, "text": "x"}, "author"),
        ({"kind": "note", "about": 24, "author": "AB", "text": "x" * 4001}, "text"),
        ({"kind": "note", "about": 24, "author": "AB", "text": "\x1b[2J"}, "plain text"),
        ({"kind": "note", "about": 24, "author": "A\nB", "text": "x"}, "plain text"),
        ({"kind": "note", "about": 24, "author": "AB", "text": "half \ud83d"}, "text"),
        ({"kind": "note", "about": 0, "author": "AB", "text": "x"}, "about"),
        ({"kind": "note", "about": "24", "author": "AB", "text": "x"}, "about"),
        ({"kind": "note", "about": 24, "author": "AB", "text": "x", "more": 1}, "more"),
        ({"kind": "note", "about": 24, "author": "AB", "text": "x", "seq": 9}, "does not bring its own seq"),
        ({"kind": "note", "about": 24, "author": "AB", "text": "x", "signed_by": "me"}, "its own signed_by"),
        ({"kind": "overruled", "about": 24, "author": "AB", "outcome": "finding"}, "a finding has an id or words"),
        ({"kind": "overruled", "about": 24, "author": "AB", "outcome": "pass", "finding": "cut"}, "no finding"),
        ({"kind": "overruled", "about": 24, "author": "AB", "outcome": "none"}, "outcome"),
        ({"kind": "mark", "author": "AB", "item": "nose-gear", "mark": "perfect"}, "mark"),
        ({"kind": "mark", "author": "AB", "item": "../nose", "mark": "hit"}, "item"),
    ],
)
def test_what_is_no_note_is_refused(given: dict[str, Any], message: str) -> None:
    with pytest.raises(NotesError, match=message):
        note_of(given)


def test_a_note_is_about_an_event_that_there_is(walk: Path) -> None:
    count = len(read(walk).events)
    with NotesWriter(walk) as writer:
        writer.add(TextNote(about=count, author="AB", text="The last."))
        with pytest.raises(NotesError, match=f"no event {count + 1}"):
            writer.add(TextNote(about=count + 1, author="AB", text="None."))
    assert len(read_notes(walk).notes) == 1


# ---- two instructors


def test_the_last_mark_of_an_author_for_an_item_stands() -> None:
    notes = [
        Marked(author="AB", item="nose-gear", mark="miss"),
        Marked(author="CD", item="nose-gear", mark="hit"),
        NOTE,
        Marked(author="AB", item="nose-gear", mark="hit"),
        Marked(author="AB", item="taxi-light", mark="right"),
    ]
    assert marks_of(notes, "AB") == {"nose-gear": "hit", "taxi-light": "right"}
    assert marks_of(notes, "CD") == {"nose-gear": "hit"}
    assert authors_of(notes) == ("AB", "CD")


def test_marks_of_two_instructors_are_paired_by_item() -> None:
    found = paired_marks(
        {"pitot-covers": "right", "nose-gear": "hit", "taxi-light": "omitted"},
        {"nose-gear": "miss", "pitot-covers": "right", "disc": "right"},
    )
    assert found.pairs == (("pitot-covers", "right", "right"), ("nose-gear", "hit", "miss"))
    assert (found.only_first, found.only_second) == (("taxi-light",), ("disc",))
