"""Appending to a log: what was acknowledged is on the disk."""

from __future__ import annotations

import errno
import io
import os
import time
import wave
from collections.abc import Callable, Generator, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from handsfree.journal.disk import (
    append_synced,
    open_to_write,
    read_file,
    replace_synced,
    sync_folder,
    write_all,
    write_synced,
)
from handsfree.journal.errors import JournalError
from handsfree.journal.events import AnyEvent, Clip
from handsfree.journal.keys import SigningKey
from handsfree.journal.lines import digest, line_of
from handsfree.journal.lock import WriterLock
from handsfree.journal.reader import (
    CHECKLIST_NAME,
    CLIPS,
    EXERCISE_NAME,
    LOG_NAME,
    MOST_BYTES,
    Journal,
    is_begun,
    log_file,
    raw_log,
    read,
)
from handsfree.journal.seal import SEAL_NAME, Seal, seal_of

CLIP_RATE: Final = 16_000
"""Hertz; clips are 16-bit mono WAV files."""
Clock = Callable[[], datetime]


class JournalWriter:
    """The one writer of a log.  Every ``append`` is flushed and fsynced before it returns.

    What the disk refuses is kept in memory and written with the next ``append`` that it takes, so that the log never
    has a hole: it may only end early.
    """

    def __init__(self, folder: Path, lock: WriterLock, descriptor: int, journal: Journal | None, clock: Clock) -> None:
        self.folder = folder
        self._lock = lock
        self._descriptor = descriptor
        self._clock = clock
        self._seq = journal.events[-1].seq if journal else 0
        self._chain = journal.chain if journal else digest(b"")
        self._size = (folder / LOG_NAME).stat().st_size if journal else 0
        self._unwritten: list[bytes] = []
        self._torn = False
        self._started = time.monotonic()

    @classmethod
    def create(
        cls,
        folder: Path,
        checklist_text: bytes,
        clock: Clock = lambda: datetime.now(UTC),
        *,
        exercise_text: bytes | None = None,
    ) -> JournalWriter:
        """Begin a log in a new folder, with a copy of the checklist, and of what is practised with, beside it.

        Raises JournalError when the folder holds a log with an event in it or another checklist, cannot be written, or
        is being written.
        """
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            _refuse_a_link(folder)
            (folder / CLIPS).mkdir(mode=0o700, exist_ok=True)
            with _locked(folder) as lock:
                _refuse_what_is_there(folder, checklist_text)
                write_synced(folder / CHECKLIST_NAME, checklist_text)
                if exercise_text is not None:
                    write_synced(folder / EXERCISE_NAME, exercise_text)
                descriptor = open_to_write(folder / LOG_NAME, os.O_WRONLY | os.O_APPEND | os.O_CREAT | os.O_TRUNC)
                for new in (folder, folder.parent):
                    sync_folder(new)
                return cls(folder, lock, descriptor, None, clock)
        except OSError as error:
            raise _cannot_write(folder, error) from error

    @classmethod
    def reopen(cls, path: Path, clock: Clock = lambda: datetime.now(UTC)) -> tuple[JournalWriter, Journal]:
        """Go on with a log; a line that was cut off is set aside in ``log.jsonl.torn``.

        Raises JournalError, and AlteredError when the log is not as it was written.
        """
        file = log_file(path)
        raw_log(file)  # nothing is made where there is no log
        _refuse_a_link(file.parent)
        try:
            with _locked(file.parent) as lock:
                journal = read(file)  # only now: until then another program may have written
                descriptor = open_to_write(file, os.O_WRONLY | os.O_APPEND)
                _mend_the_end(file, journal, descriptor)
                return cls(file.parent, lock, descriptor, journal, clock), journal
        except OSError as error:
            raise _cannot_write(file.parent, error) from error

    @property
    def unwritten(self) -> int:
        """How many events are in memory only."""
        return len(self._unwritten)

    def append(self, events: Sequence[AnyEvent]) -> tuple[AnyEvent, ...]:
        """Stamp and write events in one piece; on return they are on the disk.

        Raises JournalError when they are not: they are then in memory, and the file still ends with a whole line.
        """
        stamped = self._stamped(events)
        try:
            self._write_what_is_left()
        except OSError as error:
            raise _cannot_write(self.folder, error) from error
        return stamped

    def _stamped(self, events: Sequence[AnyEvent]) -> tuple[AnyEvent, ...]:
        """The events with their number, time and chain; their lines wait to be written."""
        offset = round(time.monotonic() - self._started, 3)
        now = self._clock()
        now = now.replace(microsecond=now.microsecond // 1000 * 1000)  # as it is written
        stamped: list[AnyEvent] = []
        for event in events:
            self._seq += 1
            place = {"seq": self._seq, "prev": self._chain, "time": now, "offset_s": offset}
            stamped.append(event.model_copy(update=place))
            line = line_of(stamped[-1])
            self._chain = digest(line)
            self._unwritten.append(line + b"\n")
        return tuple(stamped)

    def _write_what_is_left(self) -> None:
        if self._torn and not self._take_back():
            raise OSError(errno.EIO, "an earlier line is torn")
        data = b"".join(self._unwritten)
        try:
            write_all(self._descriptor, data)
        except OSError:
            self._take_back()
            raise
        self._unwritten.clear()
        self._size += len(data)

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
            write_synced(self.folder / name, data)
            sync_folder(self.folder / CLIPS)
        except OSError as error:
            raise _cannot_write(self.folder, error) from error
        return Clip(file=name, sha256=digest(data), seconds=round(len(samples) / 2 / CLIP_RATE, 3))

    def seal(self, key: SigningKey | None = None) -> Seal:
        """Set the seal of a walk that is over: nothing follows it.  Raises JournalError; all must be on the disk."""
        try:
            self._write_what_is_left()
            made = seal_of(read_file(self.folder / LOG_NAME, MOST_BYTES), self._seq, self._clock(), key)
            replace_synced(self.folder / SEAL_NAME, made.as_file())
        except OSError as error:
            raise _cannot_write(self.folder, error) from error
        return made

    def close(self) -> None:
        """Close the file, and let others write.  What is in memory only is tried once more; see `rescue`."""
        if self._unwritten:
            with suppress(OSError):
                self._write_what_is_left()
        os.close(self._descriptor)
        self._lock.release()

    def rescue(self) -> bytes:
        """What could not be written: appended to the log as it is, it makes it whole."""
        try:
            begun = (self.folder / LOG_NAME).stat().st_size - self._size  # and could not be taken back
        except OSError:
            begun = 0
        return b"".join(self._unwritten)[begun:]

    def _take_back(self) -> bool:
        """Cut half a line off again; while the disk refuses even that, nothing may follow it."""
        try:
            os.ftruncate(self._descriptor, self._size)
            self._torn = False
        except OSError:
            self._torn = True  # the reader sets a torn last line aside
        return not self._torn


@contextmanager
def _locked(folder: Path) -> Generator[WriterLock]:
    """The lock of a folder, let go again when what follows fails."""
    lock = WriterLock(folder)
    try:
        yield lock
    except BaseException:
        lock.release()
        raise


def _refuse_what_is_there(folder: Path, checklist_text: bytes) -> None:
    log, copy = folder / LOG_NAME, folder / CHECKLIST_NAME
    if is_begun(log):
        raise JournalError(f"{folder} holds a walk already", "give another folder, or go on with that walk by --resume")
    if copy.exists() and not log.exists() and not _holds(copy, checklist_text):
        raise JournalError(f"{folder} holds another {CHECKLIST_NAME}", "give a new folder")


def _holds(file: Path, text: bytes) -> bool:
    try:
        return read_file(file, len(text)) == text
    except OSError:
        return False


def _refuse_a_link(folder: Path) -> None:
    """Clips would be written, and could be removed, wherever it leads."""
    if (folder / CLIPS).is_symlink():
        raise JournalError(f"{folder / CLIPS} is a link, and no folder", "make it a folder, or give another with --log")


def _mend_the_end(file: Path, journal: Journal, descriptor: int) -> None:
    """Set half a line aside; end a last line that lacks only its newline: the event counts."""
    if journal.torn:
        append_synced(file.with_name(f"{LOG_NAME}.torn"), journal.torn + b"\n")
        os.ftruncate(descriptor, journal.good_bytes)
    if not read_file(file, MOST_BYTES).endswith(b"\n"):
        write_all(descriptor, b"\n")


def _cannot_write(folder: Path, error: OSError) -> JournalError:
    in_the_way = error.errno in (errno.EEXIST, errno.ENOTDIR)
    return JournalError(
        f"the log in {folder} cannot be written: {error.strerror}",
        "a file of that name is in the way: give a folder with --log FOLDER, a new one if you like"
        if in_the_way
        else "free space or choose a writable folder with --log FOLDER; what was acknowledged before is safe",
    )
