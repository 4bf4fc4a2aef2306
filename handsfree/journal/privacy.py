"""Voices are personal data: removing them, soon or when their time is over, and saying what stays.

The events stay and can be verified without the sound, because each holds the hash of its clip.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from handsfree.journal.errors import JournalError
from handsfree.journal.events import HeardEvent
from handsfree.journal.lock import WriterLock
from handsfree.journal.reader import CLIPS, is_begun, log_file, read

KEPT_DAYS = 90
"""How long clips of a finished walk are kept when nothing else is said: long enough to settle a question about a flight
and for an instructor to go through a course; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What was removed, and what stays."""

    clips: int
    seconds: float
    """Of sound."""
    words: int
    """Utterances whose words and meanings stay in the log."""
    who: str
    """Initials or name, which stay."""


def forget(path: Path) -> Forgotten:
    """Remove every clip of a walk.

    Raises JournalError when there is no walk, a program is writing it, or a clip cannot be removed.
    """
    folder = log_file(path).parent
    journal = read(path)
    heard = [event for event in journal.events if isinstance(event, HeardEvent)]
    lengths = {event.clip.file: event.clip.seconds for event in heard if event.clip}
    who = next((event.who for event in reversed(journal.events) if event.type == "identity"), "")
    lock = _locked(folder)
    removed: list[float] = []
    try:
        for file in _clips(folder):
            file.unlink()
            removed.append(lengths.get(f"{CLIPS}/{file.name}", 0.0))
    except OSError as error:
        left = sum(1 for _ in _clips(folder))
        raise JournalError(
            f"{left} clips in {folder / CLIPS} cannot be removed: {error.strerror}", "see who owns that folder"
        ) from error
    finally:
        lock.release()
    return Forgotten(len(removed), round(sum(removed), 3), len(heard), who)


def _locked(folder: Path) -> WriterLock:
    try:
        return WriterLock(folder)
    except OSError as error:
        raise JournalError(
            f"the clips in {folder / CLIPS} cannot be removed: {error.strerror}", "see who owns that folder"
        ) from error


def forget_old(walks: Path, days: float, now: datetime | None = None) -> list[Path]:
    """Remove the clips of finished walks that are older; the walks whose clips went.

    What cannot be read or removed is left alone: it must not keep a new walk from beginning.
    """
    before = (now or datetime.now(UTC)) - timedelta(days=days)
    gone: list[Path] = []
    for folder in sorted(walks.iterdir()) if walks.is_dir() else ():
        with suppress(JournalError, OSError):
            if not is_begun(folder) or not any(True for _ in _clips(folder)):
                continue
            journal = read(folder)
            if journal.ended and journal.events[-1].time < before:
                forget(folder)
                gone.append(folder)
    return gone


def _clips(folder: Path) -> Iterator[Path]:
    """The sound files in the folder of clips; a link is removed as a link, and never followed."""
    clips = folder / CLIPS
    if clips.is_symlink() or not clips.is_dir():
        return
    yield from sorted(one for one in clips.iterdir() if one.suffix == ".wav" and (one.is_symlink() or one.is_file()))
