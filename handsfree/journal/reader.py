"""Reading a log back, also one that was cut off in the middle of a line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from handsfree.journal.errors import JournalError
from handsfree.journal.events import EVENTS, AnyEvent, Decision

LOG_NAME = "log.jsonl"
CHECKLIST_NAME = "checklist.yaml"


@dataclass(frozen=True)
class Journal:
    """All complete events of a log."""

    folder: Path
    events: tuple[AnyEvent, ...]
    torn: bytes
    """What is left of a last line that was cut off; it was never acknowledged."""
    good_bytes: int
    """Length of the file up to the end of the last complete event."""

    @property
    def ended(self) -> bool:
        """Whether the walk came to its end, which is the person's decision."""
        return any(isinstance(event, Decision) for event in self.events)


def log_file(path: Path) -> Path:
    """The log of a walk, given its folder or the file itself."""
    return path / LOG_NAME if path.is_dir() else path


def is_begun(path: Path) -> bool:
    """Whether a log, given its folder or itself, holds a whole line: before that nobody was told of anything."""
    file = log_file(path)
    return file.is_file() and b"\n" in file.read_bytes()


def read(path: Path) -> Journal:
    """Read the log in a folder, or the log file itself.

    Raises JournalError when there is none, when a line other than the last is damaged, or when the numbers have a gap.
    """
    file = log_file(path)
    try:
        raw = file.read_bytes()
    except OSError as error:
        raise JournalError(
            f"no log can be read at {file}: {error.strerror}", "give the folder of a walk, or its log.jsonl"
        ) from error
    events: list[AnyEvent] = []
    good = 0
    lines = raw.splitlines(keepends=True)
    for number, line in enumerate(lines, start=1):
        try:
            event = EVENTS.validate_json(line)
        except ValidationError as error:
            if number == len(lines) and not line.endswith(b"\n"):
                return _begun(file, events, line, good)
            what = f"not an event of this format ({_first(error)}): altered, or of another version"
            raise _not_to_be_trusted(file, number, what) from error
        if event.seq != len(events) + 1:
            what = f"number {event.seq} where {len(events) + 1} was due: lines were removed, repeated or reordered"
            raise _not_to_be_trusted(file, number, what)
        events.append(event)
        good += len(line)
    return _begun(file, events, b"", good)


def _begun(file: Path, events: Sequence[AnyEvent], torn: bytes, good: int) -> Journal:
    if not events:
        raise JournalError(f"{file} holds no event", "give the log of a walk that was begun, or begin it anew")
    return Journal(file.parent, tuple(events), torn, good)


def _not_to_be_trusted(file: Path, line: int, what: str) -> JournalError:
    """What to do about such a log: nothing that would change it."""
    return JournalError(
        f"{file}, line {line}: {what}",
        "keep the folder as it is for whoever examines it, and begin a new walk with --log OTHER-FOLDER",
    )


def _first(error: ValidationError) -> str:
    detail = error.errors()[0]
    where = ".".join(str(part) for part in detail["loc"])
    return f"{where}: {detail['msg']}" if where else detail["msg"]
