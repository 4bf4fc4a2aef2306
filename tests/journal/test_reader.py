"""Reading a log back: cut off anywhere it gives what was whole; altered anywhere it says where."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.journal.errors import JournalError
from handsfree.journal.events import AnyEvent, Asked, Decision, Ended, Said, SilenceEvent
from handsfree.journal.reader import read
from handsfree.journal.writer import JournalWriter

EVENTS: tuple[AnyEvent, ...] = (
    Said(text="état, naïve, 良好", seconds=0.25),
    Asked(zone="nose", item="pitot-covers"),
    SilenceEvent(zone="nose", item="pitot-covers"),
)


@pytest.fixture
def log(tmp_path: Path) -> Path:
    writer = JournalWriter.create(tmp_path / "walk", b"")
    writer.append(EVENTS)
    writer.close()
    return tmp_path / "walk" / "log.jsonl"


def test_a_folder_and_its_file_are_the_same_log(log: Path) -> None:
    assert read(log) == read(log.parent)
    assert len(read(log).events) == 3
    assert read(log).good_bytes == log.stat().st_size


def test_cut_off_at_any_byte_it_keeps_every_whole_line(log: Path) -> None:
    raw = log.read_bytes()
    events = read(log).events
    ends = [index + 1 for index, byte in enumerate(raw) if byte == ord("\n")]
    for size in range(1, len(raw)):
        log.write_bytes(raw[:size])
        whole = sum(end - 1 <= size for end in ends)  # a line that lacks only its newline is whole
        if whole == 0:
            with pytest.raises(JournalError, match="holds no event"):
                read(log)
            continue
        journal = read(log)
        assert journal.events == events[:whole], size
        assert raw[:size] == raw[: journal.good_bytes] + journal.torn, size


def test_cut_off_anywhere_and_reopened_it_is_whole_again(log: Path) -> None:
    raw = log.read_bytes()
    first_end = raw.index(b"\n")
    for size in range(first_end, len(raw), 7):
        log.write_bytes(raw[:size])
        writer, journal = JournalWriter.reopen(log)
        added = writer.append([SilenceEvent()])
        writer.close()
        assert read(log).events == (*journal.events, *added)
        (log.parent / "log.jsonl.torn").unlink(missing_ok=True)


def _end(line: bytes, more: bytes) -> bytes:
    return line[:-2] + more + b"\n"


CHANGES: dict[str, tuple[Callable[[bytes, bytes, bytes], tuple[bytes, ...]], str]] = {
    "gap": (lambda a, _, c: (a, c), r"line 2: number 3 where 2 was due"),
    "repeated": (lambda a, b, c: (a, b, b, c), r"line 3: number 2 where 3 was due"),
    "reordered": (lambda a, b, c: (b, a, c), r"line 1: number 2 where 1 was due"),
    "shortened": (lambda a, b, c: (a, b[:-9] + b"\n", c), r"line 2: not an event of this format"),
    "blank": (lambda a, b, c: (a, b"\n", b, c), r"line 2: not an event of this format"),
    "unknown type": (lambda a, b, c: (a.replace(b'"said"', b'"shouted"'), b, c), r"line 1: not an event .*shouted"),
    "version to come": (lambda a, b, c: (a, b, c.replace(b'"v":5', b'"v":6')), r"line 3: .*version 6 is not known"),
    "earlier version": (lambda a, b, c: (a, b, c.replace(b'"v":5', b'"v":4')), r"line 3: .*earlier version"),
    "characters that cannot be seen": (
        lambda a, b, c: (a.replace(b'"said"', b'"s\xee\x80\x80\\u001b"'), b, c),
        r"line 1: not an event .*s\ufffd\ufffd",
    ),
    "another field": (lambda a, b, c: (a, b, _end(c, b',"more":1}')), r"line 3: .*more"),
    "other words": (lambda a, b, c: (a.replace(b"tat", b"tot"), b, c), r"line 2: it does not follow the line before"),
    "not text": (lambda a, b, _: (a, b, b"\xff\xfe\n"), r"line 3: not an event"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_an_altered_log_is_an_error_that_names_the_line(log: Path, change: str) -> None:
    alter, message = CHANGES[change]
    first, second, third = log.read_bytes().splitlines(keepends=True)
    log.write_bytes(b"".join(alter(first, second, third)))
    with pytest.raises(JournalError, match=message) as caught:
        read(log)
    assert "keep the folder as it is" in caught.value.hint
    assert "begin a new walk with --log" in caught.value.hint


def test_no_log_is_one_clear_error(tmp_path: Path) -> None:
    with pytest.raises(JournalError, match="no log can be read"):
        read(tmp_path / "nothing")
    with pytest.raises(JournalError, match="no log can be read"):
        read(tmp_path)


def test_a_walk_has_ended_when_the_person_has_decided(log: Path) -> None:
    assert not read(log).ended
    writer = JournalWriter.reopen(log)[0]
    writer.append([Ended(outcome="complete", open_items=(), holds=())])
    assert not read(log).ended, "the decision can still be given"
    writer.append([Decision(who="AB", decision="no_decision", words="")])
    assert read(log).ended
