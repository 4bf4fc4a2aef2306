"""Appending to a log: what was acknowledged is on the disk."""

from __future__ import annotations

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
from handsfree.journal.reader import CHECKLIST_NAME, LOG_NAME, Journal

CLIP_RATE: Final = 16_000
"""Hertz; clips are 16-bit mono WAV files."""
Clock = Callable[[], datetime]


class JournalWriter:
    """The one writer of a log.  Every ``append`` is flushed and fsynced before it returns."""

    def __init__(self, folder: Path, descriptor: int, last_seq: int, size: int, clock: Clock) -> None:
        self.folder = folder
        self._descriptor = descriptor
        self._seq = last_seq
        self._size = size
        self._clock = clock
        self._started = time.monotonic()

    @classmethod
    def create(cls, folder: Path, checklist_text: bytes, clock: Clock = lambda: datetime.now(UTC)) -> JournalWriter:
        """Begin a log in a new folder, with a copy of the checklist beside it.

        Raises JournalError when the folder holds a log already or cannot be written.
        """
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            descriptor = os.open(folder / LOG_NAME, os.O_WRONLY | os.O_APPEND | os.O_CREAT | os.O_EXCL, 0o600)
            (folder / CHECKLIST_NAME).write_bytes(checklist_text)
            (folder / "clips").mkdir(mode=0o700, exist_ok=True)
            _sync_folder(folder)
        except FileExistsError as error:
            raise JournalError(
                f"{folder} holds a walk already", "Give another folder, or continue that walk with --resume."
            ) from error
        except OSError as error:
            raise _cannot_write(folder, error) from error
        return cls(folder, descriptor, 0, 0, clock)

    @classmethod
    def reopen(cls, journal: Journal, clock: Clock = lambda: datetime.now(UTC)) -> JournalWriter:
        """Go on with a log; a line that was cut off is set aside in ``log.jsonl.torn``."""
        file = journal.folder / LOG_NAME
        try:
            if journal.torn:
                with (journal.folder / f"{LOG_NAME}.torn").open("ab") as torn:
                    torn.write(journal.torn + b"\n")
                os.truncate(file, journal.good_bytes)
            descriptor = os.open(file, os.O_WRONLY | os.O_APPEND)
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
        stamped = tuple(
            event.model_copy(update={"seq": self._seq + index, "time": now, "offset_s": offset})
            for index, event in enumerate(events, start=1)
        )
        data = b"".join(event.model_dump_json().encode() + b"\n" for event in stamped)
        try:
            written = os.write(self._descriptor, data)
            if written != len(data):
                raise OSError(28, os.strerror(28))  # noqa: TRY301  # ENOSPC: what did not fit
            os.fsync(self._descriptor)
        except OSError as error:
            self._take_back()
            raise _cannot_write(self.folder, error) from error
        self._seq += len(stamped)
        self._size += len(data)
        return stamped

    def keep_clip(self, samples: bytes) -> Clip:
        """Write a clip (16-bit mono samples at 16 kHz) beside the log; it is on the disk on return."""
        name = f"clips/{self._seq + 1:05d}.wav"
        buffer = io.BytesIO()
        with wave.open(buffer, "wb") as sound:
            sound.setnchannels(1)
            sound.setsampwidth(2)
            sound.setframerate(CLIP_RATE)
            sound.writeframes(samples)
        data = buffer.getvalue()
        try:
            descriptor = os.open(self.folder / name, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            with os.fdopen(descriptor, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(descriptor)
        except OSError as error:
            raise _cannot_write(self.folder, error) from error
        return Clip(file=name, sha256=hashlib.sha256(data).hexdigest(), seconds=round(len(samples) / 2 / CLIP_RATE, 3))

    def close(self) -> None:
        """Close the file; everything is on the disk already."""
        os.close(self._descriptor)

    def _take_back(self) -> None:
        """Cut half a line off again, as far as the disk lets us."""
        try:
            os.ftruncate(self._descriptor, self._size)
        except OSError:
            return  # the reader sets a torn last line aside


def _sync_folder(folder: Path) -> None:
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _cannot_write(folder: Path, error: OSError) -> JournalError:
    return JournalError(
        f"the log in {folder} cannot be written: {error.strerror}",
        "Free space or choose a writable folder with --log FOLDER; what was acknowledged before is safe.",
    )
