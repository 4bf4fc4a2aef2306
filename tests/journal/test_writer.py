"""What was acknowledged is on the disk; what could not be written leaves a whole log behind."""

from __future__ import annotations

import hashlib
import json
import os
import stat
import subprocess
import sys
import wave
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from handsfree.journal.errors import JournalError
from handsfree.journal.events import Said, SilenceEvent
from handsfree.journal.reader import read
from handsfree.journal.writer import JournalWriter

ROOT = Path(__file__).parents[2]
CHECKLIST = b"title: a checklist\n"
NOON = datetime(2026, 1, 1, 12, 0, 0, 123456, tzinfo=UTC)


@pytest.fixture
def writer(tmp_path: Path) -> JournalWriter:
    return JournalWriter.create(tmp_path / "walk", CHECKLIST, clock=lambda: NOON)


def said(text: str = "Pitot covers?") -> Said:
    return Said(text=text, seconds=0.5)


def texts(folder: Path) -> list[str]:
    return [event.text for event in read(folder).events if isinstance(event, Said)]


def test_events_are_numbered_and_stamped(writer: JournalWriter) -> None:
    first = writer.append([said("one"), said("two")])
    second = writer.append([SilenceEvent()])
    assert [event.seq for event in (*first, *second)] == [1, 2, 3]
    assert read(writer.folder).events == (*first, *second)
    lines = (writer.folder / "log.jsonl").read_text(encoding="utf-8").splitlines()
    assert json.loads(lines[0])["time"] == "2026-01-01T12:00:00.123Z"
    assert 0 <= json.loads(lines[2])["offset_s"] < 10


