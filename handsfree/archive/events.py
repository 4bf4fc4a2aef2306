"""What is asked of the events of a log, read fast: the only module that imports msgspec.

These are the events of `handsfree.journal.events` with the fields that matter to a class; what else a line holds is
passed over without being kept, and takes no time.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise
from typing import Annotated, Literal, get_args

import msgspec

from handsfree.journal.events import VERSION

Truth = Literal["sound", "odd", "defect"]
Kind = Literal["pass", "finding", "value"]
Understood = Literal["pass", "finding", "value", "control", "ask", "none"]
Standing = Literal["stands", "replaced", "withdrawn", "repeat"]


class Event(msgspec.Struct, tag_field="type", frozen=True, gc=False):
    """What every event carries."""

    v: Annotated[int, msgspec.Meta(ge=1, le=VERSION)]
    seq: int
    offset_s: float


class AtItem(Event, frozen=True, gc=False):
    """An event that may belong to an item."""

    item: str | None


class Opened(Event, frozen=True, tag="opened"):
    """A walk starts; logs of earlier versions know of no practice."""

    time: str
    checklist: str
    who: str
    registration: str
    practice: Literal["", "guided", "scenes", "memory"] = ""
    exercise: str = ""


class Slots(msgspec.Struct, frozen=True, gc=False):
    """Of what a meaning says only which control it is, and which finding."""

    control: str = ""
    finding: str = ""


class Clause(msgspec.Struct, frozen=True, gc=False):
    """The meaning of one clause."""

    slots: Slots


class Heard(AtItem, frozen=True, tag="heard"):
    """An utterance."""

    moment: str
    outcome: Understood
    said: str
    meanings: tuple[Clause, ...]


class Identity(Event, frozen=True, tag="identity"):
    """Who inspects which aircraft."""

    who: str
    registration: str


class Asked(AtItem, frozen=True, tag="asked"):
    """An item is asked."""


class Answer(AtItem, frozen=True, tag="answer"):
    """A new answer."""

    zone: str | None
    """That of its item."""
    number: int
    kind: Kind
    place: str | None
    elsewhere: bool
    meaning: Slots


class AnswerChanged(Event, frozen=True, tag="answer_changed"):
    """An answer stands, or does not any more."""

    number: int
    standing: Standing


class Left(AtItem, frozen=True, tag="left"):
    """An item is left for later."""


class Servicing(Event, frozen=True, tag="servicing"):
    """Servicing was reported; these items are asked again."""

    items: tuple[str, ...]


class Sight(AtItem, frozen=True, tag="sight"):
    """What a trainee is told is to be seen, and what is true of it."""

    zone: str | None
    scene: str
    truth: Truth
    findings: tuple[str, ...]
    difficulty: Annotated[int, msgspec.Meta(ge=0, le=9)]


class Helped(AtItem, frozen=True, tag="helped"):
    """A trainee asked for help and got it."""


class Ended(Event, frozen=True, tag="ended"):
    """The walk is over."""

    outcome: Literal["complete", "incomplete"]
    open_items: tuple[str, ...]


class Resumed(Event, frozen=True, tag="resumed"):
    """The walk goes on after the program was started again."""


class Said(Event, frozen=True, tag="said"):
    """The tool spoke."""


class Silence(Event, frozen=True, tag="silence"):
    """Nobody was heard."""


class Condition(Event, frozen=True, tag="condition"):
    """An answer to a question at the start."""


class Zone(Event, frozen=True, tag="zone"):
    """The walk enters a zone."""

    zone: str | None


class Hold(Event, frozen=True, tag="hold"):
    """A hold is confirmed, or it is undone."""


class StandBy(Event, frozen=True, tag="stand_by"):
    """A stand by begins or ends."""


class Interrupted(Event, frozen=True, tag="interrupted"):
    """An exercise interrupts the trainee."""


class Returned(Event, frozen=True, tag="returned"):
    """The trainee said where to go on."""


class Trouble(Event, frozen=True, tag="trouble"):
    """Something went wrong with sound or disk."""


class Paused(Event, frozen=True, tag="paused"):
    """The program stopped before the walk was over."""


class Decision(Event, frozen=True, tag="decision"):
    """What the person decided."""


AnyEvent = (
    Opened
    | Heard
    | Identity
    | Asked
    | Answer
    | AnswerChanged
    | Left
    | Servicing
    | Sight
    | Helped
    | Ended
    | Resumed
    | Said
    | Silence
    | Condition
    | Zone
    | Hold
    | StandBy
    | Interrupted
    | Returned
    | Trouble
    | Paused
    | Decision
)
KINDS = get_args(AnyEvent)
_DECODER: msgspec.json.Decoder[AnyEvent] = msgspec.json.Decoder(AnyEvent)


class _Timed(msgspec.Struct, frozen=True, gc=False):
    """Of an event only its time."""

    time: str


_TIMES: msgspec.json.Decoder[_Timed] = msgspec.json.Decoder(_Timed)


_BROKEN = (msgspec.MsgspecError, UnicodeDecodeError, RecursionError)


class BrokenLogError(Exception):
    """A log is not what this program writes; the text says where and how."""


@dataclass(frozen=True, slots=True)
class Log:
    """The events of a log, what was cut off at its end left out."""

    opened: Opened
    events: list[AnyEvent]
    """All of them."""
    began: datetime
    seconds: float
    """From the first event to the last, as `handsfree.debrief.summary.elapsed_s` counts: by the clock that never jumps,
    which starts anew with each program; between two programs only the time of day is known."""


def read_log(data: bytes) -> Log:
    """Read the bytes of a log.

    Whether a line follows the one before is not looked at: that is what ``handsfree verify`` does.  Raises
    BrokenLogError for a log that `handsfree.journal.reader.read` would not read either.
    """
    whole, newline, rest = data.rpartition(b"\n")
    try:
        events = _DECODER.decode_lines(whole + newline)
    except _BROKEN as error:
        raise BrokenLogError(_first_broken(whole)) from error
    if len(events) != data.count(b"\n"):  # lines in which there is nothing are passed over
        raise BrokenLogError(_first_broken(whole))
    if rest:
        with suppress(*_BROKEN):  # what was cut off was never acknowledged
            events.append(_DECODER.decode(rest))
    if not events:
        raise BrokenLogError("it holds no event")
    opened = events[0]
    if not isinstance(opened, Opened):
        raise BrokenLogError("line 1 does not say how the walk was opened")
    _refuse_gaps(events)
    return Log(opened, events, _time(opened.time, 1), _elapsed_s(events, data))


def _first_broken(whole: bytes) -> str:
    for number, line in enumerate(whole.split(b"\n"), start=1):
        try:
            _DECODER.decode(line)
        except _BROKEN as error:
            return f"line {number} is not an event of this format ({error})"
    return "it is not a log of this format"


def _refuse_gaps(events: Sequence[AnyEvent]) -> None:
    """Each event has the number of its line."""
    numbers = [event.seq for event in events]
    if numbers != list(range(1, len(events) + 1)):
        due, found = next((due, found) for due, found in enumerate(numbers, start=1) if due != found)
        raise BrokenLogError(f"line {due} has the number {found}: lines were removed, repeated or reordered")


def _elapsed_s(events: Sequence[AnyEvent], data: bytes) -> float:
    """How long a walk took."""
    offsets = [event.offset_s for event in events]
    if offsets == sorted(offsets) and Resumed not in set(map(type, events)):  # one program wrote it
        return offsets[-1] - offsets[0]
    lines = data.split(b"\n")
    seconds = 0.0
    for number, (before, after) in enumerate(pairwise(events), start=1):
        if isinstance(after, Resumed) or after.offset_s < before.offset_s:
            earlier, later = (_time(_TIMES.decode(lines[at]).time, at + 1) for at in (number - 1, number))
            seconds += max(0.0, (later - earlier).total_seconds())
        else:
            seconds += after.offset_s - before.offset_s
    return seconds


def _time(text: str, number: int) -> datetime:
    """In UTC, as the reader has it."""
    try:
        time = datetime.fromisoformat(text)
        if time.tzinfo is not None:
            return time.astimezone(UTC)
    except (ValueError, OverflowError) as error:
        raise BrokenLogError(f"line {number} has no time") from error
    raise BrokenLogError(f"line {number} has a time that is not said to be UTC")
