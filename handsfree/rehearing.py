"""A walk's clips heard again by the present recogniser: what would be understood otherwise today.

What became of the ears since the walk, or of the grammars, shows here on the voices that they are for.  Each clip is
heard at its own moment: what could be said then is found by replaying the log up to it.
"""

from __future__ import annotations

import dataclasses
import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

import numpy as np
import typer
from numpy.typing import NDArray

from handsfree.book import Book, open_book
from handsfree.checklist.models import Checklist
from handsfree.hearing.ears import Ears
from handsfree.hearing.recogniser import RATE, Block, VoskRecogniser
from handsfree.journal import events as log
from handsfree.journal.clips import AlteredClipError, clip_of, read_clip
from handsfree.journal.errors import JournalError
from handsfree.journal.reader import Journal
from handsfree.language.heard import Heard, HeardOutcome, with_a_hole
from handsfree.language.vocabulary import Vocabulary
from handsfree.models_by_language import locate
from handsfree.replay import input_of
from handsfree.shown import harmless, json_line
from handsfree.speaking.sound import BrokenSoundError, wav_sound
from handsfree.walk.events import Spoken
from handsfree.walk.machine import expect
from handsfree.walk.state import WalkState

SAME, DIFFERENT = 0, 1
"""Exit codes."""
_ROOM_S = 1.0
"""Of the room before and after a clip, which was cut close: from it the ears learn how loud it is there."""
_END = round(0.3 * RATE)
"""Samples at either end of a clip in which nobody speaks yet, or any more."""
_SMOOTHED = 9
_BLOCK = 1600
_GOOD: frozenset[HeardOutcome] = frozenset({"pass", "value"})

Grave = Literal["a finding would pass", "a pass would be a finding", ""]
"""What is told first: a defect that would be lost, then one that was perhaps lost on the walk."""
GRAVE: tuple[Grave, ...] = ("a finding would pass", "a pass would be a finding", "")
"""In the order in which they are told."""


@dataclass(frozen=True, slots=True)
class Moment:
    """An utterance, and what could be said then."""

    event: log.HeardEvent
    then: Heard
    state: WalkState
    """Of the walk when it was said."""


@dataclass(frozen=True, slots=True)
class Difference:
    """An utterance that would be understood otherwise today."""

    event: int
    """Its number in the log."""
    item: str | None
    grave: Grave
    then: HeardOutcome
    then_words: str
    now: HeardOutcome
    now_words: str
    why: str
    """Of what is heard now, when it is in doubt."""
    clip: str


@dataclass(frozen=True, slots=True)
class Reheard:
    """What came of all clips."""

    heard: int
    """Clips that were heard again."""
    differences: tuple[Difference, ...]
    """The grave ones first, else in the order of the log."""
    removed: int
    """Clips that are not there any more."""
    altered: tuple[int, ...]
    """Events whose clip is not what was recorded, or no sound: they were not heard."""
    elsewhere: tuple[int, ...]
    """Events that the walk does not come to as it did: what could be said is not known, and they were not heard."""

    @property
    def same(self) -> bool:
        """Whether each clip that is there was understood as it was."""
        return not (self.differences or self.altered or self.elsewhere)


Hear = Callable[[NDArray[np.int16], Vocabulary], Heard]
"""A clip (16 kHz mono, with its room) at a moment's vocabulary."""


