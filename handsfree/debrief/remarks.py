"""What others say about a walk, to be shown where it belongs: reasons of a score, and an instructor's notes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from handsfree.debrief.notes import Marked, Overruled
from handsfree.debrief.notes import Note as Written
from handsfree.drill.attempt import Outcome
from handsfree.drill.score import FULL, Score
from handsfree.journal.events import rfc3339


@dataclass(frozen=True, slots=True)
class ScoreLine:
    """One reason of a score; the sum of all lines is the score."""

    text: str
    points: float
    """Below 0 = lost."""
    event: int | None
    """The number of the event in the log; None = it is what did not happen."""


@dataclass(frozen=True, slots=True)
class Note:
    """What an instructor says of one event: words, or another judgement of a scene, or both."""

    about: int
    """The number of the event in the log."""
    author: str
    time: str
    """RFC 3339, UTC."""
    text: str = ""
    overrule: Outcome | Literal[""] = ""
    """What the scene came to, in the author's judgement; empty = as it was counted."""


def remarks_of(notes: Sequence[Written]) -> tuple[Note, ...]:
    """Notes as they are written beside a log, for the page; a mark for what was never looked at has no place on it."""
    shown: list[Note] = []
    for one in notes:
        if one.about is None:
            continue
        match one:
            case Marked():
                shown.append(Note(one.about, one.author, rfc3339(one.time), overrule=one.mark))
            case Overruled():
                what = ", ".join(part for part in (one.outcome, one.finding, one.words) if part)
                shown.append(Note(one.about, one.author, rfc3339(one.time), f"Should have been: {what}."))
            case _:
                shown.append(Note(one.about, one.author, rfc3339(one.time), one.text))
    return tuple(shown)


def score_lines(score: Score) -> tuple[ScoreLine, ...]:
    """The sum of a score: what there was to have, and what was lost."""
    lost = sorted(score.lost, key=lambda one: (one.event is None, one.event or 0))
    return (ScoreLine("To begin with", FULL, None), *(ScoreLine(one.reason, -one.points, one.event) for one in lost))
