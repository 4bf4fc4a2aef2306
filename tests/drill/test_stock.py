"""What is practised with: every item has its scenes, and what is spoken gives no answer away."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist, Item
from handsfree.drill.composing import completed, composed
from handsfree.drill.counts import contradictions
from handsfree.drill.exercise import (
    Difficulty,
    Exercise,
    ExerciseError,
    Scene,
    Setting,
    Stock,
    load_exercise,
    load_stock,
)
from handsfree.resources import STOCK_NAME

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "exercises" / "twin-turboprop"
EXERCISES = (
    "called-away",
    "covers-and-pins",
    "first-look",
    "fuelled-meanwhile",
    "long-parked",
    "night-frost",
    "nothing-wrong",
    "small-things",
)

LOOKED_AT = ("condition", "indicator", "quantity", "count")
ANSWERED_BY_THE_COCKPIT = ("hold", "undo")
MOST_WORDS = 45
SPEAKABLE = re.compile(r"[A-Za-z ,.:;'-]+")
"""No digits, which a voice reads as it likes, and no signs that have no sound."""
DIFFICULTIES: tuple[Difficulty, ...] = (1, 2, 3)
VERDICTS = {"good", "bad", "normal", "usual", "wrong", "correct", "proper", "safe", "harmless", "flawless", "intact"}
BEYOND_NUMBERS = {"quantity": {"below-limit", "above-limit"}, "count": {"count-short", "count-over"}}
"""Findings that the tool makes of a number; no checklist lists them."""


@cache
def book() -> Book:
    return Book(load(ROOT / "checklists/twin-turboprop.yaml"))


def checklist() -> Checklist:
    return book().checklist


@cache
def stock() -> Stock:
    return load_stock(FOLDER / STOCK_NAME, checklist())


@cache
def exercise(name: str) -> Exercise:
    return load_exercise(FOLDER / f"{name}.yaml", checklist(), stock())


def holding(name: str) -> set[str]:
    """The conditions that are to be affirmed."""
    return {one for one, holds in exercise(name).conditions.items() if holds}


def all_scenes() -> Iterator[Scene]:
    """Those of the stock, and those that an exercise has of its own."""
    yield from stock().scenes
    for name in EXERCISES:
        yield from exercise(name).scenes


def items(*kinds: str) -> tuple[Item, ...]:
    return tuple(one for one in checklist().items() if one.kind in kinds)


def known(item: Item, truth: str) -> list[Scene]:
    return [one for one in stock().scenes if one.item == item.id and one.truth == truth]


def sentences(text: str) -> list[str]:
    """Each as words with a space before and behind, so that only whole words are found in it."""
    said = (re.findall(r"[a-z']+", one) for one in re.split(r"[.:;]", text.lower()))
    return [f" {' '.join(words)} " for words in said]


@cache
def answers(item_id: str) -> frozenset[str]:
    """All that passes the item or is a finding at it; numbers are what is to be seen, and are said."""
    own = book().phrasebook.own_phrases(checklist().item(item_id))
    phrases = (one for one in own if one.meaning.outcome in ("pass", "finding"))
    return frozenset(words for one in phrases for words in (one.text, one.heard_as))


@cache
def ways_to_say(finding: str) -> frozenset[str]:
    """What a rule of the grammar holds."""
    paths = book().grammars.expansion(f"<findings.{finding.replace('-', '_')}>").paths()
    return frozenset(one.written for one in paths)


def given_away(scene: Scene) -> list[str]:
    """The answers that a scene says."""
    told = answers(scene.item) if scene.item else frozenset[str]().union(*map(ways_to_say, scene.findings))
    return sorted(words for words in told if any(f" {words} " in one for one in sentences(scene.see)))


# Every item has its scenes


@pytest.mark.parametrize("item", items(*LOOKED_AT), ids=lambda item: item.id)
def test_what_is_looked_at_is_sound_in_two_ways_and_bad_in_one_at_least(item: Item) -> None:
    assert len(known(item, "sound")) >= 2
    assert known(item, "defect")


@pytest.mark.parametrize("item", items(*ANSWERED_BY_THE_COCKPIT), ids=lambda item: item.id)
def test_the_cockpit_answers(item: Item) -> None:
    (scene,) = (one for one in stock().scenes if one.item == item.id)
    assert scene.truth == "sound"
    assert "cockpit" in scene.see


def test_half_of_the_items_at_least_have_something_odd_that_is_harmless() -> None:
    odd = {one.item for one in stock().scenes if one.truth == "odd"}
    assert len(odd) >= len(items(*LOOKED_AT)) / 2


def test_critical_items_are_often_bad_in_more_than_one_way() -> None:
    critical = [one for one in items("condition", "indicator") if one.severity == "critical"]
    several = [one for one in critical if len(known(one, "defect")) > 1]
    assert len(several) > len(critical) / 2


def test_something_is_bad_where_no_item_asks() -> None:
    zones = Counter(one.zone for one in stock().scenes if one.zone)
    assert sum(zones.values()) >= 15
    assert len(zones) >= 10
    assert all(one.findings for one in stock().scenes if one.zone)


@pytest.mark.parametrize("truth", ["defect", "odd"])
@pytest.mark.parametrize("difficulty", DIFFICULTIES)
def test_there_is_enough_of_each_difficulty(truth: str, difficulty: Difficulty) -> None:
    assert len([one for one in stock().scenes if (one.truth, one.difficulty) == (truth, difficulty)]) >= 8


# What is spoken


def test_no_scene_says_the_answer() -> None:
    assert {one.id: said for one in all_scenes() if (said := given_away(one))} == {}


def test_no_scene_judges() -> None:
    judged = {one.id: said for one in all_scenes() if (said := VERDICTS & set(" ".join(sentences(one.see)).split()))}
    assert judged == {}


def test_the_answer_would_be_found() -> None:
    (scene, *_) = known(checklist().item("nose-tyres"), "defect")
    assert given_away(scene.model_copy(update={"see": "On the left tyre: a cut, as long as a finger."})) == ["cut"]
    assert given_away(scene.model_copy(update={"see": "A cutting wind blows over the shortcut."})) == []


def test_scenes_are_short_and_can_be_spoken() -> None:
    for scene in all_scenes():
        assert len(scene.see.split()) <= MOST_WORDS, scene.id
        assert SPEAKABLE.fullmatch(scene.see), scene.id
        assert scene.see.endswith("."), scene.id
        assert len(scene.why.split()) <= MOST_WORDS, scene.id


@pytest.mark.parametrize("name", EXERCISES)
def test_what_an_exercise_says_can_be_spoken(name: str) -> None:
    for text in (exercise(name).setting, *(one.say for one in exercise(name).interruptions)):
        assert SPEAKABLE.fullmatch(text), text


def test_no_two_scenes_say_the_same() -> None:
    told = Counter(one.see for one in all_scenes())
    assert [text for text, times in told.items() if times > 1] == []


def test_findings_are_those_of_the_item_or_of_the_grammar() -> None:
    for scene in all_scenes():
        if scene.item is None:
            assert all(map(ways_to_say, scene.findings)), scene.id
        else:
            item = checklist().item(scene.item)
            assert set(scene.findings) <= item.finding_ids() | BEYOND_NUMBERS.get(item.kind, set()), scene.id
        assert bool(scene.findings) == (scene.truth == "defect"), scene.id


@pytest.mark.parametrize("item", checklist().items(), ids=lambda item: item.id)
def test_every_item_says_why(item: Item) -> None:
    assert item.why
    assert len(item.why.split()) <= MOST_WORDS


# The exercises


def test_these_are_all_exercises() -> None:
    assert tuple(sorted(one.stem for one in FOLDER.glob("*.yaml") if one.name != STOCK_NAME)) == EXERCISES


@pytest.mark.parametrize("name", EXERCISES)
def test_an_exercise_is_complete(name: str) -> None:
    whole = completed(exercise(name), stock(), checklist())
    assert exercise(name).id == name
    seen = Counter(one.item for one in whole.scenes if one.item)
    assert set(seen) == {one.id for one in checklist().items()}
    assert set(seen.values()) == {1}, "two scenes at one item"


@pytest.mark.parametrize("name", EXERCISES)
def test_no_more_is_in_hand_than_came_off(name: str) -> None:
    scenes = completed(exercise(name), stock(), checklist()).scenes
    for counted in stock().counted:
        left = counted.left(scenes)
        count = checklist().item(counted.item).count
        (scene,) = (one for one in scenes if one.item == counted.item)
        assert count is not None
        assert scene.in_hand is not None
        if left:
            assert scene.in_hand <= count.expect - left


def test_in_covers_and_pins_all_that_was_left_on_lacks_in_the_hand() -> None:
    scenes = completed(exercise("covers-and-pins"), stock(), checklist()).scenes
    covers, pins = stock().counted
    in_hand = {one.item: one.in_hand for one in scenes}
    assert (covers.left(scenes), in_hand["covers-counted"]) == (4, 4)
    assert (pins.left(scenes), in_hand["pins-counted"]) == (3, 1)


def test_an_exercise_in_which_more_is_in_hand_than_came_off_is_refused(tmp_path: Path) -> None:
    text = (FOLDER / "first-look.yaml").read_text(encoding="utf-8").replace("- covers-seven", "- covers-eight-in-pairs")
    (tmp_path / "wrong.yaml").write_text(text, encoding="utf-8")
    wanted = "'covers-eight-in-pairs' has 8 of 8 covers in hand, and 1 are left on the aircraft"
    with pytest.raises(ExerciseError, match=wanted) as refused:
        load_exercise(tmp_path / "wrong.yaml", checklist(), stock())
    (problem,) = refused.value.problems
    assert text.splitlines()[problem.line - 1].strip() == "- covers-eight-in-pairs"


def test_what_is_not_said_of_a_count_follows_from_what_was_left_on() -> None:
    bare = exercise("first-look").model_copy(update={"take": ("left-probe-sleeve", "right-probe-ribbon")})
    (scene,) = (one for one in completed(bare, stock(), checklist()).scenes if one.item == "covers-counted")
    assert scene.findings == ("count-short",)
    assert scene.in_hand is not None
    assert scene.in_hand <= 6


@pytest.mark.parametrize("name", EXERCISES)
def test_what_an_exercise_plants_comes_up(name: str) -> None:
    one = exercise(name)
    planted = [*one.scenes, *(scene for scene in stock().scenes if scene.id in one.take)]
    assert len(set(one.take)) == len(one.take)
    for item in [*(scene.item for scene in planted), *(interruption.at for interruption in one.interruptions)]:
        only_if = checklist().item(item).only_if if item else None
        assert only_if is None or one.conditions.get(only_if, False), item


@pytest.mark.parametrize("name", EXERCISES)
def test_an_exercise_has_something_to_find_and_not_too_much(name: str) -> None:
    truths = Counter(one.truth for one in completed(exercise(name), stock(), checklist()).scenes)
    if name == "nothing-wrong":
        assert truths["defect"] == 0
        assert truths["odd"] >= 5
    else:
        assert 5 <= truths["defect"] <= 12
        assert 3 <= truths["odd"] <= 10
    assert len(exercise(name).interruptions) <= 2


@pytest.mark.parametrize("name", EXERCISES)
def test_nothing_is_harder_than_the_exercise(name: str) -> None:
    one = exercise(name)
    assert (
        max(scene.difficulty for scene in completed(one, stock(), checklist()).scenes if scene.truth != "sound")
        == one.difficulty
    )


def test_the_exercises_differ_in_what_they_train() -> None:
    assert exercise("first-look").interruptions == ()
    assert exercise("first-look").difficulty == 1
    assert holding("night-frost") >= {"night", "freezing"}
    assert holding("long-parked") >= {"parked", "first-of-day"}
    assert [name for name in EXERCISES if "night" in holding(name)] == ["night-frost"]
    assert [one.kind for one in exercise("called-away").interruptions] == ["call"]
    assert [one.kind for one in exercise("fuelled-meanwhile").interruptions] == ["servicing"]
    assert exercise("small-things").difficulty == 3


def test_servicing_comes_when_something_it_touches_was_looked_at() -> None:
    (servicing,) = exercise("fuelled-meanwhile").interruptions
    order = [one.id for one in checklist().items()]
    before = checklist().items()[: order.index(servicing.at)]
    assert len([one for one in before if one.repeat_after_servicing]) >= 5


@pytest.mark.parametrize("setting", stock().settings, ids=lambda one: " ".join(one.say.split()[:4]))
def test_a_day_can_be_spoken_and_is_short(setting: Setting) -> None:
    assert SPEAKABLE.fullmatch(setting.say), setting.say
    assert len(setting.say.split()) <= MOST_WORDS
    told = setting.say.lower()
    assert setting.conditions.get("night", False) == ("torch" in told)
    assert setting.conditions.get("freezing", False) == ("thermometer" in told or "below zero" in told)


def test_exercises_by_chance_are_on_many_days() -> None:
    made = {composed(checklist(), stock(), seed, 2).setting for seed in range(60)}
    assert made == {one.say for one in stock().settings}


@pytest.mark.parametrize("difficulty", DIFFICULTIES)
def test_exercises_by_chance_are_complete_and_differ(difficulty: Difficulty) -> None:
    made = [composed(checklist(), stock(), seed, difficulty) for seed in range(20)]
    for one in made:
        truths = Counter(scene.truth for scene in one.scenes)
        assert {scene.item for scene in one.scenes if scene.item} == {item.id for item in checklist().items()}
        assert truths["defect"] >= 5
        assert truths["odd"] >= 3
        assert max(scene.difficulty for scene in one.scenes if scene.truth != "sound") <= difficulty
        assert list(contradictions(stock().counted, one.scenes, checklist())) == []
    assert len({tuple(sorted(scene.id for scene in one.scenes)) for one in made}) == len(made)


@pytest.mark.parametrize(
    ("old", "new", "wanted"),
    [
        ("conditions: {night: true}", "conditions: {eclipse: true}", "the checklist asks no question 'eclipse'"),
        ("- item: covers-counted\n    at:", "- item: nose-tyres\n    at:", "the item 'nose-tyres' counts nothing"),
        ("at: [steering-pin,", "at: [steering-pine,", "the checklist has no item 'steering-pine'"),
        ("    in_hand: 7\n", "", "'in_hand' belongs to the scenes of an item that is counted"),
    ],
)
def test_a_stock_that_contradicts_its_checklist_is_refused(tmp_path: Path, old: str, new: str, wanted: str) -> None:
    text = (FOLDER / STOCK_NAME).read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "stock.yaml").write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(ExerciseError, match=re.escape(wanted)) as refused:
        load_stock(tmp_path / "stock.yaml", checklist())
    assert all(one.line for one in refused.value.problems)