def rehear(
    book: Book, journal: Journal, hear: Hear, progress: Callable[[int, int], None] = lambda _done, _all: None
) -> Reheard:
    """Hear every clip of a log again; ``progress`` is told how many of how many are done.

    Raises JournalError for a log that nobody's walk round this checklist can have left.
    """
    differences: list[Difference] = []
    altered, elsewhere = list[int](), list[int]()
    heard = removed = 0
    with_clips = [one for one in _moments(book, journal) if one.event.clip and one.event.moment != "note"]
    for done, moment in enumerate(with_clips):
        progress(done, len(with_clips))
        if (moment.state.moment, moment.state.item) != (moment.event.moment, moment.event.item):
            elsewhere.append(moment.event.seq)
            continue
        try:
            sound = _sound(journal.folder, moment.event)
        except (AlteredClipError, BrokenSoundError):
            altered.append(moment.event.seq)
            continue
        if sound is None:
            removed += 1
            continue
        heard += 1
        now = hear(in_room(sound, moment.event.noise_dbfs), book.listening.vocabulary(expect(moment.state)))
        difference = compared(moment, with_a_hole(now) if moment.then.lost_sound else now)
        differences += [difference] if difference else []
    progress(len(with_clips), len(with_clips))
    differences.sort(key=lambda one: GRAVE.index(one.grave))
    return Reheard(heard, tuple(differences), removed, tuple(altered), tuple(elsewhere))


def _moments(book: Book, journal: Journal) -> tuple[Moment, ...]:
    try:
        return tuple(moments(book, journal))
    except Exception as error:
        raise JournalError(
            f"the clips in {journal.folder} cannot be heard again: what was heard does not fit its checklist",
            "keep the folder as it is for whoever examines it",
        ) from error


def moments(book: Book, journal: Journal) -> Iterator[Moment]:
    """Each utterance of a log, and the state that the inputs before it lead to."""
    state = WalkState()
    for event in journal.events:
        came = input_of(event)
        if came is None:
            continue
        if isinstance(event, log.HeardEvent) and isinstance(came, Spoken):
            yield Moment(event, came.heard, state)
        state, _ = book.walk.step(state, came)


def compared(moment: Moment, now: Heard) -> Difference | None:
    """What is different; None when the walk would take both for the same.

    That is the outcome and, but for what is in doubt anyway, the meaning; other words for the same are the same.
    """
    then, event = moment.then, moment.event
    if now.outcome == then.outcome and (now.outcome in ("ask", "none") or now.meanings == then.meanings):
        return None
    grave: Grave = ""
    if then.outcome == "finding" and now.outcome in _GOOD:
        grave = "a finding would pass"
    elif then.outcome in _GOOD and now.outcome == "finding":
        grave = "a pass would be a finding"
    why = now.why if now.outcome in ("ask", "none") else ""
    clip = event.clip.file if event.clip else ""
    return Difference(event.seq, event.item, grave, then.outcome, then.said, now.outcome, now.said, why, clip)


def in_room(clip: NDArray[np.int16], noise_dbfs: float | None) -> NDArray[np.int16]:
    """A clip (16 kHz mono) with a second of its room before and after: as loud as it was there, and of its colour.

    Steady noise with the spectrum of the clip's own ends, before and after what was said.  Of 286 answers by two
    voices, in quiet and in six noises at 20 to 5 dB, 280 were heard as on the walk, and none gravely otherwise; of 130
    at 10 dB 128 were so, with pink noise 125, with white 122, and with none at all 94.
    """
    count = round(_ROOM_S * RATE)
    if noise_dbfs is None:
        return np.pad(clip, count)
    ends = np.concatenate([clip[:_END], clip[-_END:]]).astype(np.float64)
    amplitudes = np.abs(np.fft.rfft(ends * np.hanning(len(ends)), 2 * _END)) + 1e-3  # an end may be pure silence
    smooth = np.convolve(amplitudes, np.ones(_SMOOTHED) / _SMOOTHED, mode="same")
    colour = np.interp(np.linspace(0.0, 1.0, count + 1), np.linspace(0.0, 1.0, len(smooth)), smooth)
    phases = np.exp(2j * np.pi * np.random.default_rng(1).random(len(colour)))
    noise = np.fft.irfft(colour * phases, 2 * count)
    noise *= 32768.0 * 10.0 ** (min(0.0, noise_dbfs) / 20.0) / np.sqrt(np.mean(noise**2))
    before, after = np.split(np.clip(np.rint(noise), -32768, 32767).astype(np.int16), 2)
    return np.concatenate([before, clip, after])


