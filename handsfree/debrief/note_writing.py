"""Writing notes: what was acknowledged is on the disk, and one program writes them at a time."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TypeVar

from handsfree.debrief.notes import (
    MOST_BYTES,
    NOTES_NAME,
    Binding,
    Note,
    Notes,
    NotesError,
    binding_of,
    read_notes,
    refuse_for_another,
    signed_bytes,
)
from handsfree.journal.disk import append_synced, open_to_write, read_file, sync_folder, write_all
from handsfree.journal.keys import SigningKey
from handsfree.journal.lines import canonical, digest
from handsfree.journal.lock import WriterLock
from handsfree.journal.reader import log_file

T = TypeVar("T", bound=Binding | Note)


class NotesWriter:
    """The one writer of a file of notes.  Use it as a context manager, or call `close`.

    Nothing is made before the first note.
    """

    def __init__(
        self,
        log: Path,
        file: Path | None = None,
        key: SigningKey | None = None,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
    ) -> None:
        """``log`` is a walk's folder or its log; its notes lie beside it, or in another ``file``.

        A line that was cut off is set aside in ``notes.jsonl.torn``.  Raises NotesError when somebody else is writing
        them, they speak of another log or cannot be written, AlteredNotesError when they are not as they were written.
        """
        self.file = file or log_file(log).parent / NOTES_NAME
        self._key = key
        self._clock = clock
        self._binding = binding_of(log)
        try:
            self._lock = WriterLock(self.file.parent, f"{self.file.name}.lock", "the notes")
        except OSError as error:
            raise self._unwritable(error) from error
        try:
            self._taken_up(log)
        except BaseException:
            self._lock.release()
            raise

    def _taken_up(self, log: Path) -> None:
        found = read_notes(self.file)
        if found.binding is not None:
            refuse_for_another(found.binding, log)
        self._begun = found.binding is not None
        self._notes = list(found.notes)
        self._chain = found.chain
        self._size = found.good_bytes
        self._torn = False
        try:
            self._mend_the_end(found)
        except OSError as error:
            raise self._unwritable(error) from error

    def _mend_the_end(self, found: Notes) -> None:
        """Set half a line aside; end a last line that lacks only its newline: the note counts."""
        if not found.torn and not found.good_bytes:
            return
        if found.torn:
            append_synced(self.file.with_name(f"{self.file.name}.torn"), found.torn + b"\n")
        descriptor = open_to_write(self.file, os.O_WRONLY | os.O_APPEND)
        try:
            os.ftruncate(descriptor, found.good_bytes)
            if found.good_bytes and not read_file(self.file, MOST_BYTES).endswith(b"\n"):
                write_all(descriptor, b"\n")
                self._size += 1
        finally:
            os.close(descriptor)

    @property
    def notes(self) -> tuple[Note, ...]:
        """All notes, as they are on the disk."""
        return tuple(self._notes)

    def add(self, note: Note) -> Note:
        """Stamp, sign and write a note; on return it is on the disk.

        Raises NotesError when it is about no event of the log, or was not written: then nothing was.
        """
        if (note.about or 0) > self._binding.events:
            raise NotesError(f"the log has no event {note.about}", f"it has {self._binding.events}")
        chain, data = self._chain, b""
        if not self._begun:
            first = _line(self._stamped(self._binding, chain, 1))
            chain, data = digest(first), first + b"\n"
        kept = self._stamped(note, chain, len(self._notes) + 2)
        line = _line(kept)
        data += line + b"\n"
        if self._size + len(data) > MOST_BYTES:
            raise NotesError(f"{self.file} is full", "begin other notes with another file")
        try:
            self._write(data)
        except OSError as error:
            raise self._unwritable(error) from error
        self._begun, self._chain, self._size = True, digest(line), self._size + len(data)
        self._notes.append(kept)
        return kept

    def _stamped(self, line: T, chain: str, seq: int) -> T:
        now = self._clock()
        now = now.replace(microsecond=now.microsecond // 1000 * 1000)  # as it is written
        line = line.model_copy(update={"prev": chain, "seq": seq, "time": now})
        if self._key is None:
            return line
        named = line.model_copy(update={"signed_by": self._key.public})
        return named.model_copy(update={"signature": self._key.sign(signed_bytes(named))})

    def _write(self, data: bytes) -> None:
        """All of it or nothing: what the disk did not take whole is cut off again, at the latest before the next."""
        descriptor = open_to_write(self.file, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
        try:
            if self._torn:
                os.ftruncate(descriptor, self._size)
            if os.fstat(descriptor).st_size != self._size:
                raise OSError(errno.EBUSY, "somebody else has written there")
            self._torn = True
            try:
                write_all(descriptor, data)
            except OSError:
                with suppress(OSError):
                    os.ftruncate(descriptor, self._size)
                raise
            if not self._begun:
                sync_folder(self.file.parent)
            self._torn = False
        finally:
            os.close(descriptor)

    def _unwritable(self, error: OSError) -> NotesError:
        return NotesError(
            f"the notes {self.file} cannot be written: {error.strerror}",
            "free space, or give another file; what was acknowledged before is safe",
        )

    def close(self) -> None:
        """Let others write."""
        self._lock.release()

    def __enter__(self) -> NotesWriter:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def _line(line: Binding | Note) -> bytes:
    return canonical(line.model_dump(mode="json"))
