"""Reading a log back, also one that was cut off in the middle of a line."""

from __future__ import annotations

import gc
from collections.abc import Generator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from handsfree.journal.disk import read_file
from handsfree.journal.errors import JournalError
from handsfree.journal.events import CHAINED_SINCE, EVENTS, VERSION, AnyEvent, Decision, Opened
from handsfree.journal.lines import digest
from handsfree.journal.migration import upgraded, version_of
from handsfree.shown import harmless, shortened

LOG_NAME = "log.jsonl"
CHECKLIST_NAME = "checklist.yaml"
EXERCISE_NAME = "exercise.yaml"
CLIPS = "clips"
"""The folder of the clips, beside the log."""
MOST_OF_A_CHECKLIST = 2_000_000
"""Bytes."""
MOST_BYTES = 48_000_000
"""A walk past 80 items takes half a million; a hundred thousand events take 40 million, and 400 MB of memory."""

_LONGEST_NAME = 60
"""Characters of a field's name in a message."""


class AlteredError(JournalError):
    """A log is not what was written: ``event`` is the number of the first line that does not fit."""

    def __init__(self, file: Path, event: int, what: str) -> None:
        super().__init__(
            f"{file}, line {event}: {what}",
            "keep the folder as it is for whoever examines it, and begin a new walk with --log OTHER-FOLDER",
        )
        self.event = event
        self.what = what


@dataclass(frozen=True)
class Journal:
    """All complete events of a log."""

    folder: Path
    events: tuple[AnyEvent, ...]
    torn: bytes
    """What is left of a last line that was cut off; it was never acknowledged."""
    good_bytes: int
    """Length of the file up to the end of the last complete event."""
    chain: str
    """What the next event is chained to: SHA-256 of the last line, or in a log of an earlier version of all of it."""

    @property
    def opened(self) -> Opened | None:
        """How the walk was begun; None in a log that does not begin with it."""
        first = self.events[0]
        return first if isinstance(first, Opened) else None

    @property
    def language(self) -> str:
        """The language that was walked in; empty when the log does not say, and the checklist's first is meant."""
        return self.opened.language if self.opened else ""

    @property
    def ended(self) -> bool:
        """Whether the walk came to its end, which is the person's decision."""
        return any(isinstance(event, Decision) for event in self.events)


def log_file(path: Path) -> Path:
    """The log of a walk, given its folder or the file itself."""
    try:
        return path / LOG_NAME if path.is_dir() else path
    except OSError:  # too long for a name
        return path


def is_begun(path: Path) -> bool:
    """Whether a log, given its folder or itself, holds a whole line: before that nobody was told of anything."""
    file = log_file(path)
    return file.is_file() and (file.stat().st_size > MOST_BYTES or b"\n" in read_file(file, MOST_BYTES))


def read(path: Path) -> Journal:
    """Read the log in a folder, or the log file itself.

    Raises JournalError when there is none, AlteredError when a line other than the last is damaged, when the numbers
    have a gap, or when a line does not follow the one before.
    """
    return parse(log_file(path), raw_log(path))


def raw_log(path: Path) -> bytes:
    """All bytes of a log.  Raises JournalError when there is none, it is too large to be one, or plainly another file.

    What has the name of a log, or one line like those of a log, may be a damaged one: that is told by who reads it.
    """
    file = log_file(path)
    hint = "give the folder of a walk, or its log.jsonl"
    try:
        raw = read_file(file, MOST_BYTES)
    except OSError as error:
        raise JournalError(f"no log can be read at {file}: {error.strerror}", hint) from error
    if raw and file.name != LOG_NAME and not raw.startswith(b'{"') and b'\n{"' not in raw:
        raise JournalError(f"{file} is no log of a walk", hint)
    return raw


@contextmanager
def _without_collector() -> Generator[None]:
    """All events live on: looking among them for what can be freed takes as long as reading them."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@_without_collector()
def parse(file: Path, raw: bytes) -> Journal:
    """The events in the bytes of a log; ``file`` names it.  Raises as `read` does."""
    events: list[AnyEvent] = []
    good = 0
    line_before, version_before = b"", 1
    *whole, rest = raw.split(b"\n")

    def chain() -> str:
        """What the next line must follow: lines of earlier versions are taken all together."""
        chained = bool(events) and events[-1].prev != ""
        return digest(line_before) if chained else digest(_with_newline(raw[:good]))

    def journal(torn: bytes) -> Journal:
        if not events:
            raise JournalError(f"{file} holds no event", "give the log of a walk that was begun, or begin it anew")
        return Journal(file.parent, tuple(events), torn, good, chain())

    for line in [*whole, rest] if rest else whole:
        number = len(events) + 1
        unended = number > len(whole)
        try:
            version = version_of(line)
            event = EVENTS.validate_json(line if version == VERSION else upgraded(line, version))
        except (ValueError, RecursionError) as error:  # a ValidationError is a ValueError
            if unended:
                return journal(torn=rest)
            raise AlteredError(file, number, f"not an event of this format ({_first(error)})") from error
        if event.seq != number:
            due = f"number {event.seq} where {number} was due: lines were removed, repeated or reordered"
            raise AlteredError(file, number, due)
        if version >= CHAINED_SINCE and event.prev != chain():
            raise AlteredError(file, number, "it does not follow the line before: one of the two was altered")
        if version < version_before:
            raise AlteredError(file, number, "a line of an earlier version after one of a later")
        events.append(event)
        line_before, version_before = line, version
        good += len(line) + (not unended)
    return journal(torn=b"")


def _with_newline(data: bytes) -> bytes:
    """As it will be when another line follows."""
    return data if not data or data.endswith(b"\n") else data + b"\n"


def _first(error: Exception) -> str:
    """What is wrong, in which the log's own words may stand."""
    if not isinstance(error, ValidationError):
        return shortened(harmless(str(error)))
    detail = error.errors(include_url=False, include_context=False, include_input=False)[0]
    where = ".".join(shortened(str(part), _LONGEST_NAME) for part in detail["loc"])
    return shortened(harmless(f"{where}: {detail['msg']}" if where else detail["msg"]))
