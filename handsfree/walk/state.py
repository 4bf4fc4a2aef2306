"""Where a walk stands: everything the conversation knows, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from handsfree.language.meaning import Meaning

Moment = Literal[
    "new",
    "level",
    "who",
    "who_check",
    "registration",
    "registration_check",
    "condition",
    "item",
    "read_back",
    "guess_check",
    "which",
    "withdraw_check",
    "stand_by",
    "place_check",
    "where",
    "note",
    "end_check",
    "decision",
    "ended",
]
"""What the tool waits for."""

Standing = Literal["stands", "replaced", "withdrawn", "repeat"]
"""Whether an answer counts.

``repeat`` = it was good and is asked for again: after servicing, with a new hold, or when doubt arose at its item.
"""

AnswerKind = Literal["pass", "finding", "value"]


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer, kept for ever; only its standing and its confirmation change."""

    number: int
    """1, 2, 3 … in the order spoken."""
    kind: AnswerKind
    meaning: Meaning
    words: str
    """As heard."""
    item: str | None
    """The item it belongs to; None = a finding at a place where no item asks."""
    place: str | None = None
    """The zone or place named, when it was reported from elsewhere."""
    elsewhere: bool = False
    """Reported while another item was asked: it does not answer this item's own question."""
    confirmed: bool | None = None
    """Findings: None = not yet read back, True = affirmed, False = kept unconfirmed."""
    standing: Standing = "stands"
    replaces: tuple[int, ...] = ()
    """Numbers of the answers that this one replaces once it is confirmed."""


@dataclass(frozen=True, slots=True)
class WalkState:
    """A walk in progress.  Two equal states go on alike."""

    moment: Moment = "new"
    who: str = ""
    """Initials or name of the inspector."""
    registration: str = ""
    draft: str = ""
    """Letters heard and not yet confirmed."""
    full_prompts: bool = False
    slow: bool = False
    conditions: tuple[tuple[str, bool], ...] = ()
    """Answers to the questions at the start, in order."""
    given: tuple[tuple[str, bool], ...] = ()
    """Answers to them that were given beforehand."""
    item: str | None = None
    """The item being asked."""
    zone: str | None = None
    """The zone last announced."""
    answers: tuple[Answer, ...] = ()
    pending: tuple[int, ...] = ()
    """Findings waiting to be read back and affirmed."""
    guess: tuple[Meaning, ...] = ()
    """Findings that may have been meant, while the tool asks."""
    guess_words: str = ""
    correcting: bool = False
    """The next answer at this item replaces its earlier ones."""
    called_wrong: frozenset[int] = frozenset()
    """Findings after which somebody said "correction"."""
    left: tuple[str, ...] = ()
    """Items left for later, in the order left."""
    left_again: frozenset[str] = frozenset()
    """Items left for later a second time: asked no more before the end."""
    reopened: frozenset[str] = frozenset()
    """Items whose findings stand and yet do not answer their question: after servicing, or when left in doubt."""
    withdrawing: tuple[int, ...] = ()
    """Findings that may be taken back, while the tool asks."""
    holds: tuple[str, ...] = ()
    """Holds that were confirmed and that are not undone."""
    misses: int = 0
    """Failed hearings in a row at this moment."""
    loud: int = 0
    """... those in a row, silence among them, that the noise was to blame for."""
    advised: frozenset[str] = frozenset()
    """The zones in which it was said what helps against the noise; "" = the opening."""
    suspended: Moment = "item"
    """What was going on before a stand by or a check of the place."""
    returning: Moment = "item"
    """The question that is put again once the findings that wait are settled: a report may come before its answer."""
    named: frozenset[str] = frozenset()
    """The unanswered items that were named when the walk was last about to end."""
    told: frozenset[str] = frozenset()
    """Practice: zones in which was told what is to be seen where no item asks."""
    interrupted: frozenset[str] = frozenset()
    """Practice: items at which the planted interruption has come."""
    due: str = ""
    """Practice: the item that was being asked when it came; empty = the trainee has returned."""
    unheeded: bool = False
    """Something was said during the stand by, and not taken."""
    last_prompt: str = ""
    """What "say again" repeats."""
    prompt_again: str = ""
    """The same, shorter, for when the question is put again unasked; empty = the whole."""
    unclear: tuple[str, ...] = field(default=())
    """Items at which something was said three times and not understood."""
    outcome: Literal["", "complete", "incomplete"] = ""
    decision: str = ""

    def but(self, **changes: object) -> WalkState:
        """The same state with some fields changed."""
        return replace(self, **changes)  # type: ignore[arg-type]  # field names are checked by replace itself

    def answer(self, number: int) -> Answer:
        """The answer with this number."""
        return self.answers[number - 1]

    def standing_at(self, item_id: str) -> tuple[Answer, ...]:
        """The answers that count at an item."""
        return tuple(one for one in self.answers if one.item == item_id and one.standing == "stands")

    def last_answer(self) -> Answer | None:
        """The latest answer that stands."""
        return next((one for one in reversed(self.answers) if one.standing == "stands"), None)

    def last_on_the_way(self) -> Answer | None:
        """The latest answer that stands and was given to an item's own question: it tells where the walk is."""
        here = (one for one in reversed(self.answers) if one.standing == "stands" and not one.elsewhere)
        return next(here, None)

    def with_answer(self, number: int, **changes: object) -> WalkState:
        """The same state with one answer changed."""
        changed = replace(self.answer(number), **changes)  # type: ignore[arg-type]
        return self.but(answers=(*self.answers[: number - 1], changed, *self.answers[number:]))
