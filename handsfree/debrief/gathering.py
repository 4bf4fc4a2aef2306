"""All that a debrief is made of: a log, what lies beside it, and the sound of what was said."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Final, Literal

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist
from handsfree.debrief.entries import Entry, entries
from handsfree.debrief.summary import Summary, summarise
from handsfree.debrief.timeline import Timeline, Utterance, rows_of, timeline
from handsfree.drill.attempt import Attempt, attempt_of
from handsfree.drill.exercise import load_exercise
from handsfree.journal import events as log
from handsfree.journal.belonging import refuse_what_is_not_in
from handsfree.journal.clips import clip_of
from handsfree.journal.errors import JournalError
from handsfree.journal.reader import CHECKLIST_NAME, EXERCISE_NAME, read
from handsfree.journal.verification import Verified, verify
from handsfree.soundfiles import UnreadableSoundError, compressed

MOST_SOUND: Final = 10_000_000
"""Characters of sound in a page.  With all else 15 MB, which most mail takes; common practice, no source."""

SoundState = Literal["kept", "removed", "altered", "unreadable", "left out"]
"""In the page; or why not: forgotten, not what was recorded, no sound at all, or too much of it for one page."""


@dataclass(frozen=True, slots=True)
class Sounds:
    """The sound of the utterances of a walk, by event number."""

    states: Mapping[int, SoundState]
    """Of every utterance whose sound was once kept."""
    mp3: Mapping[int, str]
    """Base64."""


@dataclass(frozen=True, slots=True)
class Debrief:
    """One walk, or one attempt, as it is talked through."""

    folder: Path
    checklist: Checklist
    opened: log.Opened | None
    summary: Summary
    timeline: Timeline
    entries: tuple[Entry, ...]
    attempt: Attempt | None
    """Of practice with an exercise."""
    record: Verified
    """Whether the log is what was written."""
    torn: int
    """Bytes of a last line that was cut off, and does not count."""


def gather(path: Path) -> Debrief:
    """Read a walk, given its folder or its log.

    Raises JournalError when there is no log, it is altered, or it is of another checklist than the one beside it;
    ChecklistError when that, or the exercise, cannot be read.
    """
    journal = read(path)
    checklist = load(journal.folder / CHECKLIST_NAME, journal.language)
    refuse_what_is_not_in(checklist, journal.events, journal.folder)
    opened, attempt = journal.opened, None
    if opened is not None and opened.exercise:
        attempt = attempt_of(journal.events, checklist, load_exercise(journal.folder / EXERCISE_NAME, checklist))
    return Debrief(
        folder=journal.folder,
        checklist=checklist,
        opened=opened,
        summary=summarise(journal.events, checklist),
        timeline=timeline(journal.events, checklist, attempt),
        entries=entries(journal.events, checklist),
        attempt=attempt,
        record=verify(path),
        torn=len(journal.torn),
    )


def gather_all(paths: Sequence[Path]) -> tuple[Debrief, ...]:
    """Several walks round the same aircraft, to be compared.  Raises as `gather` does, and for another checklist."""
    walks = tuple(gather(path) for path in paths)
    for one in walks[1:]:
        if one.checklist.id != walks[0].checklist.id:
            raise JournalError(
                f"{one.folder} is a walk with the checklist '{one.checklist.id}', not '{walks[0].checklist.id}'",
                "compare walks of one checklist",
            )
    return walks


def sounds_of(walk: Debrief, most: int = MOST_SOUND) -> Sounds:
    """What is beside the log of a walk; where it is too much, findings and what was asked again come first."""
    said = [row for _, row in rows_of(walk.timeline) if isinstance(row, Utterance) and row.clip is not None]
    said.sort(key=lambda one: (not one.marks & {"finding", "asked again"}, one.at.event))
    states: dict[int, SoundState] = {}
    mp3: dict[int, str] = {}
    with ThreadPoolExecutor() as pool:  # what makes them small lets other threads run meanwhile
        for row, (state, sound) in zip(said, pool.map(partial(_sound, walk.folder), said), strict=True):
            fits = len(sound) <= most
            states[row.at.event] = state if fits else "left out"
            if state == "kept" and fits:
                mp3[row.at.event] = sound
                most -= len(sound)
    return Sounds(states, mp3)


def _sound(folder: Path, row: Utterance) -> tuple[SoundState, str]:
    state, sound = clip_of(folder, row.clip)
    if state != "kept":
        return ("removed" if state == "none" else state), ""
    try:
        return "kept", base64.b64encode(compressed(sound)).decode()
    except UnreadableSoundError:
        return "unreadable", ""
