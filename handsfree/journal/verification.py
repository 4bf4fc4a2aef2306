"""Whether a log is what was written: every line, the seal, the signature, the checklist and the clips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, get_args

from handsfree.journal.anchor import Anchor
from handsfree.journal.clips import CLIP_NAME, MOST_OF_A_CLIP
from handsfree.journal.disk import digest_of
from handsfree.journal.errors import JournalError
from handsfree.journal.events import CHAINED_SINCE, HeardEvent
from handsfree.journal.lines import digest, is_canonical
from handsfree.journal.migration import version_of
from handsfree.journal.reader import (
    CHECKLIST_NAME,
    CLIPS,
    EXERCISE_NAME,
    MOST_OF_A_CHECKLIST,
    AlteredError,
    Journal,
    log_file,
    parse,
    raw_log,
)
from handsfree.journal.seal import BrokenSealError, Seal, is_sealed, read_seal

State = Literal["intact", "unsealed", "cut short", "altered", "wrongly signed"]
STATES: tuple[State, ...] = get_args(State)


@dataclass(frozen=True)
class Verified:
    """What was found."""

    state: State
    events: int
    why: str
    """In a sentence; empty when it is intact."""
    altered_at: int | None = None
    """The number of the first event that is not as it was written, where it is known."""
    signed_by: str | None = None
    """The public key whose owner signed the seal, when the signature is good."""
    clips_kept: int = 0
    clips_removed: int = 0
    """Clips that were deleted; their events stay, and prove nothing less."""
    notes: tuple[str, ...] = ()


@dataclass
class _Found:
    """What is known while a log is looked at."""

    journal: Journal
    raw: bytes
    lines: list[bytes]
    seal: Seal | None
    kept: int = 0
    removed: int = 0
    notes: list[str] = field(default_factory=list[str])

    def verified(self, state: State, why: str = "", at: int | None = None) -> Verified:
        signed = self.seal.signed_by if self.seal and state in ("intact", "cut short", "altered") else None
        if signed and not (self.seal and self.seal.is_signed_well):
            signed = None
        return Verified(state, len(self.journal.events), why, at, signed, self.kept, self.removed, tuple(self.notes))


def verify(path: Path, anchors: Sequence[Anchor] = (), signer: str | None = None) -> Verified:
    """Look at every byte of a walk's folder, given it or its log.

    ``anchors`` were written down before, ``signer`` is the public key that must have signed.  Raises JournalError when
    there is no log.
    """
    file = log_file(path)
    raw = raw_log(file)
    try:
        journal = parse(file, raw)
        seal = read_seal(file.parent)
    except AlteredError as error:
        return Verified("altered", error.event - 1, error.what, altered_at=error.event)
    except BrokenSealError as error:
        return Verified("altered", 0, error.message)
    except JournalError:
        if not is_sealed(file.parent):
            raise
        return Verified("cut short", 0, "it was sealed, and holds no event any more")
    found = _Found(journal, raw, raw.split(b"\n")[: len(journal.events)], seal)
    if journal.torn:
        found.notes.append(f"half a line at its end ({len(journal.torn)} bytes) was never acknowledged")
    for look in (_every_line, _against_anchors, _what_was_walked_with, _the_clips, _against_seal):
        verified = look(found, anchors)
        if verified is not None:
            return verified
    return _signature(found, signer)


def _every_line(found: _Found, _: Sequence[Anchor]) -> Verified | None:
    """Each line is the only way to write what it says."""
    for number, line in enumerate(found.lines, start=1):
        if version_of(line) >= CHAINED_SINCE and not is_canonical(line):
            return found.verified("altered", "it was not written so by this program", number)
    return None


def _against_anchors(found: _Found, anchors: Sequence[Anchor]) -> Verified | None:
    for anchor in sorted(anchors, key=lambda one: one.events):
        if anchor.events > len(found.lines):
            held = f"it held {anchor.events} events when the code {anchor.written} was given"
            return found.verified("cut short", held)
        if not anchor.fits(found.lines[anchor.events - 1]):
            return found.verified("altered", f"up to event {anchor.events} it is not what {anchor.written} stands for")
    return None


def _what_was_walked_with(found: _Found, _: Sequence[Anchor]) -> Verified | None:
    opened = found.journal.opened
    copies = ((CHECKLIST_NAME, opened.checklist_sha256), (EXERCISE_NAME, opened.exercise_sha256)) if opened else ()
    for name, expected in copies:
        if not expected:
            continue
        try:
            if digest_of(found.journal.folder / name, MOST_OF_A_CHECKLIST) != expected:
                return found.verified("altered", f"{name} is not the one that was walked with")
        except FileNotFoundError:
            found.notes.append(f"{name} is not there any more")
        except OSError as error:
            return found.verified("altered", f"{name} is not what was walked with: {error.strerror}")
    return None


def _the_clips(found: _Found, _: Sequence[Anchor]) -> Verified | None:
    folder, named = found.journal.folder, set[str]()
    if (folder / CLIPS).is_symlink():
        return found.verified("altered", "the folder of its clips is a link to another")
    for event in found.journal.events:
        clip = event.clip if isinstance(event, HeardEvent) else None
        if clip is None:
            continue
        named.add(clip.file)
        if not CLIP_NAME.fullmatch(clip.file):
            return found.verified("altered", "it names a clip outside the folder of clips", event.seq)
        try:
            recorded = not (folder / clip.file).is_symlink() and digest_of(folder / clip.file, MOST_OF_A_CLIP)
        except FileNotFoundError:
            found.removed += 1
            continue
        except OSError:
            recorded = ""
        if recorded != clip.sha256:
            return found.verified("altered", f"the clip {clip.file} is not the one that was recorded", event.seq)
        found.kept += 1
    others = [one for one in sorted(folder.glob("clips/*")) if f"clips/{one.name}" not in named]
    if others:
        found.notes.append(f"{len(others)} files among the clips belong to no event")
    return None


def _against_seal(found: _Found, _: Sequence[Anchor]) -> Verified | None:
    seal, count = found.seal, len(found.lines)
    if seal is None:
        return None
    lacks_its_newline = count == seal.events and digest(found.raw + b"\n") == seal.log_sha256
    if count < seal.events or lacks_its_newline:
        return found.verified("cut short", f"{seal.events} events were sealed, {count} are left")
    if count > seal.events:
        return found.verified("altered", f"it was sealed with {seal.events} events", seal.events + 1)
    if digest(found.raw) != seal.log_sha256 or digest(found.lines[-1]) != seal.last_sha256:
        return found.verified("altered", "it is not what was sealed")
    return None


def _signature(found: _Found, signer: str | None) -> Verified:
    promised = found.journal.opened.signed_by if found.journal.opened else None
    seal = found.seal
    if seal is None:
        return found.verified("unsealed", _why_unsealed(found))
    if (seal.signed_by or seal.signature) and not seal.is_signed_well:
        return found.verified("wrongly signed", "the signature is not that of the key that is named")
    if promised is not None and seal.signed_by != promised:
        return found.verified("wrongly signed", "it was to be signed with another key")
    if signer is not None and seal.signed_by != signer:
        by = "with another key" if seal.signed_by else "by nobody"
        return found.verified("wrongly signed", f"it is signed {by}")
    return found.verified("intact")


def _why_unsealed(found: _Found) -> str:
    if version_of(found.lines[-1]) < CHAINED_SINCE:
        return "it was written before logs were chained and sealed"
    if found.journal.ended:
        return "the walk is over, but there is no seal: 'handsfree walk --resume' sets it"
    return "the walk is in progress, or was interrupted"
