"""Every shipped checklist is walked from the first word to the last, by voice, through the real recogniser.

The twin turboprop's walk is that of the demo (`test_demo.py`).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from demo.inspector import Story
from handsfree.resources import find_checklist
from tests.support.walked import Walked, walked

pytestmark = [pytest.mark.slow, pytest.mark.timeout(300)]

STORIES: dict[str, tuple[Story, dict[str, str]]] = {
    "twin-jet": (
        {
            "right-fan": ("nick", "affirm"),
            "right-tyres": ("cut on tyre seven", "affirm"),
            "fire-discs": ("yellow gone", "affirm"),
            "left-vents": ("black cross", "affirm"),
        },
        {"right-fan": "nick", "right-tyres": "cut", "fire-discs": "yellow-gone", "left-vents": "burst"},
    ),
    "piston-trainer": (
        {
            "ropes": ("tail rope on", "affirm"),
            "left-fuel-colour": ("straw coloured", "affirm"),
            "intakes": ("bird nest", "affirm"),
            "propeller": ("nick on blade two", "affirm"),
        },
        {"ropes": "tied-down", "left-fuel-colour": "no-colour", "intakes": "nest", "propeller": "nick"},
    ),
    "glider": (
        {
            "main-pins": ("clip missing", "affirm"),
            "ailerons-held": ("stick moves", "affirm"),
            "right-aileron": ("tape coming off", "affirm"),
            "tail-dolly": ("dolly is on", "affirm"),
        },
        {
            "main-pins": "clip-missing",
            "ailerons-held": "not-joined",
            "right-aileron": "tape-peeling",
            "tail-dolly": "fitted",
        },
    ),
    "helicopter": (
        {
            "ground-wheels": ("wheels still fitted", "affirm"),
            "tail-blades": ("nick on blade two", "affirm"),
            "transmission-oil": ("below the mark", "affirm"),
            "cargo": ("load loose", "affirm"),
        },
        {"ground-wheels": "wheels-on", "tail-blades": "nick", "transmission-oil": "low", "cargo": "load-loose"},
    ),
}


@pytest.fixture(scope="module", params=STORIES)
def walk(request: pytest.FixtureRequest, model: Path, tmp_path_factory: pytest.TempPathFactory) -> Walked:
    story, _ = STORIES[request.param]
    return walked(find_checklist(request.param), story, model, tmp_path_factory.mktemp(request.param) / "walk")


def test_it_comes_to_its_end_with_nothing_open(walk: Walked) -> None:
    assert (walk.outcome, walk.unanswered) == ("complete", ())


def test_what_was_found_is_found_and_nothing_else(walk: Walked) -> None:
    _, wanted = STORIES[walk.checklist.id]
    assert walk.findings == wanted


def test_clear_answers_are_understood_the_first_time(walk: Walked) -> None:
    assert walk.asked_again == []


def test_what_was_asked_of_others_is_given_back(walk: Walked) -> None:
    holds = {item.hold.id for item in walk.checklist.items() if item.hold and item.only_if is None}
    assert {hold for hold, active in walk.holds if active} == holds
    assert {hold for hold, active in walk.holds if not active} == holds
