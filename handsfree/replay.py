"""A log as a walk again: its inputs through the same conversation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handsfree.book import Book
from handsfree.journal import events as log
from handsfree.journal.belonging import refuse_what_is_not_in
from handsfree.journal.errors import JournalError
from handsfree.journal.reader import Journal
from handsfree.language.heard import Alternative, Heard
from handsfree.language.meaning import Meaning
from handsfree.walk.events import Begin, Effect, Event, Pace, Resumed, Say, Silence, Spoken, Tone
from handsfree.walk.machine import expect
from handsfree.walk.state import WalkState


@dataclass(frozen=True, slots=True)
class CutOff:
    """A walk that was cut off, and where it was then."""

    state: WalkState
    missing: tuple[log.AnyEvent, ...]
    """The notes of its last turn that the log does not hold."""
    keep_clips: bool
    """Whether the sound of what is answered may be kept."""


def cut_off(book: Book, journal: Journal) -> CutOff:
    """Where the walk of a log was cut off, so that it can be gone on with.

    Raises JournalError for a log that nobody's walk round this checklist can have left: nothing is added to it.
    """
    refuse_what_is_not_in(book.checklist, journal.events, journal.folder)
    try:
        state, missing = replay(book, journal.events)
        ahead, _ = book.walk.step(state, Resumed())
        if ahead.moment != "ended":
            book.listening.vocabulary(expect(ahead))
    except Exception as error:
        raise JournalError(
            f"the walk in {journal.folder} cannot be gone on with: what was heard does not fit its checklist",
            "keep the folder as it is for whoever examines it, and begin a new walk with --log OTHER-FOLDER",
        ) from error
    return CutOff(state, tuple(missing), keep_clips=journal.opened is None or journal.opened.keep_clips)


def replay(book: Book, events: Sequence[log.AnyEvent]) -> tuple[WalkState, list[log.AnyEvent]]:
    """The state that a log's inputs lead to, and the notes of its last turn that the log does not hold."""
    state = WalkState()
    due: list[log.AnyEvent] = []
    for event in events:
        came = input_of(event)
        if came is not None:
            state, effects = book.walk.step(state, came)
            due = list(notes(book, effects))
        elif due and event.type == due[0].type:
            due.pop(0)
    return state, due


def notes(book: Book, effects: Sequence[Effect]) -> tuple[log.AnyEvent, ...]:
    """The journal events of a step's notes."""
    return tuple(_note_event(book, effect) for effect in effects if not isinstance(effect, Say | Tone | Pace))


def _note_event(book: Book, note: Effect) -> log.AnyEvent:
    fields = {name: getattr(note, name) for name in note.__dataclass_fields__}
    if fields.get("item") is not None:
        fields["zone"] = book.checklist.zone_of(fields["item"]).id
    if "meaning" in fields:
        fields["meaning"] = dict(fields["meaning"])
    return log.EVENTS.validate_python(fields)


def input_of(event: log.AnyEvent) -> Event | None:
    """What came into the walk, from its record; None for what only followed from it."""
    match event:
        case log.Opened():
            given = tuple(event.conditions.items())
            return Begin(event.who, event.registration, event.full_prompts, event.level_check, given)
        case log.HeardEvent():
            return Spoken(
                Heard(
                    outcome=event.outcome,
                    said=event.said,
                    meanings=tuple(Meaning.of(one.outcome, one.slots) for one in event.meanings),
                    confidence=event.confidence,
                    snr_db=event.snr_db,
                    noise_dbfs=event.noise_dbfs,
                    too_loud=event.too_loud,
                    lost_sound=event.lost_sound,
                    decided_after_s=event.decided_after_s,
                    alternatives=tuple(Alternative(one.words, one.score) for one in event.alternatives),
                    why=event.why,
                )
            )
        case log.SilenceEvent():
            return Silence(event.too_loud, event.lost_sound)
        case log.ResumedEvent():
            return Resumed()
        case _:
            return None
