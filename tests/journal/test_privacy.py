"""Voices can be forgotten, and the record still stands."""

from __future__ import annotations

import os
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from handsfree.journal.errors import JournalError
from handsfree.journal.privacy import forget, forget_old
from handsfree.journal.reader import read
from handsfree.journal.verification import verify
from handsfree.journal.writer import JournalWriter
from handsfree.replay import cut_off
from handsfree.session import Session
from tests.journal.recorded import sealed_walk
from tests.walk.conversation import small
from tests.walk.performance import STORY, Ears, Mouth, Screen, story_as_heard, tell


@pytest.fixture
def walk(tmp_path: Path) -> Path:
    return sealed_walk(tmp_path / "walks" / "one")


def clips(walk: Path) -> list[Path]:
    return sorted((walk / "clips").iterdir())


def test_forgetting_takes_the_sound_and_leaves_the_words(walk: Path) -> None:
    events, count = read(walk).events, len(clips(walk))
    gone = forget(walk)
    assert (gone.clips, gone.words, gone.who) == (count, len(STORY), "AB")
    assert gone.seconds == pytest.approx(0.1 * count)
    assert clips(walk) == []
    assert read(walk).events == events
    found = verify(walk)
    assert (found.state, found.clips_removed) == ("intact", count)


def test_a_walk_can_be_recorded_without_voices(tmp_path: Path) -> None:
    walk = tell(tmp_path / "walk", keep_clips=False).folder
    assert clips(walk) == []
    found = verify(walk)
    assert (found.state, found.clips_kept, found.clips_removed) == ("intact", 0, 0)


def test_without_voices_it_stays_without_them_when_it_is_gone_on_with(tmp_path: Path) -> None:
    walk = tell(tmp_path / "walk", keep_clips=False).folder
    log = walk / "log.jsonl"
    log.write_bytes(b"".join(log.read_bytes().splitlines(keepends=True)[:30]))
    writer, journal = JournalWriter.reopen(walk)
    session = Session(small(), writer, Mouth(), Ears(iter(story_as_heard()[5:])), Screen())
    session.resume(cut_off(small(), journal))
    writer.close()
    assert len(read(walk).events) > 40
    assert clips(walk) == []


def test_a_walk_that_is_being_written_is_left_alone(walk: Path) -> None:
    writer, _ = JournalWriter.reopen(walk)
    with pytest.raises(JournalError, match="another program"):
        forget(walk)
    assert clips(walk)
    writer.close()


def test_a_link_among_the_clips_is_not_followed(walk: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine.wav"
    mine.write_bytes(b"somebody's own")
    (walk / "clips" / "00000.wav").symlink_to(mine)
    forget(walk)
    assert mine.read_bytes() == b"somebody's own"
    assert clips(walk) == []
    (walk / "clips").rmdir()
    (walk / "clips").symlink_to(tmp_path)
    forget(walk)
    assert mine.exists()


def test_clips_are_forgotten_when_their_time_is_over(walk: Path) -> None:
    ended = read(walk).events[-1].time
    walks = walk.parent
    assert forget_old(walks, 30, ended + timedelta(days=29)) == []
    assert clips(walk)
    assert forget_old(walks, 30, ended + timedelta(days=31)) == [walk]
    assert clips(walk) == []
    assert forget_old(walks, 30, ended + timedelta(days=31)) == [], "once is enough"


def test_an_unfinished_walk_keeps_its_clips(tmp_path: Path) -> None:
    walk = sealed_walk(tmp_path / "walks" / "one")
    log = walk / "log.jsonl"
    log.write_bytes(b"".join(log.read_bytes().splitlines(keepends=True)[:30]))
    assert forget_old(walk.parent, 0, datetime.now(UTC) + timedelta(days=1000)) == []
    assert clips(walk)


def test_what_is_no_walk_does_not_keep_a_new_one_from_beginning(tmp_path: Path) -> None:
    walks = tmp_path / "walks"
    assert forget_old(walks, 30) == []
    (walks / "notes").mkdir(parents=True)
    (walks / "file").write_text("")
    (walks / "broken" / "clips").mkdir(parents=True)
    (walks / "broken" / "clips" / "00001.wav").write_bytes(b"")
    (walks / "broken" / "log.jsonl").write_bytes(b"no log\n")
    assert forget_old(walks, 0, datetime.now(UTC) + timedelta(days=1)) == []


def test_everything_of_a_walk_is_readable_by_its_owner_only(walk: Path) -> None:
    before = os.umask(0)
    try:
        other = sealed_walk(walk.parent / "two")
    finally:
        os.umask(before)
    for path in (other, *other.rglob("*")):
        assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0, path
