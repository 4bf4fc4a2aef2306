"""What makes the helicopter one: rotors above and behind, oil in glasses, things that must be off, no second engine."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path

import pytest

from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.checklist.models import Item
from handsfree.checklist.rules import published_rules
from handsfree.walk import route
from handsfree.walk.events import AnswerNote, Begin
from tests.walk.conversation import Conversation, good_answer, kept

HELICOPTER = load(Path(__file__).parents[2] / "checklists/helicopter.yaml")
OIL_GLASSES = ("tail-oil", "hydraulics", "transmission-oil")
AT_THE_TAIL_ROTOR = ("tail-blades", "tail-links")
ABOVE_THE_HEAD = ("intake", "engine-bay", "main-blades", "rotor-head", "swash-plate")


@cache
def book() -> Book:
    return kept(Book(HELICOPTER))


def walking_to(item: str, *conditions: str) -> Conversation:
    """A walk on which everything before an item has passed; the conditions named hold."""
    talk = Conversation(book(), Begin(who="AB", registration="Q5HRB", level_check=False))
    for one in HELICOPTER.conditions:
        talk.say("affirm" if one.id in conditions else "negative")
    while talk.state.item != item:
        talk.say(good_answer(book(), HELICOPTER.item(talk.state.item or "")))
    return talk


def said(item: str, *lines: str, conditions: Sequence[str] = ()) -> AnswerNote:
    """What is written of the last answer, when this was said at an item."""
    talk = walking_to(item, *conditions)
    talk.say(*lines)
    return [one for one in talk.effects if isinstance(one, AnswerNote)][-1]


def asked(*conditions: str) -> set[str]:
    return {item.id for item in HELICOPTER.items() if item.only_if is None or item.only_if in conditions}


# ---- every item


def test_it_is_short_and_whole() -> None:
    assert 30 <= len(asked()) < 40
    assert len(asked("night")) == len(asked()) + 3
    assert len(asked("freezing")) == len(asked()) + 2


@pytest.mark.parametrize("item", HELICOPTER.items(), ids=lambda item: item.id)
def test_every_item_teaches(item: Item) -> None:
    assert item.look_for.startswith("Good is "), "good first, then what bad looks like"
    assert item.why
    assert item.source
    assert len(item.ata) == 2
    assert item.why not in {other.why for other in HELICOPTER.items() if other is not item}, "no reason is given twice"


def test_what_items_answer_are_rules_that_are_known() -> None:
    known = {one.id for one in published_rules().rules}
    assert {rule for item in HELICOPTER.items() for rule in item.asked_by} <= known
    assert [item.id for item in HELICOPTER.items() if not item.asked_by] == ["lights-off"]


def test_numbers_are_examples() -> None:
    limits = [one.source for item in HELICOPTER.items() for one in (item.quantity, item.count) if one]
    assert limits == ["example value: use your aircraft's manual"] * 2


# ---- rotors


def test_the_first_caution_is_the_rotor_and_the_second_the_tail_rotor() -> None:
    first, second, *_ = HELICOPTER.cautions
    assert all(word in first for word in ("turns", "droops", "runs down"))
    assert "tail rotor" in second


@pytest.mark.parametrize("item_id", AT_THE_TAIL_ROTOR)
def test_whoever_is_at_the_tail_rotor_is_warned_each_time(item_id: str) -> None:
    assert (HELICOPTER.item(item_id).caution or "").startswith("Tail rotor.")


def test_on_the_way_to_the_tail_one_is_told_to_stop_short_of_it() -> None:
    zones = [zone.id for zone in HELICOPTER.zones]
    before = HELICOPTER.zones[zones.index("tail") - 1]
    assert "Stop short" in (before.caution or "")


def test_all_that_is_looked_at_on_the_roof_is_done_before_its_latches_are() -> None:
    order = [item.id for item in HELICOPTER.items()]
    assert all(order.index(item) < order.index("cowl-latches") for item in ABOVE_THE_HEAD)


@pytest.mark.parametrize(("item_id", "blades"), [("main-blades", 4), ("tail-blades", 2)])
def test_a_nick_says_which_blade(item_id: str, blades: int) -> None:
    talk = walking_to(item_id)
    talk.say("nick")
    assert talk.state.moment == "which"
    talk.say("blade two", "affirm")
    assert talk.state.answers[-1].meaning.get("number") == "2"
    assert len(HELICOPTER.item(item_id).positions.number) == blades


def test_the_hub_and_the_dampers_must_both_be_answered() -> None:
    talk = walking_to("rotor-head")
    talk.say("all tight")
    assert talk.state.item == "rotor-head"
    talk.say("dry")
    assert talk.state.item != "rotor-head"


@pytest.mark.parametrize("item_id", ["tail-links", "swash-plate"])
@pytest.mark.parametrize("words", ["play on link two", "split pin missing"])
def test_links_that_have_play_or_no_pin_are_critical(item_id: str, words: str) -> None:
    found = said(item_id, words, "affirm")
    assert (found.kind, found.severity) == ("finding", "critical")


# ---- fluids


@pytest.mark.parametrize("item_id", OIL_GLASSES)
def test_a_glass_that_shows_no_level_is_critical_and_no_pass(item_id: str) -> None:
    for words in ("below the mark", "glass empty"):
        found = said(item_id, words, "affirm")
        assert (found.kind, found.severity) == ("finding", "critical")
    assert walking_to(item_id).hear("in the middle").outcome == "pass"


def test_engine_oil_is_a_number_and_too_little_of_it_is_a_finding() -> None:
    assert said("engine-oil", "one quarter", "affirm").kind == "finding"
    assert walking_to("engine-oil").hear("three quarters").outcome == "value"


@pytest.mark.parametrize("words", ["water in the sample", "dirt", "strange colour"])
def test_bad_fuel_is_critical(words: str) -> None:
    found = said("fuel-sample", words, "affirm")
    assert (found.kind, found.severity) == ("finding", "critical")


def test_a_leak_seen_from_below_is_kept_where_its_fluid_runs() -> None:
    """Only the hydraulics of this deck hold hydraulic fluid."""
    talk = walking_to("cargo")
    talk.say("hydraulic leak main gearbox", "affirm")
    (found,) = (one for one in talk.state.answers if one.kind == "finding")
    assert found.item == "hydraulics"


# ---- things that must be off, and shut


@pytest.mark.parametrize(
    ("item_id", "words"),
    [
        ("ground-wheels", "wheels still fitted"),
        ("straps", "still tied"),
        ("intake", "cover on"),
        ("exhaust", "cover not removed"),
        ("pitot", "cover on"),
        ("static-ports", "tape on left port"),
        ("tail-blades", "lock still on, blade one"),
        ("pieces-counted", "seven pieces"),
        ("shaft-cover", "sticking up"),
        ("cowl-latches", "one is open"),
        ("fuel-cap", "not locked"),
        ("cargo", "net loose"),
        ("last-look", "foreign object"),
    ],
)
def test_what_was_left_on_or_open_is_a_critical_finding(item_id: str, words: str) -> None:
    found = said(item_id, *words.split(", "), "affirm")
    assert (found.kind, found.item, found.severity) == ("finding", item_id, "critical")


def test_the_count_is_what_the_items_have_taken_off() -> None:
    """One pitot cover, two of the intake, one of the exhaust, and a strap for each main blade."""
    count = HELICOPTER.item("pieces-counted").count
    assert count is not None
    assert count.expect == 1 + 2 + 1 + len(HELICOPTER.item("main-blades").positions.number)


def test_what_servicing_touches_is_asked_again() -> None:
    again = {item.id for item in HELICOPTER.items() if item.repeat_after_servicing}
    assert {"fuel-cap", "fuel-sample", "engine-oil", *OIL_GLASSES, "cowl-latches", "cargo", "last-look"} <= again


# ---- conditions


def test_in_frost_blades_and_skids_are_asked_for() -> None:
    assert asked("freezing") - asked() == {"rotor-frost", "skids-frozen"}
    assert said("skids-frozen", "frozen to the ground", "affirm", conditions=["freezing"]).severity == "critical"


def test_lights_are_judged_while_they_are_on() -> None:
    assert asked("night") - asked() == {"lights-on", "lights-lit", "lights-off"}
    lit = HELICOPTER.item("lights-lit")
    talk = walking_to("lights-on", "night")
    assert route.status(talk.state, lit) == "shut"
    talk.say("cockpit confirms")
    assert route.status(talk.state, lit) == "open"


def test_to_ask_for_lights_is_not_to_ask_for_a_start() -> None:
    assert "nothing is started" in (HELICOPTER.item("lights-on").caution or "")
