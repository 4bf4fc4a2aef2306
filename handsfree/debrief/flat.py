"""A walk as rows of plain fields, for tables: one row for each thing that was said, heard, answered or happened."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, fields
from typing import Final

from handsfree.debrief.gathering import Debrief
from handsfree.debrief.timeline import Answer, AnyRow, Happening, Prompt, Scene, Stay, Utterance, rows_of


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatRow:
    """What each field means is said at the row it comes from (see `timeline`); null = it has no such field."""

    walk: str
    """The folder's name."""
    who: str
    registration: str
    practice: str
    """Empty = a walk round a real aircraft."""
    event: int
    seconds: float
    time: str
    zone: str | None
    item: str | None
    kind: str
    """prompt, heard, pass, finding, value, scene, or what happened."""
    text: str
    """What was spoken, heard, told, or happened."""
    outcome: str | None = None
    """Of what was heard, or of a scene."""
    confidence: float | None = None
    snr_db: float | None = None
    why: str | None = None
    description: str | None = None
    severity: str | None = None
    ata: str | None = None
    confirmed: bool | None = None
    standing: str | None = None
    elsewhere: bool | None = None
    truth: str | None = None
    clip: str | None = None
    marks: str = ""
    """Separated by commas."""


_ACTS: Final = ("=", "+", "-", "@", "\t", "\r")
"""A field that begins so is a formula to a spreadsheet."""


def flat(walks: Iterable[Debrief]) -> Iterator[FlatRow]:
    """The rows of walks, one after the other."""
    for walk in walks:
        for stay, row in rows_of(walk.timeline):
            yield _flat(walk, stay, row)


def as_csv(walks: Iterable[Debrief]) -> str:
    """RFC 4180, with a heading.  A text that a spreadsheet would take for a formula begins with an apostrophe."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow([one.name for one in fields(FlatRow)])
    for row in flat(walks):
        writer.writerow([_harmless(value) for value in asdict(row).values()])
    return text.getvalue()


def _harmless(value: object) -> object:
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"'{value}" if isinstance(value, str) and value.startswith(_ACTS) else value


def _flat(walk: Debrief, stay: Stay, row: AnyRow) -> FlatRow:
    def made(kind: str, text: str, **more: object) -> FlatRow:
        return FlatRow(
            walk=walk.folder.name,
            who=walk.summary.who,
            registration=walk.summary.registration,
            practice=walk.opened.practice if walk.opened else "",
            event=row.at.event,
            seconds=row.at.seconds,
            time=row.at.time,
            zone=stay.zone,
            item=row.at.item,
            kind=kind,
            text=text,
            marks=",".join(sorted(row.marks)),
            **more,  # pyright: ignore[reportArgumentType]  # names and types stand right below
        )

    match row:
        case Prompt():
            return made("prompt", row.text)
        case Utterance():
            return made("heard", row.words, outcome=row.outcome, confidence=row.confidence, snr_db=row.snr_db,
                why=row.why, clip=row.clip.file if row.clip else None)  # fmt: skip
        case Answer():
            return made(row.kind, row.words, description=row.description, severity=row.severity, ata=row.ata,
                confirmed=row.confirmed if row.kind == "finding" else None, standing=row.standing,
                elsewhere=row.elsewhere, outcome=row.outcome)  # fmt: skip
        case Scene():
            return made("scene", row.text, truth=row.truth, outcome=row.outcome, why=row.why)
        case Happening():
            return made(row.kind, row.text)
