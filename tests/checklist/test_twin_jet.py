"""What makes the twin jet one: two people who are asked, wheels that are counted, and discs whose red is good."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.checklist.loading import load
from handsfree.checklist.models import SEVERITIES, Item

JET = load(Path(__file__).parents[2] / "checklists/twin-jet.yaml")


def order(item: str) -> int:
    return [one.id for one in JET.items()].index(item)


def test_the_ground_crew_is_asked_before_the_cockpit_brings_pressure() -> None:
    assert JET.hold("clear").who == "the ground crew"
    assert JET.hold("pressure").who == "the cockpit"
    assert JET.item("hydraulics-on").needs == "clear"
    assert order("ground-crew") < order("hydraulics-on") < order("hydraulics-off") < order("ground-released")


def test_what_moves_and_what_shows_only_under_pressure_waits_for_it() -> None:
    waiting = {one.id for one in JET.items() if one.needs == "pressure"}
    assert waiting == {
        "right-slats", "right-flaps", "right-brake-pins", "left-brake-pins", "left-flaps", "left-slats",
    }  # fmt: skip
    assert all(order("hydraulics-on") < order(one) < order("hydraulics-off") for one in waiting)


def good(item: str) -> set[str]:
    return {one.id for one in JET.item(item).states if one.good}


def bad(item: str) -> set[str]:
    return {one.id for one in JET.item(item).states if not one.good}


def test_red_is_good_where_it_is_to_be_there() -> None:
    """Red gone = thermal discharge, yellow gone = fired by the crew (sources beside the item)."""
    assert (good("fire-discs"), bad("fire-discs")) == ({"in-place"}, {"red-gone", "yellow-gone"})
    assert (good("tail-strike"), bad("tail-strike")) == ({"whole"}, {"scraped"})
    assert "red" in " ".join(one.say[0] for one in JET.item("tail-strike").states if one.good)


def test_position_lights_have_their_colours() -> None:
    """14 CFR 25.1385: red left, green right, white aft."""
    assert [good(item) for item in ("left-tip", "right-tip", "tail-light")] == [{"red"}, {"green"}, {"white"}]


def test_every_wheel_has_a_number_and_none_has_two() -> None:
    numbers = [number for side in ("left-tyres", "right-tyres") for number in JET.item(side).positions.number]
    assert sorted(numbers) == list(range(1, 9))
    for side in ("left", "right"):
        assert JET.item(f"{side}-tyres").positions.number == JET.item(f"{side}-brake-pins").positions.number
        assert JET.item(f"{side}-tyres").positions.required


AT_RISK = (
    "right-intake", "right-fan", "right-reverser", "right-flaps", "right-tyres", "right-brake-pins", "hydraulics-on",
    "left-intake", "left-fan", "left-reverser", "left-flaps", "left-tyres", "left-brake-pins", "hydraulics-off",
)  # fmt: skip


@pytest.mark.parametrize("item", AT_RISK)
def test_where_hands_and_heads_are_at_risk_it_says_so(item: str) -> None:
    assert JET.item(item).caution


@pytest.mark.parametrize("item", JET.items(), ids=lambda one: one.id)
def test_every_item_tells_a_trainee_and_names_its_source(item: Item) -> None:
    assert len(item.look_for.split()) >= 4
    assert item.why
    assert item.source
    assert item.severity in SEVERITIES


def test_both_sides_are_looked_at_alike() -> None:
    names = {one.id for one in JET.items()}
    one_sided = {"left-front-skin", "left-probes", "left-static", "right-front-skin"}  # the noses differ
    for name in names - one_sided:
        if name.startswith(("left-", "right-")):
            other = name.replace("left-", "x-").replace("right-", "left-").replace("x-", "right-")
            assert other in names or name in {"right-drips", "left-oil"}, name
