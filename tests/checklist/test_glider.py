"""What makes the glider a glider: what holds it together, a helper at the surfaces, and nothing of an engine."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import pytest

from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.checklist.models import Item
from handsfree.debrief.happenings import Sentences
from handsfree.drill.composing import composed
from handsfree.drill.exercise import Scene, Stock
from handsfree.journal import events as log
from handsfree.walk.course import Course
from handsfree.walk.events import Begin, Say
from tests.walk.conversation import Conversation, good_answer, kept

PATH = Path(__file__).parents[2] / "checklists/glider.yaml"
GLIDER = load(PATH)
HELD = ("ailerons-held", "airbrakes-held", "elevator-held")
ENGINE = ("engine", "propeller", "fuel", "oil", "exhaust", "flap", "crew", "captain")


@cache
def book() -> Book:
    return kept(Book(GLIDER))


def walking_to(item: str, wet: str = "negative") -> Conversation:
    """A walk on which everything before an item has passed."""
    talk = Conversation(book(), Begin(who="AB", registration="Q8SKA", level_check=False))
    talk.say(wet)
    while talk.state.item != item:
        talk.say(good_answer(book(), GLIDER.item(talk.state.item or "")))
    return talk


def said(talk: Conversation, *words: str) -> str:
    return " ".join(one.text for one in talk.say(*words) if isinstance(one, Say))


# ---- every item


def test_it_is_short() -> None:
    assert 18 <= len(GLIDER.items()) <= 28


@pytest.mark.parametrize("item", GLIDER.items(), ids=lambda item: item.id)
def test_every_item_teaches(item: Item) -> None:
    assert item.look_for.startswith("Good is "), "good first, then what bad looks like"
    assert item.why
    assert item.source
    assert len(item.ata) == 2
    assert item.why not in {other.why for other in GLIDER.items() if other is not item}, "no reason is given twice"


def test_nothing_is_asked_about_an_engine() -> None:
    words = " ".join(f"{item.name} {item.prompt} {item.full} {item.caution}" for item in GLIDER.items()).lower().split()
    assert not set(ENGINE) & {word.strip(".,?") for word in words}
    assert not any(item.quantity for item in GLIDER.items()), "no fuel, no oil, no gauge"
    assert not any(item.repeat_after_servicing for item in GLIDER.items()), "nobody refuels a glider"


# ---- held together


@pytest.mark.parametrize("item_id", ["main-pins", "tailplane-bolt", "airbrakes-shut", "connections", *HELD])
def test_what_holds_it_together_is_critical(item_id: str) -> None:
    assert GLIDER.item(item_id).severity == "critical"


@pytest.mark.parametrize(
    ("item_id", "words", "finding"),
    [
        ("main-pins", "clip missing", "clip-missing"),
        ("main-pins", "left pin sticking out", "standing-out"),
        ("connections", "rod hanging", "open-joint"),
        ("ailerons-held", "stick moves", "not-joined"),
        ("elevator-held", "wrong way", "wrong-way"),
        ("airbrakes-shut", "gap at the box", "standing-up"),
        ("release-hooks", "hook jammed", "stuck"),
        ("trim-weights", "too light", "too-light"),
        ("tip-wheel", "wheel is on", "fitted"),
        ("tailplane-bolt", "one turn short", "standing-out"),
        ("right-aileron", "tape coming off", "tape-peeling"),
        ("total-energy", "missing", "missing"),
        ("tail-dolly", "dolly is on", "fitted"),
    ],
)
def test_what_kills_is_a_finding(item_id: str, words: str, finding: str) -> None:
    talk = walking_to(item_id)
    talk.say(words, "affirm")
    assert talk.state.answers[-1].item == item_id
    assert talk.state.answers[-1].meaning.get("finding") == finding


def test_a_joint_that_is_denied_is_never_a_pass() -> None:
    for words in ("not joined and clipped", "joined and not clipped", "not all four joined"):
        assert walking_to("connections").hear(words).outcome == "finding"


def test_three_pieces_on_the_grass_are_one_too_few() -> None:
    talk = walking_to("counted")
    talk.say("three pieces", "affirm")
    assert talk.state.answers[-1].kind == "finding"


# ---- the helper


def test_surfaces_are_pushed_against_only_while_the_helper_holds_them() -> None:
    assert tuple(item.id for item in GLIDER.items() if item.needs == "positive") == HELD
    order = [item.id for item in GLIDER.items()]
    assert order.index("helper-holds") < order.index(HELD[0])
    assert order.index(HELD[-1]) < order.index("helper-lets-go")


def test_a_helper_is_asked_for_where_others_ask_the_cockpit() -> None:
    talk = walking_to("helper-holds")
    words = said(talk, "nobody there, affirm", "leave for later")
    assert "These stay shut until the helper confirms: ailerons against the helper" in words
    assert "cockpit confirms" not in words


def test_without_a_helper_the_walk_goes_on_and_the_check_stays_open() -> None:
    talk = walking_to("helper-holds")
    talk.say("nobody there", "affirm")
    seen: list[str] = []
    while talk.state.moment == "item" and talk.state.item is not None:
        seen.append(talk.state.item)
        talk.say(good_answer(book(), GLIDER.item(talk.state.item)))
    assert not set(HELD) & set(seen)


def test_the_record_says_that_the_helper_confirmed() -> None:
    event = log.HoldEvent(hold="positive", active=True, time=datetime(2026, 1, 1, 8, tzinfo=UTC))
    told = Sentences([event], GLIDER).of(event, 0.0)
    assert told == "Confirmed by the helper: hold each surface still, and say which."


def test_who_practises_from_memory_hears_whom_to_ask_first() -> None:
    talk = Conversation(Book(GLIDER, course=Course("memory")), Begin(who="AB", registration="Q8SKA", level_check=False))
    words = said(talk, "negative", "elevator and rudder against the helper")
    assert words.endswith("Something must be asked of the helper first.")


def test_no_fuel_truck_comes_to_a_glider_in_an_exercise_by_chance() -> None:
    bare = Scene(id="bare", item="tail-dolly", see="The tail stands on its skid.", truth="sound", why="It is off.")
    stock = Stock(format=1, checklist="glider", scenes=(bare,))
    made = [one for seed in range(10) for one in composed(GLIDER, stock, seed, 3).interruptions]
    assert len(made) == 20
    assert {one.kind for one in made} == {"call"}
    assert not any("truck" in one.say or "cockpit" in one.say for one in made)


def test_rain_and_dew_are_asked_of_when_it_is_wet() -> None:
    assert [item.id for item in GLIDER.items() if item.only_if == "wet"] == ["wings-dry"]
    talk = walking_to("wings-dry", wet="affirm")
    talk.say("water on it", "affirm")
    assert talk.state.answers[-1].meaning.get("finding") == "water-drops"
