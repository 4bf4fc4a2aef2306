"""Which items of which checklist answer what published rules ask, and the ATA chapters; why, where none does.

``python -m handsfree.checklist.coverage`` writes ``docs/coverage.md`` in a source tree; a test fails when it is old.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist
from handsfree.checklist.rules import PublishedRules, chapter_key, published_rules

_ROOT = Path(__file__).parents[2]
FILE = _ROOT / "docs" / "coverage.md"


@dataclass(frozen=True, slots=True)
class Cell:
    """What one checklist has for one thing that is asked."""

    items: tuple[str, ...]
    """Their ids, in walking order."""
    why_none: str
    """The checklist's own reason; empty where it gives none, or needs none."""


@dataclass(frozen=True, slots=True)
class Row:
    """Something that is asked, or an ATA chapter."""

    key: str
    """``amc-fluids``, ``ata-61``."""
    rule: str
    topic: str
    cells: tuple[Cell, ...]
    """By checklist."""


def coverage(checklists: Sequence[Checklist], published: PublishedRules) -> tuple[Row, ...]:
    """A row for each rule, then one for each ATA chapter that any of the checklists has."""
    return (*_by_rule(checklists, published), *_by_chapter(checklists, published))


def unexplained(rows: Sequence[Row]) -> list[tuple[str, int]]:
    """Each empty cell without a reason: the row's key and the checklist's number from 0."""
    return [(row.key, at) for row in rows for at, cell in enumerate(row.cells) if not cell.items and not cell.why_none]


def _by_rule(checklists: Sequence[Checklist], published: PublishedRules) -> Iterator[Row]:
    for rule in published.rules:
        cells = tuple(
            Cell(tuple(item.id for item in one.items() if rule.id in item.asked_by), one.leaves_out.get(rule.id, ""))
            for one in checklists
        )
        yield Row(rule.id, rule.rule, rule.topic, cells)


def _by_chapter(checklists: Sequence[Checklist], published: PublishedRules) -> Iterator[Row]:
    used = {item.ata for one in checklists for item in one.items()}
    for chapter in sorted(used):
        key = chapter_key(chapter)
        cells = tuple(
            Cell(tuple(item.id for item in one.items() if item.ata == chapter), one.leaves_out.get(key, ""))
            for one in checklists
        )
        yield Row(key, f"ATA {chapter}", published.chapters.get(chapter, ""), cells)


def as_markdown(checklists: Sequence[Checklist], rows: Sequence[Row]) -> str:
    """A table of counts, then the reasons for what is empty, then the items behind each count."""
    names = [one.id for one in checklists]
    lines = [
        "# What the shipped checklists cover",
        "",
        "Written by `python -m handsfree.checklist.coverage`. A number counts items; a dash has its reason below. A",
        "count says that something is asked, not that enough is: the aircraft's own manuals and the rules decide.",
        "",
        f"| asked by | topic | {' | '.join(names)} |",
        f"| --- | --- | {' | '.join('--:' for _ in names)} |",
    ]
    for row in rows:
        counts = " | ".join(str(len(cell.items)) if cell.items else "-" for cell in row.cells)
        lines.append(f"| {row.rule} | {row.topic} | {counts} |")
    for at, one in enumerate(checklists):
        lines += ["", f"## {one.title} (`{one.id}`)", "", f"{len(one.items())} items in {len(one.zones)} zones.", ""]
        lines += [_told(row, row.cells[at]) for row in rows]
    return "\n".join(lines) + "\n"


def _told(row: Row, cell: Cell) -> str:
    said = ", ".join(cell.items) if cell.items else f"none: {cell.why_none or 'NOT EXPLAINED'}"
    return f"- {row.rule}, {row.topic}: {said}"


def shipped() -> tuple[Checklist, ...]:
    """The checklists of this source tree, by name."""
    return tuple(load(file) for file in sorted((_ROOT / "checklists").glob("*.yaml")))


def main() -> None:
    """Write the table anew."""
    if not (_ROOT / "checklists").is_dir():
        sys.exit("This is not a source tree.")
    checklists = shipped()
    rows = coverage(checklists, published_rules())
    FILE.parent.mkdir(exist_ok=True)
    FILE.write_text(as_markdown(checklists, rows), encoding="utf-8")
    for key, at in unexplained(rows):
        print(f"{checklists[at].id}: nothing for {key}, and no reason under 'leaves_out'")


if __name__ == "__main__":
    main()
