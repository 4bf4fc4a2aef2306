"""The command for what instructors wrote about a walk: shown, verified, and how far two of them agree."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from itertools import combinations
from pathlib import Path
from typing import Annotated, Any

import typer

from handsfree.debrief.marks import PairedMarks, authors_of, marks_of, paired_marks
from handsfree.debrief.notes import (
    Marked,
    Note,
    NotesState,
    Overruled,
    VerifiedNotes,
    notes_file,
    read_notes,
    verify_notes,
)
from handsfree.drill.agreement import Agreement, agreement
from handsfree.journal.events import rfc3339
from handsfree.journal.reader import log_file
from handsfree.terminal import BAD_INPUT, row_out

EXIT_CODES: dict[NotesState, int] = {"intact": 0, "altered": 12, "for another log": BAD_INPUT}
"""As those of ``handsfree verify``."""


def notes(
    log: Annotated[Path, typer.Argument(help="The folder of a walk, or its log.jsonl.")],
    others: Annotated[
        list[Path] | None, typer.Argument(help="Further files of notes about the same log: another instructor's.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line, for machines.")] = False,
) -> None:
    """Show the notes about a walk, say whether they are as they were written, and how far two instructors agree.

    Notes are added with handsfree debrief --open. Where two or more marked the same scenes, Cohen's kappa says how far
    their marks agree beyond chance, with a 95 % interval.

    Exit codes: 0 intact, 12 altered; 2 for another log, or none there.

    Examples:  handsfree notes practice/20260101T080000Z-twin-turboprop  |  handsfree notes LOG second-instructor.jsonl
    """
    files = [notes_file(log_file(log).parent), *(others or ())]
    told: list[Note] = []
    worst = 0
    for file in files:
        found = verify_notes(log, file)
        row_out({"file": str(file)} | dataclasses.asdict(found), as_json, *_state(file, found))
        worst = max(worst, EXIT_CODES[found.state])
        if found.state == "intact":
            said = read_notes(file).notes
            told += said
            for note in said:
                row_out({"note": note.model_dump(mode="json")}, as_json, _line(note))
    for first, second in combinations(authors_of(told), 2):
        pairs = paired_marks(marks_of(told, first), marks_of(told, second))
        made = agreement([one for _, one, _ in pairs.pairs], [one for _, _, one in pairs.pairs])
        row_out(_row(first, second, pairs, made), as_json, *_compared(first, second, pairs, made))
    raise typer.Exit(worst)


def _state(file: Path, found: VerifiedNotes) -> Iterator[str]:
    where = f" at line {found.altered_at}" if found.altered_at else ""
    yield f"{file}: {found.state}{where}" + (f": {found.why}" if found.why else f", {found.notes} notes")
    for signer in found.signers:
        yield f"  signed with the key {signer}" if signer else "  not signed: who wrote them cannot be shown"


def _line(note: Note) -> str:
    where = f"event {note.about}" if note.about else "no event"
    match note:
        case Marked():
            said = f"{note.item}: {note.mark}"
        case Overruled():
            said = "should have been: " + ", ".join(part for part in (note.outcome, note.finding, note.words) if part)
        case _:
            said = note.text
    return f"  {rfc3339(note.time)}  {note.author}, {where}: {said}"


def _row(first: str, second: str, pairs: PairedMarks, made: Agreement | None) -> dict[str, Any]:
    alike = dataclasses.asdict(made) if made else None
    return {"agreement": alike, "first": first, "second": second} | dataclasses.asdict(pairs)


def _compared(first: str, second: str, pairs: PairedMarks, made: Agreement | None) -> Sequence[str]:
    alike = sum(one == other for _, one, other in pairs.pairs)
    lines = [f"{first} and {second}: {len(pairs.pairs)} marked by both, {alike} of them alike"]
    if made is None:
        lines.append("  no kappa: nothing was marked by both, or both gave one mark only, and chance explains that")
    else:
        kappa = made.kappa
        lines.append(f"  Cohen's kappa {kappa.value:.2f} ({kappa.low:.2f} to {kappa.high:.2f})")
    lines += [f"  {item}: {one} for {first}, {other} for {second}" for item, one, other in pairs.pairs if one != other]
    for who, items in ((first, pairs.only_first), (second, pairs.only_second)):
        lines += [f"  only by {who}: {', '.join(items)}"] if items else []
    return lines