def test_an_append_is_one_write_and_one_sync_after_it(writer: JournalWriter, monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[str] = []
    write, fsync = os.write, os.fsync

    def watched_write(descriptor: int, data: bytes) -> int:
        done.append(f"write {len(data.splitlines())}")
        return write(descriptor, data)

    def watched_fsync(descriptor: int) -> None:
        done.append("fsync")
        fsync(descriptor)

    monkeypatch.setattr(os, "write", watched_write)
    monkeypatch.setattr(os, "fsync", watched_fsync)
    writer.append([said("one"), said("two"), SilenceEvent()])
    writer.append([SilenceEvent()])
    assert done == ["write 3", "fsync", "write 1", "fsync"]


def test_everything_around_the_log_is_synced_before_the_first_event(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[str] = []
    fsync = os.fsync

    def watched(descriptor: int) -> None:
        synced.append(Path(f"/proc/self/fd/{descriptor}").readlink().name)
        fsync(descriptor)

    monkeypatch.setattr(os, "fsync", watched)
    writer = JournalWriter.create(tmp_path / "walk", CHECKLIST)
    assert synced == ["checklist.yaml", "walk", tmp_path.name]
    synced.clear()
    writer.keep_clip(b"\0\0" * 160)
    assert synced == ["00001.wav", "clips"]


def test_the_checklist_lies_beside_the_log_and_nobody_else_reads_them(writer: JournalWriter) -> None:
    writer.append([said()])
    assert (writer.folder / "checklist.yaml").read_bytes() == CHECKLIST
    for file in (writer.folder / "log.jsonl", writer.folder / "checklist.yaml", writer.folder / "clips"):
        assert stat.S_IMODE(file.stat().st_mode) & 0o077 == 0, file


def test_a_clip_is_a_wav_file_with_its_checksum(writer: JournalWriter) -> None:
    writer.append([said(), said()])
    clip = writer.keep_clip(b"\1\0\2\0" * 4000)
    file = writer.folder / clip.file
    assert clip.file == "clips/00003.wav"
    assert clip.seconds == 0.5
    assert clip.sha256 == hashlib.sha256(file.read_bytes()).hexdigest()
    with wave.open(str(file)) as sound:
        assert (sound.getframerate(), sound.getnchannels(), sound.getsampwidth()) == (16_000, 1, 2)
        assert sound.readframes(10_000) == b"\1\0\2\0" * 4000


def test_a_walk_is_never_written_over(writer: JournalWriter) -> None:
    writer.append([said()])
    writer.close()
    before = (writer.folder / "log.jsonl").read_bytes()
    with pytest.raises(JournalError, match="holds a walk already") as caught:
        JournalWriter.create(writer.folder, b"another checklist")
    assert "--resume" in caught.value.hint
    assert (writer.folder / "log.jsonl").read_bytes() == before
    assert (writer.folder / "checklist.yaml").read_bytes() == CHECKLIST


def test_a_walk_that_stopped_before_its_first_event_can_be_begun_again(writer: JournalWriter) -> None:
    writer.close()
    (writer.folder / "log.jsonl").write_bytes(b'{"v":1,"se')  # nobody was told of it
    again = JournalWriter.create(writer.folder, b"title: new\n")
    again.append([said()])
    assert len(read(writer.folder).events) == 1


def test_reopening_goes_on_with_the_next_number(writer: JournalWriter) -> None:
    writer.append([said("one"), said("two")])
    writer.close()
    again, _ = JournalWriter.reopen(writer.folder, clock=lambda: NOON + timedelta(hours=1))
    assert [event.seq for event in again.append([SilenceEvent()])] == [3]
    assert [event.type for event in read(writer.folder).events] == ["said", "said", "silence"]


def test_a_torn_line_is_set_aside_on_reopening(writer: JournalWriter) -> None:
    writer.append([said("one")])
    writer.close()
    log = writer.folder / "log.jsonl"
    whole = log.read_bytes()
    log.write_bytes(whole + b'{"v":1,"seq":2,"ti')
    again, _ = JournalWriter.reopen(writer.folder)
    assert log.read_bytes() == whole
    assert (writer.folder / "log.jsonl.torn").read_bytes() == b'{"v":1,"seq":2,"ti\n'
    assert again.append([SilenceEvent()])[0].seq == 2
    assert len(read(writer.folder).events) == 2


def test_a_last_line_that_lacks_only_its_newline_counts(writer: JournalWriter) -> None:
    writer.append([said("one"), said("two")])
    writer.close()
    log = writer.folder / "log.jsonl"
    log.write_bytes(log.read_bytes()[:-1])
    again, _ = JournalWriter.reopen(writer.folder)
    again.append([SilenceEvent()])
    assert [event.seq for event in read(writer.folder).events] == [1, 2, 3]


def test_only_one_program_writes_a_log(writer: JournalWriter) -> None:
    writer.append([said("one")])
    with pytest.raises(JournalError, match=rf"another program \(process {os.getpid()} on .*, since .*\) is writing"):
        JournalWriter.reopen(writer.folder)
    writer.close()
    JournalWriter.reopen(writer.folder)[0].close()


def test_a_folder_that_cannot_be_written_is_one_clear_error(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("not a folder", encoding="utf-8")
    with pytest.raises(JournalError, match=r"cannot be written: Not a directory") as caught:
        JournalWriter.create(file / "walk", CHECKLIST)
    assert "--log FOLDER" in caught.value.hint


@pytest.mark.parametrize("room", [0, 1, 50, 150, 151, 200])
def test_a_full_disk_leaves_whole_lines_and_what_was_acknowledged(tmp_path: Path, room: int) -> None:
    """The limit on a file's size stands in for a disk with little room left: a write is then short, the next fails."""
    folder = tmp_path / "walk"
    errors = subprocess.run(
        [sys.executable, "-m", "tests.journal.full_disk", str(folder), str(room)],
        cwd=ROOT, capture_output=True, text=True, check=True,
    ).stdout.splitlines()  # fmt: skip
    assert len(errors) == 2
    assert all("cannot be written" in error for error in errors)
    journal = read(folder)
    assert journal.torn == b""
    assert [event.type for event in journal.events] == ["zone", "asked"]


def test_after_a_full_disk_the_log_goes_on_when_there_is_room_again(
    writer: JournalWriter, monkeypatch: pytest.MonkeyPatch
) -> None:
    writer.append([said("one")])
    write = os.write

    def short(descriptor: int, data: bytes) -> int:
        return write(descriptor, data[:10])

    monkeypatch.setattr(os, "write", short)
    with pytest.raises(JournalError, match="No space left"):
        writer.append([said("two")])
    monkeypatch.undo()
    assert (writer.unwritten, texts(writer.folder)) == (1, ["one"])
    writer.append([said("three")])
    assert (writer.unwritten, texts(writer.folder)) == (0, ["one", "two", "three"])


def test_nothing_follows_a_line_that_could_not_be_taken_back(
    writer: JournalWriter, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = os.write

    def short(descriptor: int, data: bytes) -> int:
        return write(descriptor, data[:10])

    def refused(_descriptor: int, _size: int) -> None:
        raise OSError(5, "Input/output error")

    writer.append([said("one")])
    monkeypatch.setattr(os, "write", short)
    monkeypatch.setattr(os, "ftruncate", refused)
    with pytest.raises(JournalError, match="No space left"):
        writer.append([said("two")])
    with pytest.raises(JournalError, match="torn"):
        writer.append([said("three")])
    journal = read(writer.folder)
    assert (len(journal.events), len(journal.torn)) == (1, 10)
    monkeypatch.undo()
    writer.append([said("four")])
    assert texts(writer.folder) == ["one", "two", "three", "four"]


def test_what_the_disk_never_took_is_given_out_and_makes_the_log_whole(
    writer: JournalWriter, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_descriptor: int, _data: bytes) -> int:
        raise OSError(28, "No space left on device")

    writer.append([said("one")])
    monkeypatch.setattr(os, "write", full)
    with pytest.raises(JournalError, match="No space left"):
        writer.append([said("two")])
    writer.close()
    monkeypatch.undo()
    assert texts(writer.folder) == ["one"]
    with (writer.folder / "log.jsonl").open("ab") as file:
        file.write(writer.rescue())
    assert texts(writer.folder) == ["one", "two"]


def test_a_sync_that_fails_is_an_event_that_does_not_count(
    writer: JournalWriter, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_descriptor: int) -> None:
        raise OSError(5, "Input/output error")

    writer.append([said("one")])
    monkeypatch.setattr(os, "fsync", broken)
    with pytest.raises(JournalError, match="Input/output error"):
        writer.append([said("two")])
    monkeypatch.undo()
    assert len(read(writer.folder).events) == 1


def test_another_checklist_that_lies_in_the_folder_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "checklist.yaml").write_text("somebody's own work")
    with pytest.raises(JournalError, match="another checklist"):
        JournalWriter.create(tmp_path, b"id: small")
    assert (tmp_path / "checklist.yaml").read_text() == "somebody's own work"
