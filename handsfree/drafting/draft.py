"""A checklist that grows item by item, as YAML that a person goes on editing: what is there keeps its comments."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from handsfree.checklist.marked_yaml import editable, in_quotes
from handsfree.checklist.mending import SCHEMA_LINE
from handsfree.checklist.models import Severity

NOTICE: Final = (
    "This is a memory aid. The aircraft's own manuals, the local rules and licensed staff decide. It records what you "
    "say, and declares nothing airworthy."
)
CAUTIONS: Final = (
    "Propellers and rotors. Treat each of them as live, and never stand or walk in its arc.",
    "Brakes may be hot. Come to a wheel from the front or the rear.",
    "Tyres, struts and bottles are under pressure. Never probe an inflated tyre.",
    "Watch for ice, oil and water underfoot. Do not climb. Use proper steps at heights.",
)


@dataclass(frozen=True, slots=True)
class NewFinding:
    """A defect: a rule of the shipped grammar, or own words."""

    rule: str
    """``<findings.cut>``; empty = own words."""
    words: str = ""


@dataclass(frozen=True, slots=True)
class NewItem:
    """One item, as it was answered."""

    name: str
    prompt: str
    full: str
    look_for: str
    why: str
    good: Sequence[str]
    findings: Sequence[NewFinding]
    severity: Severity
    ata: str
    caution: str = ""
    source: str = "common practice"


def slug(text: str) -> str:
    """An id made of words: ``nose-tyres``; empty when there is no letter to begin it."""
    return re.sub(r"^[^a-z]+", "", re.sub(r"[^a-z0-9]+", "-", text.lower())).strip("-")


def pattern_of(example: str) -> str:
    """How registrations like this one look: the first two characters stay, the others are any of their kind."""
    kept, rest = example[:2], example[2:]
    runs = re.findall(r"[A-Z]+|[0-9]+", rest)
    return kept + "".join(f"[{'A-Z' if run[0].isalpha() else '0-9'}]{{{len(run)}}}" for run in runs)


class Draft:
    """The file as it grows.  Nothing is written here."""

    def __init__(self, text: str) -> None:
        """``text`` = of a checklist that is there, or of `begun`."""
        self._yaml = editable()
        self._data: Any = self._yaml.load(text)

    @property
    def zones(self) -> tuple[str, ...]:
        """The ids of its zones."""
        return tuple(str(zone["id"]) for zone in self._data.get("zones") or ())

    def with_item(self, zone: Mapping[str, Any], item: NewItem) -> str:
        """The text with one item more, at the end of a zone that is there, or of a new one."""
        draft = Draft(self.text())
        data = draft._data  # its own
        zones: list[Any] = data.setdefault("zones", [])
        if not any(one["id"] == zone["id"] for one in zones):
            zones.append({**zone, "items": []})
        there: Any = next(one for one in zones if one["id"] == zone["id"])
        taken = {str(one["id"]) for each in zones for one in each["items"]}
        there["items"].append(_as_fields(item, _free(slug(item.name) or "item", taken)))
        return draft.text()

    def text(self) -> str:
        """The file's text."""
        out = io.StringIO()
        self._yaml.dump(self._data, out)
        return out.getvalue()


def begun(checklist_id: str, title: str, aircraft: str, operator: str, registration: str) -> str:
    """The head of a new checklist, which has no zone yet."""
    data: dict[str, Any] = {
        "format": 1,
        "id": checklist_id,
        "title": title,
        "notice": NOTICE,
        "aircraft": {
            "type": aircraft,
            "operator": operator,
            "registration": {"pattern": pattern_of(registration), "example": registration},
        },
        "cautions": list(CAUTIONS),
    }
    out = io.StringIO()
    editable().dump(data, out)
    return f"{SCHEMA_LINE}\n\n{out.getvalue()}"


def _as_fields(item: NewItem, item_id: str) -> dict[str, Any]:
    fields: dict[str, Any] = {
        "id": item_id,
        "name": item.name,
        "prompt": item.prompt,
        "full": item.full,
        "look_for": item.look_for,
        **({"why": item.why} if item.why else {}),
        "pass": list(item.good),
        "findings": [_finding(one) for one in item.findings],
        "severity": item.severity,
        **({"caution": item.caution} if item.caution else {}),
        "ata": in_quotes(item.ata),
        "source": item.source,
    }
    if not item.findings:
        del fields["findings"]
    return fields


def _finding(one: NewFinding) -> dict[str, Any]:
    return {"use": one.rule} if one.rule else {"id": slug(one.words) or "finding", "say": [one.words]}


def _free(wanted: str, taken: set[str]) -> str:
    number = 2
    name = wanted
    while name in taken:
        name, number = f"{wanted}-{number}", number + 1
    return name
