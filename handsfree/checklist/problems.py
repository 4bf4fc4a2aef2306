"""What is wrong with a checklist, and where: the one form for loading errors and for the linter's findings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, cast

from handsfree.shown import shortened

ProblemLevel = Literal["error", "warning", "note"]
Location = tuple[str | int, ...]
"""The way to a field from the top of the file: ``("zones", 0, "items", 2, "ata")``."""
_LONGEST_LABEL = 60
"""Characters of one step in a field's name."""


@dataclass(frozen=True, slots=True)
class Mend:
    """Text that takes the place of other text in the file; it changes nothing of what passes an item."""

    line: int
    """Counted from 1."""
    column: int
    old: str
    """What stands there; empty = the new text is put before it."""
    new: str


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, said once, with its place in the file."""

    message: str
    """What is wrong, in plain words."""
    where: Location = ()
    """The way to the field; empty = the file as a whole."""
    field: str = ""
    """The same to read, with ids for numbers: ``zones[nose].items[nose-tyres].ata``."""
    hint: str = ""
    """What to do about it; may be empty."""
    code: str = ""
    """A short stable name: of the linter's rule, or ``schema``, ``yaml``, ``file``."""
    level: ProblemLevel = "error"
    """An error stops the checklist from being used, a warning is a doubt, a note is a figure or a hint."""
    file: str = ""
    """Path of the file as it was given; empty when the checklist did not come from a file."""
    line: int = 0
    """Counted from 1; 0 = not known."""
    column: int = 0
    """Counted from 1; 0 = not known."""
    mend: Mend | None = None
    """What ``--fix`` may do about it."""
    accepted: str = ""
    """The author's reason to leave it so; empty = none is given."""

    def __str__(self) -> str:
        spot = ":".join(str(part) for part in (self.file, self.line, self.column) if part)
        head = " ".join(part for part in (self.level, f"[{self.code}]" if self.code else "") if part)
        body = ": ".join(part for part in (spot, head, self.field, self.message) if part)
        told = f"{body} ({self.hint})" if self.hint else body
        return f"{told} [accepted: {self.accepted}]" if self.accepted else told


class ChecklistError(Exception):
    """A checklist that cannot be used; ``problems`` holds at least one problem."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


def whole_file(path: Path, code: str, message: str, hint: str = "") -> ChecklistError:
    """An error that belongs to no line: a missing file, a folder, an empty file."""
    return ChecklistError((Problem(message, code=code, hint=hint, file=str(path)),))


def field_name(where: Location, data: object) -> str:
    """A location to read, where each number in a list is replaced by the ``id`` found there in the data."""
    text = ""
    for step in where:
        data = _child(data, step)
        if isinstance(step, int):
            label = _child(data, "id")
            text += f"[{shortened(label, _LONGEST_LABEL) if isinstance(label, str) else step}]"
        else:
            name = shortened(step, _LONGEST_LABEL)
            text += f".{name}" if text else name
    return text


def _child(data: object, step: str | int) -> object:
    if isinstance(data, Mapping):
        return cast("Mapping[object, object]", data).get(step)
    if isinstance(step, int) and isinstance(data, Sequence) and not isinstance(data, str):
        items = cast("Sequence[object]", data)
        return items[step] if step < len(items) else None
    return None
