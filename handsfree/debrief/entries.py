"""Findings as sentences fit for a technical log: what was said of what, by whom, when; and never more than that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from handsfree.checklist.models import Checklist
from handsfree.debrief.happenings import capital
from handsfree.journal import events as log

PRACTICE = "Practice, not an aircraft's defect."
"""Begins every sentence of an exercise: it must never be taken for an entry."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One finding that stands."""

    ata: str | None
    """The chapter; None = it is of a place, and nobody said of what."""
    sentence: str
    event: int
    """Of the answer."""


def entries(events: Sequence[log.AnyEvent], checklist: Checklist) -> tuple[Entry, ...]:
    """The findings that stand, by chapter and in the order reported; those without a chapter last."""
    opened = next((one for one in events if isinstance(one, log.Opened)), None)
    names = {item.id: item.name for item in checklist.items()}
    last = {one.number: one for one in events if isinstance(one, log.AnswerChanged)}
    who = next((one.who for one in reversed(events) if isinstance(one, log.Identity)), "")
    began = events[0].time.astimezone(UTC)
    how = "typed" if opened is not None and opened.source == "typed" else "spoken"
    made: list[Entry] = []
    for one in events:
        change = last.get(one.number) if isinstance(one, log.AnswerEvent) else None
        if not isinstance(one, log.AnswerEvent) or one.kind != "finding" or (change and change.standing != "stands"):
            continue
        what = f"{names[one.item]}: {one.description}" if one.item else one.description
        by = f"Reported by {who} at" if who else "Reported at"
        confirmed = "confirmed" if change is not None and change.confirmed else "not confirmed"
        sentences = [
            PRACTICE if opened is not None and opened.practice else "",
            f"ATA {one.ata}." if one.ata else "",
            f"{capital(what)}.",
            f"{by} {_moment(one.time, began)}, {how} '{one.words}', {confirmed}.",
        ]
        made.append(Entry(one.ata, " ".join(filter(None, sentences)), one.seq))
    return tuple(sorted(made, key=lambda one: (one.ata is None, one.ata or "")))


def _moment(time: datetime, began: datetime) -> str:
    """``06:12:30Z``; with its date when that is another than the one on which the walk began."""
    there = time.astimezone(UTC)
    return f"{there:%H:%M:%SZ}" if there.date() == began.date() else f"{there:%Y-%m-%d %H:%M:%SZ}"
