"""Appending to a log: what was acknowledged is on the disk."""

from __future__ import annotations

import errno
import fcntl
import hashlib
import io
import os
import time
import wave
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from handsfree.journal.errors import JournalError
from handsfree.journal.events import AnyEvent, Clip
from handsfree.journal.reader import CHECKLIST_NAME, LOG_NAME, Journal, is_begun

CLIP_RATE: Final = 16_000
"""Hertz; clips are 16-bit mono WAV files."""
CLIPS: Final = "clips"
"""The folder of the clips, beside the log."""
Clock = Callable[[], datetime]


class JournalWriter:
    """The one writer of a log.  Every ``append`` is flushed and fsynced before it returns."""

    def __init__(self, folder: Path, descriptor: int, last_seq: int, size: int, clock: Clock) -> None:
        self.folder = folder
        self._descriptor = descriptor
        self._seq = last_seq
        self._size = size
        self._clock = clock
        self._torn = False
        self._started = time.monotonic()

    @classmethod
    def create(cls, folder: Path, checklist_text: bytes, clock: Clock = lambda: datetime.now(UTC)) -> JournalWriter:
        """Begin a log in a new folder, with a copy of the checklist beside it.

        Raises JournalError when the folder holds a log with an event in it or another checklist, or cannot be written.
        """
        log = folder / LOG_NAME
        try:
            if is_begun(log):
                raise JournalError(
                    f"{folder} holds a walk already", "give another folder, or go on with that walk by --resume"
                )
            copy = folder / CHECKLIST_NAME
            if copy.exists() and not log.exists() and copy.read_bytes() != checklist_text:
                raise JournalError(f"{folder} holds another {CHECKLIST_NAME}", "give a new folder")
            (folder / CLIPS).mkdir(mode=0o700, parents=True, exist_ok=True)
            _write_synced(folder / CHECKLIST_NAME, checklist_text)
            descriptor = os.open(log, os.O_WRONLY | os.O_APPEND | os.O_CREAT | os.O_TRUNC, 0o600)
            for new in (folder, folder.parent):
                _sync_folder(new)
            _lock(descriptor)
        except OSError as error:
            raise _cannot_write(folder, error) from error
        return cls(folder, descriptor, 0, 0, clock)

    @classmethod
    def reopen(cls, journal: Journal, clock: Clock = lambda: datetime.now(UTC)) -> JournalWriter:
        """Go on with a log; a line that was cut off is set aside in ``log.jsonl.torn``."""
        file = journal.folder / LOG_NAME
        try:
            descriptor = os.open(file, os.O_WRONLY | os.O_APPEND)
            _lock(descriptor)
            if journal.torn:
                with (journal.folder / f"{LOG_NAME}.torn").open("ab") as torn:
                    torn.write(journal.torn + b"\n")
                os.truncate(file, journal.good_bytes)
            size = journal.good_bytes
            if size and not file.read_bytes().endswith(b"\n"):  # complete but for its newline: the event counts
                size += os.write(descriptor, b"\n")
        except OSError as error:
            raise _cannot_write(journal.folder, error) from error
        return cls(journal.folder, descriptor, journal.events[-1].seq, size, clock)

    def append(self, events: Sequence[AnyEvent]) -> tuple[AnyEvent, ...]:
        """Stamp and write events in one piece; on return they are on the disk.

        Raises JournalError when they are not; the file then still ends with a whole line.
        """
        offset = round(time.monotonic() - self._started, 3)
        now = self._clock()
        now = now.replace(microsecond=now.microsecond // 1000 * 1000)  # as it is written
        stamped = tuple(
            event.model_copy(update={"seq": self._seq + index, "time": now, "offset_s": offset})
            for index, event in enumerate(events, start=1)
        )
        data = b"".join(event.model_dump_json().encode() + b"\n" for event in stamped)
        try:
            if self._torn and not self._take_back():
                raise OSError(errno.EIO, "an earlier line is torn")  # noqa: TRY301
            written = os.write(self._descriptor, data)
            if written != len(data):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))  # noqa: TRY301
            os.fsync(self._descriptor)
        except OSError as error:
            self._take_back()
            raise _cannot_write(self.folder, error) from error
        self._seq += len(stamped)
        self._size += len(data)
        return stamped

    def keep_clip(self, samples: bytes) -> Clip:
        """Write a clip (16-bit mono samples at 16 kHz) beside the log; it is on the disk on return."""
        name = f"{CLIPS}/{self._seq + 1:05d}.wav"
        buffer = io.BytesIO()
        with wave.open(buffer, "wb") as sound:
            sound.setnchannels(1)
            sound.setsampwidth(2)
            sound.setframerate(CLIP_RATE)
            sound.writeframes(samples)
        data = buffer.getvalue()
        try:
            _write_synced(self.folder / name, data)
            _sync_folder(self.folder / CLIPS)
        except OSError as error:
            raise _cannot_write(self.folder, error) from error
        return Clip(file=name, sha256=hashlib.sha256(data).hexdigest(), seconds=round(len(samples) / 2 / CLIP_RATE, 3))

    def close(self) -> None:
        """Close the file; everything is on the disk already."""
        os.close(self._descriptor)

    def _take_back(self) -> bool:
        """Cut half a line off again; while the disk refuses even that, nothing may follow it."""
        try:
            os.ftruncate(self._descriptor, self._size)
            self._torn = False
        except OSError:
            self._torn = True  # the reader sets a torn last line aside
        return not self._torn


def _lock(descriptor: int) -> None:
    """One program writes a log: two would give the same numbers twice.  Held until the file is closed."""
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        os.close(descriptor)
        raise OSError(errno.EBUSY, "another program is writing it") from error


def _write_synced(file: Path, data: bytes) -> None:
    """Write a whole file; it is on the disk on return."""
    descriptor = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(descriptor, "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(descriptor)


def _sync_folder(folder: Path) -> None:
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _cannot_write(folder: Path, error: OSError) -> JournalError:
    return JournalError(
        f"the log in {folder} cannot be written: {error.strerror}",
        "free space or choose a writable folder with --log FOLDER; what was acknowledged before is safe",
    )
