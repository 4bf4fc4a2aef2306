"""What makes the trainer a trainer: a live propeller, fuel by eye and by glass, a person inside, nests and water."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.checklist.models import Item
from handsfree.walk.events import Begin
from tests.walk.conversation import Conversation, good_answer, kept

PATH = Path(__file__).parents[2] / "checklists/piston-trainer.yaml"
TRAINER = load(PATH)
IN_THE_ARC = ("oil-quantity", "intakes", "propeller", "spinner", "engine-fuel-sample", "nose-leg")
SAMPLES = ("left-fuel-sample", "right-fuel-sample", "engine-fuel-sample")


@cache
def book() -> Book:
    return kept(Book(TRAINER))


def walking_to(item: str, *conditions: str) -> Conversation:
    """A walk on which everything before an item has passed; the conditions named hold."""
    talk = Conversation(book(), Begin(who="AB", registration="Q4LMA", level_check=False))
    for one in TRAINER.conditions:
        talk.say("affirm" if one.id in conditions else "negative")
    while talk.state.item != item:
        talk.say(good_answer(book(), TRAINER.item(talk.state.item or "")))
    return talk


def asked(*conditions: str) -> set[str]:
    return {item.id for item in TRAINER.items() if item.only_if is None or item.only_if in conditions}


# ---- every item


def test_it_is_a_whole_inspection_that_can_be_walked_in_one_go() -> None:
    by_day = [item for item in TRAINER.items() if item.id in asked() and item.kind not in ("hold", "undo")]
    assert 35 <= len(by_day) <= 50
    assert len(TRAINER.items()) - len(asked()) < 12, "what weather, night and standing add"


@pytest.mark.parametrize("item", TRAINER.items(), ids=lambda item: item.id)
def test_every_item_teaches(item: Item) -> None:
    assert item.look_for.startswith("Good is "), "good first, then what bad looks like"
    assert item.why
    assert item.source
    assert len(item.ata) == 2
    assert item.why not in {other.why for other in TRAINER.items() if other is not item}, "no reason is given twice"


# ---- the propeller


def test_the_ignition_is_off_before_anything_in_the_arc_is_asked() -> None:
    waits = {item.id for item in TRAINER.items() if item.needs == "ignition"}
    assert waits == set(IN_THE_ARC)


@pytest.mark.parametrize("item_id", IN_THE_ARC)
def test_whoever_is_close_to_the_propeller_is_warned_each_time(item_id: str) -> None:
    caution = (TRAINER.item(item_id).caution or "").lower()
    assert any(word in caution for word in ("propeller", "live", "arc"))


def test_without_the_key_in_view_nobody_is_sent_to_the_propeller() -> None:
    talk = walking_to("ignition-off")
    talk.say("no key", "affirm")
    while talk.state.item is not None and talk.state.moment == "item":
        assert talk.state.item not in IN_THE_ARC
        talk.say(good_answer(book(), TRAINER.item(talk.state.item)))


def test_the_ignition_is_handed_back_last_of_all() -> None:
    assert TRAINER.items()[-1].undoes == "ignition"


def test_a_nick_says_which_blade() -> None:
    talk = walking_to("propeller")
    talk.say("nick")
    assert talk.state.moment == "which"
    talk.say("blade two", "affirm")
    assert talk.state.answers[-1].meaning.get("number") == "2"


# ---- fuel and oil


@pytest.mark.parametrize("side", ["left", "right"])
def test_blue_is_good_and_fuel_without_colour_is_critical(side: str) -> None:
    states = {state.id: state for state in TRAINER.item(f"{side}-fuel-colour").states}
    assert [state.id for state in states.values() if state.good] == ["right-grade"]
    assert {state.severity for state in states.values() if not state.good} == {"critical"}
    assert "straw coloured" in states["no-colour"].say, "jet fuel in the tank of a piston engine"


@pytest.mark.parametrize("item_id", SAMPLES)
def test_water_in_a_sample_is_critical_wherever_it_is_drained(item_id: str) -> None:
    talk = walking_to(item_id)
    talk.say("water in the sample", "affirm")
    (found,) = talk.state.answers[-1:]
    assert (found.kind, found.meaning.get("finding")) == ("finding", "water")
    assert TRAINER.item(item_id).severity == "critical"


def test_the_colour_says_nothing_about_water_and_bright_nothing_about_the_grade() -> None:
    """A glass full of water is bright; a glass of the right colour may hold drops."""
    assert walking_to("left-fuel-sample").hear("blue").outcome != "pass"
    assert walking_to("left-fuel-colour").hear("bright").outcome != "pass"


def test_fuel_is_seen_by_eye_in_each_tank() -> None:
    for side in ("left", "right"):
        quantity = TRAINER.item(f"{side}-fuel-quantity").quantity
        assert quantity is not None
        assert quantity.form == "fraction"
    talk = walking_to("left-fuel-quantity")
    talk.say("empty", "affirm")
    assert talk.state.answers[-1].kind == "finding"


def test_too_little_oil_is_a_finding_and_half_litres_can_be_said() -> None:
    talk = walking_to("oil-quantity")
    talk.say("four decimal five litres", "affirm")
    assert (talk.state.answers[-1].kind, talk.state.answers[-1].meaning.get("value")) == ("finding", "4.5")
    assert walking_to("oil-quantity").hear("six").outcome == "value"


def test_after_the_fuel_truck_everything_that_it_touched_is_asked_again() -> None:
    again = {item.id for item in TRAINER.items() if item.repeat_after_servicing}
    assert {*SAMPLES, "left-fuel-cap", "right-fuel-cap", "left-fuel-colour", "right-fuel-colour", "oil-cap"} <= again


# ---- the person inside


def test_somebody_inside_is_asked_and_not_a_crew() -> None:
    assert {item.hold.who for item in TRAINER.items() if item.hold} == {"the person inside"}


def test_flaps_are_looked_at_while_they_are_down() -> None:
    order = [item.id for item in TRAINER.items()]
    down, up = order.index("flaps-down"), order.index("flaps-up")
    for flap in ("left-flap", "right-flap"):
        assert TRAINER.item(flap).needs == "flaps"
        assert down < order.index(flap) < up


def test_what_stays_shut_names_who_could_open_it() -> None:
    talk = walking_to("flaps-down")
    words = " ".join(str(getattr(one, "text", "")) for one in talk.say("flaps stuck, affirm", "leave for later"))
    assert "until the person inside confirms" in words


# ---- conditions


def test_nests_and_second_samples_are_asked_after_standing_outside() -> None:
    assert asked("stood") - asked() == {"engine-nests", "second-samples", "tail-nests"}


def test_a_nest_in_an_intake_can_be_reported_on_any_day() -> None:
    assert "nest" in TRAINER.item("intakes").finding_ids()
    assert "intakes" in asked()


def test_ice_is_asked_of_wings_and_tail() -> None:
    assert asked("freezing") - asked() == {"left-wing-frost", "right-wing-frost", "tail-frost"}


def test_lamps_are_judged_only_with_the_power_on() -> None:
    at_night = asked("night") - asked()
    assert {"lights-on", "lights-lit", "lights-off"} == at_night
    assert TRAINER.item("lights-lit").needs == "lights"


# ---- things left on


@pytest.mark.parametrize(
    ("item_id", "words"),
    [
        ("tow-bar", "bar is on"),
        ("ropes", "tail rope on"),
        ("control-lock", "lock on"),
        ("pitot-cover", "cover on"),
        ("static-ports", "taped over"),
        ("belts", "hanging out"),
        ("covers-counted", "two covers"),
    ],
)
def test_what_was_left_on_is_a_finding(item_id: str, words: str) -> None:
    talk = walking_to(item_id)
    talk.say(words, "affirm")
    assert (talk.state.answers[-1].kind, talk.state.answers[-1].item) == ("finding", item_id)
