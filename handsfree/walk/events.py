"""What comes into the conversation, and what comes out of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from handsfree.language.heard import Heard
from handsfree.walk.state import Moment

# ---- in


@dataclass(frozen=True, slots=True)
class Begin:
    """The walk starts."""

    who: str = ""
    """Empty = ask."""
    registration: str = ""
    """Empty = ask."""
    full_prompts: bool = False
    level_check: bool = True
    """Whether to ask for a spoken level check first (not when typed)."""
    given: tuple[tuple[str, bool], ...] = ()
    """Questions at the start that are answered already, by their ids; those are not asked."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """The inspector said or typed something."""

    heard: Heard


@dataclass(frozen=True, slots=True)
class Silence:
    """Nothing was heard for as long as the session waits."""

    too_loud: bool = False
    """In noise in which speech could not have been heard."""
    lost_sound: bool = False
    """A piece of the sound never came from the microphone."""


@dataclass(frozen=True, slots=True)
class Resumed:
    """The tool was started again on a walk that was cut off."""


Event = Begin | Spoken | Silence | Resumed

# ---- out: acts


@dataclass(frozen=True, slots=True)
class Say:
    """Speak a text."""

    text: str


@dataclass(frozen=True, slots=True)
class Tone:
    """Sound a short tone."""

    kind: Literal["heard", "not_heard", "finding", "done"]


@dataclass(frozen=True, slots=True)
class Pace:
    """Speak slower, or at the usual rate again."""

    slow: bool


# ---- out: notes, which the journal keeps.  Each class's ``type`` is the journal's event type.


@dataclass(frozen=True, slots=True)
class IdentityNote:
    """Who inspects which aircraft."""

    who: str
    registration: str
    type: Literal["identity"] = "identity"


@dataclass(frozen=True, slots=True)
class ConditionNote:
    """An answer to a question at the start."""

    condition: str
    holds: bool
    assumed: bool
    """True when the answer was not understood and the careful side was taken."""
    type: Literal["condition"] = "condition"


@dataclass(frozen=True, slots=True)
class ZoneNote:
    """The walk enters a zone."""

    zone: str
    type: Literal["zone"] = "zone"


@dataclass(frozen=True, slots=True)
class AskedNote:
    """An item is asked."""

    item: str
    type: Literal["asked"] = "asked"


@dataclass(frozen=True, slots=True)
class AnswerNote:
    """A new answer."""

    number: int
    kind: Literal["pass", "finding", "value"]
    item: str | None
    place: str | None
    elsewhere: bool
    words: str
    meaning: tuple[tuple[str, str], ...]
    description: str
    """The finding or the answer in plain words."""
    severity: str | None
    ata: str | None
    type: Literal["answer"] = "answer"


@dataclass(frozen=True, slots=True)
class AnswerChangedNote:
    """An answer was confirmed, replaced, withdrawn or opened again."""

    number: int
    confirmed: bool | None
    standing: Literal["stands", "replaced", "withdrawn", "repeat"]
    type: Literal["answer_changed"] = "answer_changed"


@dataclass(frozen=True, slots=True)
class LeftNote:
    """An item is left for later."""

    item: str
    reason: Literal["asked", "not understood", "unable", "next zone"]
    type: Literal["left"] = "left"


@dataclass(frozen=True, slots=True)
class HoldNote:
    """A hold is confirmed, or it is undone."""

    hold: str
    active: bool
    type: Literal["hold"] = "hold"


@dataclass(frozen=True, slots=True)
class StandByNote:
    """A stand by begins or ends."""

    active: bool
    type: Literal["stand_by"] = "stand_by"


@dataclass(frozen=True, slots=True)
class ServicingNote:
    """Servicing was reported; these items are asked again."""

    items: tuple[str, ...]
    type: Literal["servicing"] = "servicing"


@dataclass(frozen=True, slots=True)
class EndedNote:
    """The walk is over."""

    outcome: Literal["complete", "incomplete"]
    open_items: tuple[str, ...]
    holds: tuple[str, ...]
    type: Literal["ended"] = "ended"


@dataclass(frozen=True, slots=True)
class DecisionNote:
    """What the person decided; recorded as theirs."""

    who: str
    decision: str
    words: str
    type: Literal["decision"] = "decision"


@dataclass(frozen=True, slots=True)
class SightNote:
    """In practice: what is to be seen was told."""

    item: str | None
    zone: str
    scene: str
    text: str
    truth: Literal["sound", "odd", "defect"]
    findings: tuple[str, ...]
    difficulty: int
    type: Literal["sight"] = "sight"


@dataclass(frozen=True, slots=True)
class HelpedNote:
    """In practice: help was asked for and given."""

    item: str | None
    help: str
    type: Literal["helped"] = "helped"


@dataclass(frozen=True, slots=True)
class InterruptedNote:
    """In practice: something came between a question and its answer."""

    item: str
    kind: Literal["call", "servicing"]
    text: str
    type: Literal["interrupted"] = "interrupted"


@dataclass(frozen=True, slots=True)
class ReturnedNote:
    """In practice: where the trainee went on after an interruption, and where they had been."""

    item: str | None
    due: str
    type: Literal["returned"] = "returned"


Note = (
    IdentityNote
    | ConditionNote
    | ZoneNote
    | AskedNote
    | AnswerNote
    | AnswerChangedNote
    | LeftNote
    | HoldNote
    | StandByNote
    | ServicingNote
    | EndedNote
    | DecisionNote
    | SightNote
    | HelpedNote
    | InterruptedNote
    | ReturnedNote
)
Effect = Say | Tone | Pace | Note


@dataclass(frozen=True, slots=True)
class Expect:
    """What may be said now: the key to a vocabulary."""

    moment: Moment
    item: str | None = None
    before: str | None = None
    """The item that was answered last: its defects may still be reported while the next one is asked."""
