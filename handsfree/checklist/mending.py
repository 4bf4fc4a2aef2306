"""Mends of a checklist's file that are safe: they change how something is written, and nothing of what it says."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from handsfree.checklist.problems import Mend, Problem
from handsfree.checklist.schema import FILE_NAME

SCHEMA_LINE: Final = f"# yaml-language-server: $schema={FILE_NAME}"


def missing_schema_line(text: str) -> list[Problem]:
    """Note ``no-schema-line``, when no comment before the first field names a schema."""
    for line in text.splitlines():
        if not line.lstrip("\ufeff").startswith("#"):
            break
        if "$schema=" in line:
            return []
    message = "no first line names the JSON Schema, so that editors do not complete the fields"
    mend = Mend(1, 1, "", f"{SCHEMA_LINE}\n")
    return [Problem(message, code="no-schema-line", hint=f"begin with {SCHEMA_LINE}", level="note", mend=mend)]


def mended(text: str, problems: Iterable[Problem]) -> tuple[str, list[Problem]]:
    """The text with all that could be mended, and the problems that were.

    A mend whose place holds something else by now is left out: two never touch the same text.
    """
    lines = text.splitlines(keepends=True)
    able = {one.mend: one for one in problems if one.mend is not None}
    done: list[Problem] = []
    for mend in sorted(able, key=lambda one: (one.line, one.column), reverse=True):
        at, start = mend.line - 1, mend.column - 1
        line = lines[at] if at < len(lines) else ""
        if line[start : start + len(mend.old)] == mend.old:
            lines[at : at + 1] = [line[:start] + mend.new + line[start + len(mend.old) :]]
            done.append(able[mend])
    return "".join(lines), done[::-1]
