"""EASA AMC M.A.301(a): the pre-flight inspection's duties are each covered by an item of the shipped checklist.

(a) walk-around for wear, damage, leakage, and emergency equipment; (c) the fluids' specification and contamination;
(d) doors fastened; (e) control locks, pitot and static covers and blanks removed; (f) surfaces free of ice, snow, sand.
Duty (b), the record of deferred defects, is kept in the office and not on the walk.
"""

from pathlib import Path

import pytest

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist

DUTIES: dict[str, dict[str, str]] = {
    "a": {
        "right-tyres": "wear",
        "left-tyres": "wear",
        "left-blades": "damage",
        "right-blades": "damage",
        "nose-leg": "leakage",
        "left-leg": "leakage",
        "right-leg": "leakage",
        "emergency-exit": "emergency equipment",
        "oxygen-disc": "emergency equipment",
        "red-disc": "emergency equipment",
    },
    "c": {"fuel-sample": "contamination", "left-oil": "fluids", "right-oil": "fluids"},
    "d": {
        "baggage-door": "doors",
        "main-door": "doors",
        "nose-latches": "latches",
        "left-fuel-cap": "cap",
        "right-fuel-cap": "cap",
        "left-cowling": "panels",
        "right-cowling": "panels",
    },
    "e": {
        "left-probe": "pitot cover",
        "right-probe": "pitot cover",
        "left-static": "static cover",
        "right-static": "static cover",
        "tail-lock": "control lock",
        "left-intake": "blank",
        "right-intake": "blank",
        "steering-pin": "pin",
        "left-gear-pin": "pin",
        "right-gear-pin": "pin",
        "covers-counted": "count",
        "pins-counted": "count",
    },
    "f": {"left-wing-frost": "wing", "right-wing-frost": "wing", "tail-frost": "tail"},
}

FINDING_OF_DUTY = {
    "wear": "worn", "leakage": "leak", "static cover": "cover-on", "pitot cover": "cover-on", "control lock": "lock-on",
    "pin": "pin-in", "blank": "cover-on", "doors": "loose", "wing": "ice", "tail": "ice", "cap": "open",
}  # fmt: skip
"""What must be reportable at an item of the duty: the very failure that the duty is there to find."""


@pytest.fixture(scope="module")
def checklist() -> Checklist:
    return load(Path(__file__).parents[2] / "checklists/twin-turboprop.yaml")


@pytest.mark.parametrize("duty", DUTIES)
def test_each_duty_has_its_items(checklist: Checklist, duty: str) -> None:
    assert DUTIES[duty].keys() <= {item.id for item in checklist.items()}


@pytest.mark.parametrize("duty", DUTIES)
def test_the_items_say_which_duty_they_serve(checklist: Checklist, duty: str) -> None:
    sources = [checklist.item(item_id).source or "" for item_id in DUTIES[duty]]
    assert any("AMC M.A.301(a)" in source and f"({duty})" in source for source in sources)


def test_what_each_duty_is_there_to_find_can_be_reported(checklist: Checklist) -> None:
    for items in DUTIES.values():
        for item_id, subject in items.items():
            finding = FINDING_OF_DUTY.get(subject)
            assert finding is None or finding in checklist.item(item_id).finding_ids(), (item_id, subject)


def test_contaminated_fuel_and_its_wrong_colour_can_be_reported(checklist: Checklist) -> None:
    assert {"water", "dirt", "wrong-colour"} <= checklist.item("fuel-sample").finding_ids()


def test_ice_is_asked_of_whenever_it_may_be_there(checklist: Checklist) -> None:
    assert {checklist.item(item_id).only_if for item_id in DUTIES["f"]} == {"freezing"}
