"""A disk that fails in the middle of a walk: it is said, the walk goes on, and at the end nothing is lost."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.journal import events as log
from handsfree.journal.reader import read
from handsfree.journal.verification import verify
from handsfree.journal.writer import JournalWriter
from handsfree.replay import replay
from handsfree.session import Session
from handsfree.walk import wording
from handsfree.walk.events import Begin
from tests.support.commands import BAD_INPUT, TO_THE_END, Commands
from tests.walk.conversation import SMALL, small
from tests.walk.performance import Ears, Mouth, Screen, story_as_heard

Write = Callable[[int, bytes], int]


class FullDisk:
    """Lines of a log cannot be written from one on, as long as it is full."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, after: int, until: int | None = None) -> None:
        self._real: Write = os.write
        self._after, self._until = after, until
        self.writes = 0
        monkeypatch.setattr(os, "write", self._write)

    def _write(self, descriptor: int, data: bytes) -> int:
        if data.startswith(b'{"'):
            self.writes += 1
            if self.writes > self._after and (self._until is None or self.writes <= self._until):
                raise OSError(28, "No space left on device")
        return self._real(descriptor, data)


def told(folder: Path) -> tuple[Session, Mouth, Screen]:
    """The whole story, on whatever disk there is."""
    text, mouth, screen = SMALL.read_bytes(), Mouth(), Screen()
    writer = JournalWriter.create(folder, text)
    session = Session(small(), writer, mouth, Ears(iter(story_as_heard())), screen)
    session.begin(Begin(level_check=False), hashlib.sha256(text).hexdigest(), "synthetic")
    writer.close()
    return session, mouth, screen


def test_it_says_so_once_and_again_when_it_is_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    FullDisk(monkeypatch, after=20, until=26)
    session, mouth, screen = told(tmp_path / "walk")
    monkeypatch.undo()
    assert mouth.said.count(wording.IN_MEMORY_ONLY) == 1
    assert mouth.said.count(wording.ON_DISK_AGAIN) == 1
    assert mouth.said.index(wording.IN_MEMORY_ONLY) < mouth.said.index(wording.ON_DISK_AGAIN)
    assert "No space left on device" in screen.troubles[0]
    events = read(tmp_path / "walk").events
    assert replay(small(), events) == (session.state, [])
    heard = [one.said for one in events if isinstance(one, log.HeardEvent)]
    assert heard == [one.said for one in story_as_heard()]
    assert verify(tmp_path / "walk").state == "intact"


def test_what_could_be_written_nowhere_near_is_put_elsewhere(
    run: Commands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", None)
    walk = tmp_path / "walk"
    FullDisk(monkeypatch, after=30)
    ran = run.walk(walk, TO_THE_END)
    monkeypatch.undo()
    assert ran.code == BAD_INPUT
    assert "could not be written to" in ran.err
    (rest,) = tmp_path.glob("handsfree-unwritten-*.jsonl")
    assert f"cat {rest} >> {walk / 'log.jsonl'}" in re.sub(r"\s+", " ", ran.err)
    with (walk / "log.jsonl").open("ab") as file:
        file.write(rest.read_bytes())
    events = read(walk).events
    assert [one.outcome for one in events if isinstance(one, log.Ended)] == ["complete"]
    assert sum(isinstance(one, log.HeardEvent) for one in events) == len(TO_THE_END)
    assert run.walk(walk, [], "--resume").code == 0
    assert run("verify", walk).code == 0