def _sound(folder: Path, event: log.HeardEvent) -> NDArray[np.int16] | None:
    """The samples of an event's clip; None when it was removed.  Raises AlteredClipError, BrokenSoundError."""
    data = read_clip(folder, event.clip) if event.clip else None
    if data is None:
        return None
    return wav_sound(io.BytesIO(data), "the clip").at_rate(RATE).samples


def present_ears(language: str, model: Path | None) -> Hear:
    """The present recogniser, with ears of each clip's own: what is learnt of one must not change the next."""
    path = locate(language, model).path
    load = cache(VoskRecogniser)  # the model is loaded once

    def hear(sound: NDArray[np.int16], vocabulary: Vocabulary) -> Heard:
        return Ears(path, load=load).listen(_blocks(sound), vocabulary, patience_s=None).heard

    return hear


def _blocks(sound: NDArray[np.int16]) -> Iterator[Block]:
    return (sound[start : start + _BLOCK] for start in range(0, len(sound), _BLOCK))


# ---- the command


def report(journal: Journal, checklist: Checklist, model: Path | None, *, as_json: bool) -> int:
    """Hear a walk's clips again and print what is different; the exit code.

    Raises JournalError when there is no clip to be heard, or the log cannot have been a walk round its checklist.
    """
    _refuse_without_clips(journal)
    hear = present_ears(checklist.language, model)
    try:
        found = rehear(open_book(journal), journal, hear, _progress)
    finally:
        typer.echo(err=True)
    if as_json:
        for one in found.differences:
            typer.echo(json_line(dataclasses.asdict(one)))
        typer.echo(json_line(_counts(found)))
    else:
        names = {item.id: item.name for item in checklist.items()}
        typer.echo("\n".join(map(harmless, as_text(found, names))))
    return SAME if found.same else DIFFERENT


def _refuse_without_clips(journal: Journal) -> None:
    """Nothing that was heard again is not the same as nothing that was different."""
    clips = [one.clip for one in journal.events if isinstance(one, log.HeardEvent) and one.clip]
    if all(clip_of(journal.folder, clip)[0] == "removed" for clip in clips):
        why = f"all {len(clips)} were removed" if clips else "none was kept"
        raise JournalError(f"there is no clip in {journal.folder} to be heard: {why}", "give a walk that has its clips")


def as_text(found: Reheard, names: dict[str, str]) -> list[str]:
    """For people: what is different, the grave first, then how many are not."""
    lines: list[str] = []
    for grave in GRAVE:
        some = [one for one in found.differences if one.grave == grave]
        if some:
            lines += [f"{grave or 'otherwise'}: {len(some)}".capitalize(), *(_line(one, names) for one in some), ""]
    same = found.heard - len(found.differences)
    lines.append(f"{found.heard} clips heard again: {same} the same, {len(found.differences)} otherwise.")
    if found.removed:
        lines.append(f"{found.removed} clips were removed and cannot be heard.")
    if found.altered:
        lines.append(f"Not as they were recorded (see handsfree verify), at event {_numbers(found.altered)}.")
    if found.elsewhere:
        at = _numbers(found.elsewhere)
        lines.append(f"The walk comes by another way today; what could be said is not known at event {at}.")
    return lines


def _line(one: Difference, names: dict[str, str]) -> str:
    where = names.get(one.item, one.item) if one.item else "opening"
    now = f'{one.now} "{one.now_words}"' + (f" ({one.why})" if one.why else "")
    return f'  event {one.event}, {where}: {one.then} "{one.then_words}" -> {now}  [{one.clip}]'


def _numbers(events: tuple[int, ...]) -> str:
    return ", ".join(map(str, events))


def _counts(found: Reheard) -> dict[str, Any]:
    return {
        "heard": found.heard,
        "different": len(found.differences),
        "removed": found.removed,
        "altered": found.altered,
        "elsewhere": found.elsewhere,
    }


def _progress(done: int, of: int) -> None:
    typer.echo(f"\rheard again: {done} of {of}", nl=False, err=True)
