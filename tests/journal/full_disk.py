"""Writes a log until the disk is full; run as a program of its own: the limit holds for the whole process."""

from __future__ import annotations

import resource
import signal
import sys
from pathlib import Path

from handsfree.journal.errors import JournalError
from handsfree.journal.events import Asked, Said, ZoneEvent
from handsfree.journal.writer import JournalWriter


def main(folder: Path, room: int) -> None:
    """Two events, then the file may only grow by ``room`` bytes; prints the errors of two more appends."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    writer = JournalWriter.create(folder, b"")
    writer.append([ZoneEvent(zone="nose"), Asked(zone="nose", item="nose-gear")])
    most = (folder / "log.jsonl").stat().st_size + room
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))
    for _ in range(2):
        try:
            writer.append([Said(text="one", seconds=0.0), Said(text="two, and no room for it" * 10, seconds=0.0)])
        except JournalError as error:
            print(error.message)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
