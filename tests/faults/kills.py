"""The program is killed, or the log is cut, anywhere: what was acknowledged is there, and the walk goes on from it."""

from __future__ import annotations

import hashlib
import os
import shutil
import signal
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from handsfree.journal import events as log
from handsfree.journal.errors import JournalError
from handsfree.journal.events import AnyEvent, SilenceEvent
from handsfree.journal.reader import is_begun, read
from handsfree.journal.verification import verify
from handsfree.journal.writer import JournalWriter
from handsfree.language.heard import Heard
from handsfree.replay import replay
from handsfree.session import Session
from handsfree.walk.events import Begin
from handsfree.walk.state import Answer
from tests.faults.figures import Row
from tests.walk.conversation import SMALL, small
from tests.walk.performance import Ears, Mouth, Screen, finish, sentences, story_as_heard


def kills(folder: Path, count: int) -> Row:
    """A child process is killed at so many points of a walk, evenly over every call that it makes."""
    row = Row("killed (SIGKILL) at a call of the program")
    heard = story_as_heard()
    calls = _calls_of_a_walk(folder / "counted", heard)
    for number in range(count):
        at = round((number + 0.5) * calls / count)
        walk = folder / str(number)
        said = _killed(walk, heard, at)
        lost, invented, problem = judge(walk, heard, said)
        row.count(lost=lost, invented=invented, problem=f"call {at}: {problem}" if problem else "")
        shutil.rmtree(walk)
    row.figure = f"of {calls:,} calls in a walk"
    return row


def judge(walk: Path, heard: Sequence[Heard], said: Sequence[str]) -> tuple[int, int, str]:
    """How many answers are lost and invented, and what else is wrong, before and after the walk goes on."""
    events = read(walk).events if is_begun(walk) else ()
    logged = [one for one in events if isinstance(one, log.HeardEvent)]
    invented = sum(one.said != other.said for one, other in zip(logged, heard, strict=False))
    lost = len(said) - len(_shared(said, sentences(events, 0)))  # each sentence follows from an answer in the log
    if not events:
        return lost, invented, ""
    state = verify(walk).state
    if state not in ("unsealed", "intact"):
        return lost, invented, f"the log is {state}"
    before = replay(small(), events)[0]
    after = before if read(walk).ended else finish(walk)
    kept = all(map(_same_answer, before.answers, after.answers)) and len(after.answers) >= len(before.answers)
    problem = "" if kept else "going on changed an earlier answer"
    if replay(small(), read(walk).events) != (after, []):
        problem = "what was written after going on does not lead to the same walk"
    return lost, invented, problem


def _same_answer(one: Answer, other: Answer) -> bool:
    """But for whether it was affirmed meanwhile."""
    return replace(one, confirmed=None) == replace(other, confirmed=None)


def _shared(one: Sequence[str], other: Sequence[str]) -> Sequence[str]:
    """How far both say the same."""
    same = next((at for at, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))
    return one[:same]


def _walk(folder: Path, heard: Sequence[Heard], mouth: Mouth) -> None:
    text = SMALL.read_bytes()
    writer = JournalWriter.create(folder, text)
    session = Session(small(), writer, mouth, Ears(iter(heard)), Screen())
    session.begin(Begin(level_check=False), hashlib.sha256(text).hexdigest(), "synthetic")
    writer.close()


def _calls_of_a_walk(folder: Path, heard: Sequence[Heard]) -> int:
    counted = 0

    def count(*_: object) -> None:
        nonlocal counted
        counted += 1

    sys.setprofile(count)
    try:
        _walk(folder, heard, Mouth())
    finally:
        sys.setprofile(None)
    return counted


def _killed(folder: Path, heard: Sequence[Heard], at: int) -> list[str]:
    """What a child said, who is killed at a call (Python's or a system's, its beginning or its end)."""
    listening, speaking = os.pipe()
    child = os.fork()
    if child == 0:
        _die_at(at, lambda: _walk(folder, heard, _Heard(speaking)))
    os.close(speaking)
    with os.fdopen(listening, "rb") as words:
        said = words.read().decode().splitlines()
    _, status = os.waitpid(child, 0)
    if not (os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL):
        raise RuntimeError(f"the child was not killed at call {at}, it ended with {status}")
    return said


def _die_at(at: int, walk: Callable[[], None]) -> None:
    left = at

    def count(*_: object) -> None:
        nonlocal left
        left -= 1
        if left <= 0:
            os.kill(os.getpid(), signal.SIGKILL)

    sys.setprofile(count)
    try:
        walk()
    finally:
        os._exit(1)


class _Heard(Mouth):
    """Says it to another process: what came through was said, whatever happens next."""

    def __init__(self, descriptor: int) -> None:
        super().__init__()
        self._descriptor = descriptor

    def say(self, text: str) -> float:
        os.write(self._descriptor, f"{text}\n".encode())
        return 0.1


def cuts(walk: Path, folder: Path, *, every: int = 1) -> Row:
    """The log of a walk is cut at each ``every``-th byte; then it goes on."""
    row = Row("the log is cut at a byte")
    raw, events = (walk / "log.jsonl").read_bytes(), read(walk).events
    ends = [at for at, byte in enumerate(raw) if byte == ord("\n")]
    for size in range(0, len(raw) + 1, every):
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
        shutil.copy(walk / "checklist.yaml", folder)
        (folder / "log.jsonl").write_bytes(raw[:size])
        whole = sum(end <= size for end in ends)  # a line that lacks only its newline is whole
        lost, invented, problem = _gone_on(folder, events[:whole])
        row.count(lost=lost, invented=invented, problem=f"byte {size}: {problem}" if problem else "")
    return row


def _gone_on(folder: Path, whole: Sequence[AnyEvent]) -> tuple[int, int, str]:
    try:
        writer, journal = JournalWriter.reopen(folder)
    except JournalError:
        return 0, 0, "" if not whole else "it cannot be gone on with"
    added = writer.append([SilenceEvent()])
    writer.close()
    events = read(folder).events
    lost = len(whole) - sum(one == other for one, other in zip(whole, events, strict=False))
    invented = max(0, len(events) - len(added) - len(whole))
    return lost, invented, "" if journal.events == tuple(whole) else "other events than were whole"
