"""The disk refuses: each write, sync, cut and rename of a whole walk fails in turn, once or from then on."""

from __future__ import annotations

import errno
import hashlib
import os
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal
from unittest import mock

from handsfree.journal import events as log
from handsfree.journal.errors import JournalError
from handsfree.journal.reader import Journal, parse, raw_log
from handsfree.journal.writer import JournalWriter
from handsfree.language.heard import Heard
from handsfree.replay import replay
from handsfree.session import Session
from handsfree.walk import wording
from handsfree.walk.events import Begin
from tests.faults.figures import Row
from tests.walk.conversation import SMALL, small
from tests.walk.performance import Ears, Mouth, Screen, story_as_heard

How = Literal["once", "for ever", "half once", "half for ever"]
"""``half``: a write takes some bytes and no more, as on a full disk."""
HOWS: tuple[How, ...] = ("once", "for ever", "half once", "half for ever")
CALLS = ("open", "write", "fsync", "ftruncate", "replace", "mkdir")


@dataclass
class FailingDisk:
    """Stands before the system calls that change something, counts them, and fails the n-th."""

    fail_at: int
    """From 1; 0 = none."""
    how: How = "once"
    calls: int = 0
    failed: int = 0
    names: list[str] = field(default_factory=list[str])

    @contextmanager
    def installed(self) -> Generator[None]:
        with ExitStack() as stack:
            for name in CALLS:
                stack.enter_context(mock.patch.object(os, name, self._standing_before(name, getattr(os, name))))
            yield

    def _standing_before(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*arguments: Any, **options: Any) -> Any:
            if name == "open" and not arguments[1] & (os.O_CREAT | os.O_TRUNC):
                return real(*arguments, **options)  # only reads, or what is there already
            self.calls += 1
            self.names.append(name)
            due = self.calls == self.fail_at or (self.calls > self.fail_at > 0 and self.how.endswith("for ever"))
            if not due:
                return real(*arguments, **options)
            self.failed += 1
            if name == "write" and self.how.startswith("half"):
                descriptor, data = arguments
                return real(descriptor, data[: len(data) // 2])
            raise OSError(errno.ENOSPC if name == "write" else errno.EIO, os.strerror(errno.EIO))

        return call


@dataclass
class Attempt:
    """A walk on a failing disk."""

    folder: Path
    disk: FailingDisk
    heard: tuple[Heard, ...]
    mouth: Mouth = field(default_factory=Mouth)
    screen: Screen = field(default_factory=Screen)
    broken: list[str] = field(default_factory=list[str])
    """Moments at which the file was not whole lines and at most a torn end."""
    rest: bytes = b""
    session: Session | None = None

    def walk(self) -> None:
        """The whole story.  A log that cannot even be begun is refused before a word is said."""
        text = SMALL.read_bytes()
        self.mouth.watch = self._look
        with self.disk.installed():
            try:
                writer = JournalWriter.create(self.folder, text)
            except JournalError:
                return
            self.session = Session(small(), writer, self.mouth, Ears(iter(self.heard)), self.screen)
            self.session.begin(Begin(level_check=False), hashlib.sha256(text).hexdigest(), "synthetic")
            writer.close()
            self.rest = writer.rescue()

    def _look(self) -> None:
        try:
            if raw_log(self.folder):
                self._journal(b"")
        except JournalError as error:
            if "holds no event" not in error.message:
                self.broken.append(error.message)

    def _journal(self, rest: bytes) -> Journal:
        return parse(self.folder / "log.jsonl", raw_log(self.folder) + rest)

    def problems(self) -> Iterator[str]:
        """What is not as it should be; nothing when every answer is on the disk or was given out."""
        if self.session is None:
            if self.mouth.said:
                yield "it spoke before it had a log"
            return
        yield from self.broken
        journal = self._journal(self.rest)
        state, missing = replay(small(), journal.events)
        if (state, missing) != (self.session.state, []):
            yield "what is left does not lead to the same walk"
        if self.rest and wording.IN_MEMORY_ONLY not in self.mouth.said:
            yield "nobody was told that the log is in memory only"
        if self.rest and not self.screen.troubles:
            yield "it was not shown that the log is in memory only"

    def lost(self) -> int:
        """Answers that were heard and are nowhere."""
        return len(self.heard) - len(self._heard_in_log()) if self.session else 0

    def invented(self) -> int:
        """Answers in the log that nobody gave."""
        if self.session is None:
            return 0
        pairs = zip(self._heard_in_log(), self.heard, strict=False)
        return sum(one.said != other.said for one, other in pairs)

    def _heard_in_log(self) -> Sequence[log.HeardEvent]:
        return [one for one in self._journal(self.rest).events if isinstance(one, log.HeardEvent)]


def disk_faults(folder: Path, *, every: int = 1) -> Row:
    """Each ``every``-th call of a whole walk, in each way."""
    row = Row("a write, sync, cut or rename fails, once or for ever")
    heard = story_as_heard()
    counting = Attempt(folder / "counted", FailingDisk(0), heard)
    counting.walk()
    calls = counting.disk.calls
    for number in range(1, calls + 1, every):
        for how in HOWS:
            if how.startswith("half") and counting.disk.names[number - 1] != "write":
                continue
            attempt = Attempt(folder / f"{number}-{how.replace(' ', '-')}", FailingDisk(number, how), heard)
            attempt.walk()
            problems = [f"call {number} ({counting.disk.names[number - 1]}) {how}: {one}" for one in attempt.problems()]
            row.count(lost=attempt.lost(), invented=attempt.invented(), problem="; ".join(problems))
            if not attempt.disk.failed:
                row.problems.append(f"call {number} {how} did not fail")
    row.figure = f"{calls} calls in a walk of {len(heard)} answers"
    return row
