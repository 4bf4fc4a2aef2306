"""Checklists written in a few lines: the fields that matter to a test, on top of the least that loads."""

from __future__ import annotations

from typing import Any

from handsfree.checklist.models import Checklist, Item

Fields = dict[str, Any]


def item(item_id: str = "thing", **fields: Any) -> Fields:
    """An item as YAML would give it; 'pass' is written ``passes`` here, for the language has taken the word."""
    given = {"pass" if name == "passes" else name: value for name, value in fields.items()}
    needs_pass = given.get("kind", "condition") in ("condition", "hold", "undo") and "pass" not in given
    least = {
        "id": item_id,
        "name": item_id,
        "prompt": "Thing?",
        "full": "The thing?",
        "look_for": "A thing.",
        "ata": "32",
    }
    return {**least, **({"pass": ["dry"]} if needs_pass else {}), **given}


def zone(zone_id: str, *items: Fields, **fields: Any) -> Fields:
    return {
        "id": zone_id,
        "name": zone_id,
        "spoken": [zone_id],
        "items": list(items or [item(f"{zone_id}-item")]),
    } | fields


def checklist(*zones: Fields, **fields: Any) -> Checklist:
    return Checklist.model_validate(
        {
            "format": 1,
            "id": "test",
            "title": "Test",
            "notice": "Invented.",
            "aircraft": {"type": "X", "operator": "Y", "registration": {"pattern": "Q7[A-Z]{3}", "example": "Q7KTA"}},
            "cautions": ["Mind your head."],
            "zones": list(zones),
            **fields,
        }
    )


def of_items(*items: Fields, **fields: Any) -> Checklist:
    """All items in one zone, the nose."""
    return checklist(zone("nose", *items), **fields)


def only_item(**fields: Any) -> Item:
    return of_items(item(**fields)).items()[0]
