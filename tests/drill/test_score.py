"""A score explains itself: each point that is lost has its reason, and its event where there is one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handsfree.drill.attempt import Attempt, Given, Return, Trial
from handsfree.drill.exercise import Scene
from handsfree.drill.feedback import feedback
from handsfree.drill.score import FULL, score
from tests.walk.conversation import small

CHECKLIST = small().checklist
DUE = tuple(item.id for item in CHECKLIST.items() if item.only_if is None)


def scene(item: str, truth: str) -> Scene:
    return Scene.model_validate({"id": "one", "item": item, "see": "Something.", "truth": truth, "why": "It is so."})


def trial(item: str, truth: str, outcome: str, **more: object) -> Trial:
    return Trial(scene(item, truth), "nose", outcome, event=7, **more)  # pyright: ignore


PERFECT = Attempt(
    who="AB", exercise="one", practice="scenes", ended=True,
    trials=(
        trial("fuel-caps", "defect", "hit", named_rightly=True),
        trial("nose-gear", "odd", "right"), trial("fire-disc", "sound", "right"),
    ),
    extras=(), visited=DUE, due=DUE, left_out=(), helps=(), returns=(), holds_ignored=(),
    seconds_by_zone={"nose": 100.0, "left-wing": 100.0, "tail": 100.0}, asked_again=0, utterances=20,
    speech_over_noise_db=20.0,
)  # fmt: skip


def returned(went_to: str | None, *, reported: bool = True, again: tuple[str, ...] = ()) -> Return:
    return Return("servicing", "brake-lines", went_to, reported, again, 9)


FAULTS: dict[str, tuple[Attempt, int, str, int | None]] = {
    "a critical defect passed": (
        replace(PERFECT, trials=(trial("fuel-caps", "defect", "miss"),)), 15, "missed at fuel caps: It is so.", 7,
    ),
    "another defect passed": (
        replace(PERFECT, trials=(trial("tyre-pressure", "defect", "miss"),)), 8, "missed at main tyre pressure", 7,
    ),
    "a defect never spoken of": (
        replace(PERFECT, trials=(trial("fuel-caps", "defect", "omitted"),), left_out=("fuel-caps",)),
        15, "never reported at fuel caps", 7,
    ),
    "a defect called something else": (
        replace(PERFECT, trials=(trial("fuel-caps", "defect", "hit", named_rightly=False),)),
        2, "called something else", 7,
    ),
    "something harmless called wrong": (
        replace(PERFECT, trials=(trial("nose-gear", "odd", "false alarm"),)), 4, "called wrong at nose gear", 7,
    ),
    "an item left out": (replace(PERFECT, left_out=("nose-gear",)), 5, "left out: nose gear", None),
    "a help": (replace(PERFECT, helps=(Given("why", "nose-gear", 4),)), 1, "help, why at nose gear", 4),
    "the place lost": (replace(PERFECT, returns=(returned("fuel-caps"),)), 5, "the interruption at brake lines", 9),
    "servicing kept to oneself": (
        replace(PERFECT, returns=(returned("brake-lines", reported=False),)), 5, "servicing was not reported", 9,
    ),
    "not looked at again": (
        replace(PERFECT, returns=(returned("brake-lines", again=("fuel-caps",)),)), 3, "not looked at again", 9,
    ),
    "a hold not respected": (
        replace(PERFECT, holds_ignored=(("brake-pins", 5),)), 5, "brake wear pins: the cockpit was to be asked", 5,
    ),
    "out of order from memory": (
        replace(PERFECT, practice="memory", visited=(DUE[1], DUE[0], *DUE[2:])), 1, "out of order", None,
    ),
}  # fmt: skip


def test_nothing_is_lost_where_nothing_went_wrong() -> None:
    found = score(PERFECT, CHECKLIST)
    assert (found.points, found.lost) == (FULL, ())
    assert (found.counts.hits, found.counts.correct_rejections) == (1, 2)
    assert (found.order.distance, found.order.tau) == (0, 1.0)


@pytest.mark.parametrize("fault", FAULTS)
def test_each_fault_costs_its_points_and_names_its_event(fault: str) -> None:
    attempt, points, reason, event = FAULTS[fault]
    found = score(attempt, CHECKLIST)
    (lost,) = found.lost
    assert (lost.points, lost.event) == (points, event)
    assert reason in lost.reason
    assert found.points == FULL - points


def test_who_is_prompted_is_in_the_order_of_the_prompts() -> None:
    assert score(replace(PERFECT, visited=(DUE[1], DUE[0], *DUE[2:])), CHECKLIST).lost == ()


def test_a_zone_is_rushed_in_less_than_half_of_the_reference_s_time() -> None:
    assert score(PERFECT, CHECKLIST, {"nose": 200.0}).lost == ()
    (lost,) = score(PERFECT, CHECKLIST, {"nose": 200.1}).lost
    assert lost.reason == "Nose: 100 seconds, where the reference took 200"


def test_points_never_fall_below_none() -> None:
    missed = (trial("fuel-caps", "defect", "miss"),) * 20
    assert score(replace(PERFECT, trials=missed), CHECKLIST).points == 0


# ---- what is said of it


def said(attempt: Attempt) -> str:
    return " ".join(feedback(attempt, score(attempt, CHECKLIST), CHECKLIST))


def test_feedback_begins_with_what_went_well() -> None:
    assert said(PERFECT) == "You found the one defect. You called nothing wrong that was sound. 100 of 100 points."


def test_feedback_names_three_things_at_most() -> None:
    missed = tuple(trial(item, "defect", "miss") for item in DUE[:5])
    words = said(replace(PERFECT, trials=missed))
    assert words.startswith("You found 0 of 5 defects.")
    assert "Look again at: pitot covers, nose gear, hydraulic pressure, and 2 more." in words


def test_feedback_on_a_round_without_defects() -> None:
    calm = replace(PERFECT, trials=(trial("nose-gear", "odd", "right"),))
    assert said(calm).startswith("There was no defect to find. You called nothing wrong that was sound.")
    nervous = replace(PERFECT, trials=(trial("nose-gear", "odd", "false alarm"),))
    assert "One thing that was sound you called a defect." in said(nervous)


def test_feedback_says_where_one_was_interrupted_when_the_place_was_lost() -> None:
    assert "Where you were interrupted: brake lines." in said(replace(PERFECT, returns=(returned(None),)))
    found = replace(PERFECT, returns=(returned("brake-lines"),))
    assert "After the interruption you went on at the right place." in said(found)
