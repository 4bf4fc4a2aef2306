"""The events of a log: one JSON object a line, flat, versioned, each chained to the one before.

Inputs (``opened``, ``heard``, ``silence``, ``resumed``) are enough to replay a walk; the other events are what followed
from them, written out so that a log can be read without this program.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, AwareDatetime, BaseModel, ConfigDict, Field, TypeAdapter, field_serializer

from handsfree.checklist.models import Practice, Severity

VERSION: Final = 5
CHAINED_SINCE: Final = 2
"""The first version whose lines are canonical and chained."""
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def _in_utc(time: datetime) -> datetime:
    """The time, if it is one in UTC too: there is none before the year 1."""
    try:
        time.astimezone(UTC)
    except OverflowError as error:
        raise ValueError("there is no such time in UTC") from error
    return time


Utc = Annotated[AwareDatetime, AfterValidator(_in_utc)]
"""A time that can be written in UTC."""


class JournalEvent(BaseModel):
    """What every event carries; the writer sets the first five fields."""

    # Every line holds every field, and the schema says so.  RFC 8785 has no way to write a number that is none.
    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, json_schema_serialization_defaults_required=True
    )

    v: Literal[5] = VERSION
    """Version of the format."""
    prev: str = ""
    """SHA-256 of the line before, without its newline; of the first line of this version, of all bytes before it.
    Empty in an event that was read from a log of version 1."""
    seq: Annotated[int, Field(ge=0)] = 0
    """1, 2, 3 … without gaps."""
    time: Utc = _EPOCH
    """UTC, RFC 3339 with milliseconds."""
    offset_s: float = 0.0
    """Seconds since the program that wrote this line opened the log, by a clock that never jumps."""
    zone: str | None = None
    item: str | None = None

    @field_serializer("time")
    def _rfc_3339(self, time: datetime) -> str:
        return rfc3339(time)


class Opened(JournalEvent):
    """A walk starts.  Input."""

    type: Literal["opened"] = "opened"
    tool: str
    """Name and version of the program."""
    checklist: str
    checklist_sha256: str
    """Of the copy that lies beside the log."""
    language: str = "en"
    """Of the checklist's, the one that was walked in: ISO 639-1."""
    source: Literal["microphone", "file", "typed", "synthetic"]
    who: str = ""
    registration: str = ""
    full_prompts: bool = False
    level_check: bool = True
    conditions: dict[str, bool] = {}
    """Questions at the start that were answered before the walk, by their ids."""
    keep_clips: bool = True
    """Whether the sound of what is answered is kept."""
    signed_by: str | None = None
    """The public key with which the seal will be signed (Ed25519, base64); null = not signed."""
    practice: Practice = ""
    """How a trainee practises; empty = a walk round a real aircraft."""
    exercise: str = ""
    """What is practised with; empty = none."""
    exercise_sha256: str = ""
    """Of the copy that lies beside the log."""


class Clip(BaseModel):
    """A piece of sound beside the log."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    file: str
    """Path relative to the log's folder."""
    sha256: str
    seconds: float


class HeardAlternative(BaseModel):
    """Another reading of the same sound."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    words: str
    score: float


class HeardMeaning(BaseModel):
    """The meaning of one clause."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    outcome: Literal["pass", "finding", "value", "control"]
    slots: dict[str, str]


class HeardEvent(JournalEvent):
    """An utterance, understood or not.  Input."""

    type: Literal["heard"] = "heard"
    moment: str
    """What the tool was waiting for."""
    outcome: Literal["pass", "finding", "value", "control", "ask", "none"]
    said: str
    meanings: tuple[HeardMeaning, ...]
    confidence: float
    snr_db: float | None
    """Speech over noise."""
    noise_dbfs: float | None = None
    """The surroundings, 0 = the loudest possible."""
    too_loud: bool = False
    """Nothing certain was understood, and the speech stood hardly over the noise."""
    lost_sound: bool = False
    """A piece of the sound never came from the microphone."""
    decided_after_s: float | None
    alternatives: tuple[HeardAlternative, ...]
    why: str
    clip: Clip | None


class SilenceEvent(JournalEvent):
    """Nobody was heard for as long as the tool waits.  Input."""

    type: Literal["silence"] = "silence"
    noise_dbfs: float | None = None
    too_loud: bool = False
    """Speech could not have been heard in this noise."""
    lost_sound: bool = False


class ResumedEvent(JournalEvent):
    """The walk goes on after the program was started again.  Input."""

    type: Literal["resumed"] = "resumed"
    tool: str


class Said(JournalEvent):
    """The tool spoke, and finished or was cut short."""

    type: Literal["said"] = "said"
    text: str
    seconds: float


class Identity(JournalEvent):
    """Who inspects which aircraft."""

    type: Literal["identity"] = "identity"
    who: str
    registration: str


