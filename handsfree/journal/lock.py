"""One program writes a log: two would give the same numbers twice.

The lock is the kernel's, on a file beside the log, and ends with whoever holds it, however they end: that of a program
which was killed needs no clearing.  What is written in the file only says who it is, for the message to somebody else.
"""

from __future__ import annotations

import fcntl
import json
import os
import socket
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from handsfree.journal.disk import open_to_write
from handsfree.journal.errors import JournalError

LOCK_NAME = "writer.lock"
_MOST_BYTES = 1000


class WriterLock:
    """Held from its making until `release`."""

    def __init__(self, folder: Path, name: str = LOCK_NAME, what: str = "the walk") -> None:
        """Take the lock of a folder, or of ``what`` else in it has a lock of its own ``name``.

        Raises JournalError when somebody else has it, OSError when it cannot be made.
        """
        self._descriptor = open_to_write(folder / name, os.O_RDWR | os.O_CREAT)
        try:
            fcntl.flock(self._descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            owner = _owner(self._descriptor)
            os.close(self._descriptor)
            raise JournalError(
                f"another program{owner} is writing {what} in {folder}",
                "end that one first, or give another folder",
            ) from error
        except OSError:
            os.close(self._descriptor)
            raise
        with suppress(OSError):  # the lock holds without its note, as on a full disk
            _sign(self._descriptor)

    def release(self) -> None:
        """Let another program write."""
        os.close(self._descriptor)


def _sign(descriptor: int) -> None:
    owner = {"pid": os.getpid(), "host": socket.gethostname(), "since": datetime.now(UTC).isoformat(timespec="seconds")}
    os.ftruncate(descriptor, 0)
    os.pwrite(descriptor, json.dumps(owner).encode() + b"\n", 0)


def _owner(descriptor: int) -> str:
    """Who says that they have the lock, as far as that can be read."""
    try:
        owner = json.loads(os.pread(descriptor, _MOST_BYTES, 0))
        pid, host, since = int(owner["pid"]), ascii(str(owner["host"])), ascii(str(owner["since"]))
        return f" (process {pid} on {host[1:-1]}, since {since[1:-1]})"
    except (OSError, ValueError, TypeError, KeyError):
        return ""
