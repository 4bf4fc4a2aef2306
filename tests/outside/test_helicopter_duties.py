"""EASA AMC M.A.301(a) holds for helicopters too: what each duty is there to find can be reported at a critical item.

The duties as in ``test_preflight_duties``.  What a helicopter has instead of wings, propellers and wheels is common
practice and has no source: blades, links, gearboxes, straps, ground wheels.
"""

from pathlib import Path

import pytest

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist

FOUND_BY: dict[str, dict[str, str]] = {
    "amc-walk-around": {
        "main-blades": "crack", "tail-blades": "nick", "rotor-head": "leak", "swash-plate": "play",
        "tail-links": "bolt-missing", "transmission": "leak", "engine-bay": "leak", "belly": "spread",
        "tail-boom": "crack", "stabiliser": "loose", "tail-skid": "bent", "fire-extinguisher": "discharged",
    },
    "amc-fluids": {
        "fuel-sample": "water", "engine-oil": "oil-dirty", "transmission-oil": "low", "tail-oil": "low",
        "hydraulics": "low",
    },
    "amc-doors": {
        "fuel-cap": "open", "cowl-latches": "standing-up", "shaft-cover": "standing-up", "cargo": "open",
        "left-doors": "latch-broken", "right-doors": "latch-broken", "last-look": "open",
    },
    "amc-locks-covers": {
        "pitot": "cover-on", "static-ports": "cover-on", "intake": "cover-on", "exhaust": "cover-on",
        "straps": "strap-on", "ground-wheels": "wheels-on",
    },
    "amc-clean-surfaces": {"rotor-frost": "ice", "skids-frozen": "frozen"},
}  # fmt: skip


@pytest.fixture(scope="module")
def checklist() -> Checklist:
    return load(Path(__file__).parents[2] / "checklists/helicopter.yaml")


@pytest.mark.parametrize("duty", FOUND_BY)
def test_the_items_of_each_duty_say_so_and_can_report_its_failure(checklist: Checklist, duty: str) -> None:
    for item_id, finding in FOUND_BY[duty].items():
        item = checklist.item(item_id)
        assert duty in item.asked_by, item_id
        assert finding in item.finding_ids(), item_id
        assert item.critical, item_id


def test_position_lights_are_asked_for_at_night(checklist: Checklist) -> None:
    """14 CFR 91.209: lit from sunset to sunrise."""
    asking = [item.id for item in checklist.items() if "cfr-91-209" in item.asked_by]
    assert asking == ["lights-on", "lights-lit"]
    assert {checklist.item(one).only_if for one in asking} == {"night"}