class ConditionEvent(JournalEvent):
    """An answer to a question at the start."""

    type: Literal["condition"] = "condition"
    condition: str
    holds: bool
    assumed: bool


class ZoneEvent(JournalEvent):
    """The walk enters a zone."""

    type: Literal["zone"] = "zone"


class Asked(JournalEvent):
    """An item is asked."""

    type: Literal["asked"] = "asked"


class AnswerEvent(JournalEvent):
    """A new answer; ``item`` is the item that it belongs to, or null for a finding at a place."""

    type: Literal["answer"] = "answer"
    number: int
    kind: Literal["pass", "finding", "value"]
    place: str | None
    elsewhere: bool
    words: str
    meaning: dict[str, str]
    description: str
    severity: Severity | None
    ata: str | None


class AnswerChanged(JournalEvent):
    """An earlier answer was confirmed, replaced, withdrawn or opened again; the answer itself stays."""

    type: Literal["answer_changed"] = "answer_changed"
    number: int
    confirmed: bool | None
    standing: Literal["stands", "replaced", "withdrawn", "repeat"]


class Left(JournalEvent):
    """An item is left for later."""

    type: Literal["left"] = "left"
    reason: Literal["asked", "not understood", "unable", "next zone"]


class HoldEvent(JournalEvent):
    """A hold is confirmed, or it is undone."""

    type: Literal["hold"] = "hold"
    hold: str
    active: bool


class StandBy(JournalEvent):
    """A stand by begins or ends."""

    type: Literal["stand_by"] = "stand_by"
    active: bool


class Servicing(JournalEvent):
    """Servicing was reported; these items are asked again."""

    type: Literal["servicing"] = "servicing"
    items: tuple[str, ...]


class Sight(JournalEvent):
    """In an exercise the trainee was told what is to be seen here; ``item`` is null for a place where no item asks."""

    type: Literal["sight"] = "sight"
    scene: str
    """The scene's id in the exercise."""
    text: str
    truth: Literal["sound", "odd", "defect"]
    """What is to be decided here: only a defect is to be reported."""
    findings: tuple[str, ...]
    """What names the defect rightly; empty = any finding does."""
    difficulty: int
    """1 to 3."""


class Helped(JournalEvent):
    """A trainee asked for help and got it."""

    type: Literal["helped"] = "helped"
    help: Literal[
        "why",
        "what bad looks like",
        "what to look for",
        "what comes next",
        "what is left",
        "where",
        "what was left out",
    ]


class Interrupted(JournalEvent):
    """An exercise interrupts the trainee; ``item`` is where."""

    type: Literal["interrupted"] = "interrupted"
    kind: Literal["call", "servicing"]
    text: str


class Returned(JournalEvent):
    """After an interruption the trainee said where to go on: ``item`` (null = a place that is none)."""

    type: Literal["returned"] = "returned"
    due: str
    """The item that was being asked when the interruption came."""


class Trouble(JournalEvent):
    """Something went wrong with sound or disk."""

    type: Literal["trouble"] = "trouble"
    message: str


class Paused(JournalEvent):
    """The program stopped before the walk was over; it can be resumed."""

    type: Literal["paused"] = "paused"
    reason: str


class Ended(JournalEvent):
    """The walk is over."""

    type: Literal["ended"] = "ended"
    outcome: Literal["complete", "incomplete"]
    open_items: tuple[str, ...]
    holds: tuple[str, ...]


class Decision(JournalEvent):
    """What the person decided, recorded as theirs."""

    type: Literal["decision"] = "decision"
    who: str
    decision: str
    words: str


AnyEvent = Annotated[
    Opened
    | HeardEvent
    | SilenceEvent
    | ResumedEvent
    | Said
    | Identity
    | ConditionEvent
    | ZoneEvent
    | Asked
    | AnswerEvent
    | AnswerChanged
    | Left
    | HoldEvent
    | StandBy
    | Servicing
    | Sight
    | Helped
    | Interrupted
    | Returned
    | Trouble
    | Paused
    | Ended
    | Decision,
    Field(discriminator="type"),
]
EVENTS: TypeAdapter[AnyEvent] = TypeAdapter(AnyEvent)
"""Reads any event from a dictionary or JSON text."""
SCHEMA_FILE = Path(__file__).parent / "log.schema.json"


def rfc3339(time: datetime) -> str:
    """RFC 3339 in UTC with milliseconds: ``1985-04-12T23:20:50.520Z``."""
    return time.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def schema() -> dict[str, Any]:
    """The published JSON Schema of one line."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "One line of the log of a walk",
        **EVENTS.json_schema(mode="serialization"),
    }


def schema_text() -> str:
    """What `log.schema.json` must hold."""
    return json.dumps(schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    SCHEMA_FILE.write_text(schema_text(), encoding="utf-8")
