"""What a log of practice is folded into: each scene decided or not, the way, the helps, the returns."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.drill.attempt import Attempt, Trial, attempt_of
from handsfree.drill.exercise import load_exercise
from handsfree.journal.reader import EXERCISE_NAME
from tests.drill.practised import practise
from tests.walk.conversation import small

ROUND = (
    "negative", "cover on right", "affirm", "nose gear serviceable", "fuel leak left wing", "affirm", "pressure on",
    "pins proud", "brake lines", "lines dry", "one five zero", "affirm", "disc red", "pump off", "caps locked",
    "servicing done", "covers in hand", "four", "caps locked", "I do not accept",
)  # fmt: skip
"""All four defects found, nothing called wrong, both interruptions come back from as they should be."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "walk"


def attempt(folder: Path, *lines: str, practice: str = "scenes", bare: bool = False) -> Attempt:
    journal = practise(folder, practice, *lines, bare=bare)  # pyright: ignore[reportArgumentType]
    checklist = small().checklist
    return attempt_of(journal.events, checklist, None if bare else load_exercise(folder / EXERCISE_NAME, checklist))


def trial(found: Attempt, scene: str) -> Trial:
    return next(one for one in found.trials if one.scene.id == scene)


def without(*lines: str) -> tuple[str, ...]:
    return tuple(one for one in ROUND if one not in lines)


def test_a_round_in_which_all_is_right(folder: Path) -> None:
    found = attempt(folder, *ROUND)
    assert (found.who, found.exercise, found.practice, found.ended) == ("AB", "small-round", "scenes", True)
    outcomes = {one.scene.id: one.outcome for one in found.trials}
    assert outcomes["cover-left"] == outcomes["wing-drip"] == outcomes["gauge-low"] == "hit"
    assert outcomes["nose-gear-mark"] == outcomes["pins-out"] == "right"
    assert (found.count("hit"), found.count("miss"), found.count("false alarm"), found.count("omitted")) == (3, 0, 0, 0)
    assert found.extras == found.left_out == found.helps == found.holds_ignored == ()
    assert [(one.kind, one.due, one.is_right, one.is_reported and not one.again) for one in found.returns] == [
        ("call", "brake-lines", True, True),
        ("servicing", "covers-in-hand", True, True),
    ]
    assert found.visited[:3] == ("pitot-covers", "nose-gear", "pressure-on")


def test_an_item_that_its_condition_leaves_out_is_no_scene(folder: Path) -> None:
    found = attempt(folder, *ROUND)
    assert "taxi-light" not in {one.scene.item for one in found.trials}
    assert "taxi-light" not in found.due


def test_a_defect_that_is_passed_is_a_miss_and_says_with_which_words(folder: Path) -> None:
    found = trial(attempt(folder, "negative", "covers off"), "cover-left")
    assert (found.outcome, found.words) == ("miss", "covers off")


def test_a_defect_that_is_called_something_else_is_found_and_not_named_rightly(folder: Path) -> None:
    found = trial(attempt(folder, "negative", "blocked right", "affirm"), "cover-left")
    assert (found.outcome, found.named_rightly) == ("hit", False)


def test_something_odd_that_is_reported_is_a_false_alarm(folder: Path) -> None:
    found = attempt(folder, "negative", "cover on right", "affirm", "cut on tyre two", "affirm")
    assert trial(found, "nose-gear-mark").outcome == "false alarm"


def test_a_finding_that_is_taken_back_does_not_count(folder: Path) -> None:
    taken_back = ("cut on tyre two", "negative", "nose gear serviceable")
    found = attempt(folder, "negative", "cover on right", "affirm", *taken_back)
    assert trial(found, "nose-gear-mark").outcome == "right"


def test_what_is_not_answered_is_omitted(folder: Path) -> None:
    found = attempt(folder, "negative", "leave for later", "nose gear serviceable", "end the walk", "affirm")
    assert trial(found, "cover-left").outcome == "omitted"
    assert "pitot-covers" in found.left_out
    assert "nose-gear" not in found.left_out


def test_what_is_answered_only_after_the_end_named_it_was_left_out(folder: Path) -> None:
    lines = ("negative", "leave for later", "nose gear serviceable", "end the walk", "negative")
    found = attempt(folder, *lines, practice="scenes")
    assert "pitot-covers" in found.left_out


def test_a_scene_where_no_item_asks_that_is_not_reported_is_omitted(folder: Path) -> None:
    found = attempt(folder, *without("fuel leak left wing"))
    assert trial(found, "wing-drip").outcome == "omitted"


def test_a_report_of_a_place_where_nothing_is_wrong_is_an_extra(folder: Path) -> None:
    found = attempt(folder, "negative", "dent on the tail", "affirm")
    assert [one.description for one in found.extras] == ["dent, tail"]


def test_who_goes_on_elsewhere_after_a_call_is_noted_with_where(folder: Path) -> None:
    lines = ROUND[: ROUND.index("brake lines")]
    found = attempt(folder, *lines, "fire bottle disc")
    (one,) = found.returns
    assert (one.due, one.went_to, one.is_right) == ("brake-lines", "fire-disc", False)


def test_servicing_that_is_not_reported_and_what_is_not_looked_at_again(folder: Path) -> None:
    silent = attempt(folder, *without("servicing done")[:-2], "I do not accept")
    assert not silent.returns[1].is_reported


def test_after_servicing_what_was_not_looked_at_again_is_named(folder: Path, tmp_path: Path) -> None:
    lines = ROUND[: ROUND.index("four")]
    found = attempt(tmp_path / "other", *lines)
    assert found.returns[1].again == ("fuel-caps",)


def test_helps_are_listed_with_their_place_and_event(folder: Path) -> None:
    found = attempt(folder, "negative", "tell me why", "where are we")
    assert [(one.help, one.item) for one in found.helps] == [("why", "pitot-covers"), ("where", "pitot-covers")]


def test_an_item_come_to_before_the_cockpit_was_asked_is_noted(folder: Path) -> None:
    found = attempt(folder, "negative", "brake wear pins", practice="memory")
    assert [item for item, _ in found.holds_ignored] == ["brake-pins"]


def test_time_is_counted_by_zone(folder: Path) -> None:
    found = attempt(folder, *ROUND)
    assert set(found.seconds_by_zone) == {"nose", "left-wing", "tail"}


def test_without_an_exercise_there_is_the_way_and_nothing_to_be_right_about(folder: Path) -> None:
    found = attempt(folder, "negative", "covers off", practice="guided", bare=True)
    assert found.trials == ()
    assert found.visited == ("pitot-covers", "nose-gear")
