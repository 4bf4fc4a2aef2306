"""Problems as SARIF 2.1.0 (OASIS), which editors and CI show at their lines."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from handsfree import __version__
from handsfree.checklist.lint.catalogue import RULES, Rule, rule_of
from handsfree.checklist.problems import Mend, Problem

_SCHEMA: Final = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"


def as_sarif(problems: Sequence[Problem]) -> dict[str, Any]:
    """One run of one tool, with all its rules; what an author explained is suppressed, with the reason."""
    driver = {
        "name": "handsfree check",
        "version": __version__,
        "rules": [_rule(one) for one in RULES],
    }
    run = {"tool": {"driver": driver}, "columnKind": "unicodeCodePoints", "results": [_result(one) for one in problems]}
    return {"$schema": _SCHEMA, "version": "2.1.0", "runs": [run]}


def _rule(rule: Rule) -> dict[str, Any]:
    return {
        "id": rule.number,
        "name": "".join(word.capitalize() for word in rule.name.split("-")),
        "shortDescription": {"text": f"{rule.about}."},
        "fullDescription": {"text": f"{rule.about}. Source: {rule.source}."},
        "defaultConfiguration": {"level": rule.level},
    }


def _result(problem: Problem) -> dict[str, Any]:
    number = rule_of(problem.code).number
    text = ": ".join(part for part in (problem.field, problem.message) if part)
    place: dict[str, Any] = {"artifactLocation": {"uri": _uri(problem.file)}}
    if problem.line:
        place["region"] = {"startLine": problem.line, "startColumn": max(1, problem.column)}
    result: dict[str, Any] = {
        "ruleId": number,
        "ruleIndex": [one.number for one in RULES].index(number),
        "level": problem.level,
        "message": {"text": f"{text} ({problem.hint})" if problem.hint else text},
        "locations": [{"physicalLocation": place}],
    }
    if problem.accepted:
        result["suppressions"] = [{"kind": "inSource", "justification": problem.accepted}]
    if problem.mend is not None:
        result["fixes"] = [_fix(problem.file, problem.mend)]
    return result


def _fix(file: str, mend: Mend) -> dict[str, Any]:
    region = {
        "startLine": mend.line,
        "startColumn": mend.column,
        "endLine": mend.line,
        "endColumn": mend.column + len(mend.old),
    }
    replacement = {"deletedRegion": region, "insertedContent": {"text": mend.new}}
    return {"artifactChanges": [{"artifactLocation": {"uri": _uri(file)}, "replacements": [replacement]}]}


def _uri(file: str) -> str:
    """Relative to where the command ran, if it was given so."""
    return quote(Path(file).as_posix())
