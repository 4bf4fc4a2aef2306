"""Two instructors' marks of one attempt, side by side: what an agreement is counted from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from handsfree.debrief.notes import Marked, MarkKind, Note


@dataclass(frozen=True, slots=True)
class PairedMarks:
    """The marks that two instructors gave for one attempt, item by item."""

    pairs: tuple[tuple[str, MarkKind, MarkKind], ...]
    """Item, the first one's mark, the second one's."""
    only_first: tuple[str, ...]
    """Items that the second did not mark: no agreement can be counted there."""
    only_second: tuple[str, ...]


def marks_of(notes: Iterable[Note], author: str) -> dict[str, MarkKind]:
    """The marks that stand of one author, by item."""
    return {one.item: one.mark for one in notes if isinstance(one, Marked) and one.author == author}


def authors_of(notes: Iterable[Note]) -> tuple[str, ...]:
    """Who gave marks, in the order in which they first did."""
    return tuple(dict.fromkeys(one.author for one in notes if isinstance(one, Marked)))


def paired_marks(first: Mapping[str, MarkKind], second: Mapping[str, MarkKind]) -> PairedMarks:
    """Two instructors' marks side by side, in the order of the first one's."""
    return PairedMarks(
        tuple((item, mark, second[item]) for item, mark in first.items() if item in second),
        tuple(item for item in first if item not in second),
        tuple(item for item in second if item not in first),
    )
