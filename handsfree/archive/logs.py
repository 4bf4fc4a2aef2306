"""The logs below a folder, which may come from anybody."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from handsfree.archive.errors import ArchiveError
from handsfree.journal.reader import CLIPS, LOG_NAME

BATCH_BYTES: Final = 24_000_000
"""Of the logs that are taken up together, some hundred."""


@dataclass(frozen=True, slots=True)
class LogFile:
    """One log."""

    walk: int
    """Its number in all tables."""
    file: Path
    folder: str
    """The folder of its walk, from the folder that was asked about."""
    size: int
    """Bytes; 0 where that is not known."""
    changed_ns: int
    """When it was last changed, in nanoseconds since 1970; 0 likewise."""


@dataclass(frozen=True, slots=True)
class Damaged:
    """A log that is left out of all figures."""

    folder: str
    why: str


def logs_below(folder: Path) -> list[LogFile]:
    """Every log below a folder, in the order of their names; folders that are links are not entered.

    Raises ArchiveError where there is none.
    """
    if not folder.is_dir():
        raise ArchiveError(f"{folder} is no folder", "give the folder that holds the folders of walks")
    found: list[Path] = []
    for at, below, files in os.walk(folder):
        below[:] = [one for one in below if one != CLIPS]
        if LOG_NAME in files:
            found.append(Path(at, LOG_NAME))
    if not found:
        raise ArchiveError(f"below {folder} there is no {LOG_NAME}", "give the folder that holds the folders of walks")
    found.sort()
    return [
        LogFile(walk, one, str(one.parent.relative_to(folder)), *_size_and_change(one))
        for walk, one in enumerate(found)
    ]


def batches(logs: Iterable[LogFile]) -> Iterator[list[LogFile]]:
    """Logs that are taken up together."""
    together: list[LogFile] = []
    size = 0
    for log in logs:
        if together and size + log.size > BATCH_BYTES:
            yield together
            together, size = [], 0
        together.append(log)
        size += log.size
    if together:
        yield together


def _size_and_change(file: Path) -> tuple[int, int]:
    try:
        about = file.stat()
    except OSError:
        return 0, 0
    return about.st_size, about.st_mtime_ns
