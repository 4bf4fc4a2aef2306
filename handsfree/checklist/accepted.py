"""Warnings that an author explains: ``# accepted HF209: no other word is used here`` on the line or the line above."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from handsfree.checklist.lint.catalogue import rule_of
from handsfree.checklist.problems import Problem

_ACCEPTED: Final = re.compile(r"#\s*accepted (HF\d{3}):\s*(\S.*?)\s*$")


def explained(problems: Sequence[Problem], text: str) -> list[Problem]:
    """The problems, with the author's reasons at those that have one; an error cannot be explained away."""
    lines = text.splitlines()
    return [
        replace(one, accepted=_reason(lines, one)) if one.level != "error" and one.line else one for one in problems
    ]


def _reason(lines: Sequence[str], problem: Problem) -> str:
    number = rule_of(problem.code).number
    for at in (problem.line - 1, problem.line - 2):
        found = _ACCEPTED.search(lines[at]) if 0 <= at < len(lines) else None
        if found and found[1] == number:
            return found[2]
    return ""
