"""What practised walks were worth, beside each other, and the curve through one person's."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from handsfree.debrief.attempts import Attempts, attempts
from handsfree.debrief.gathering import Debrief, sounds_of
from handsfree.debrief.page import page
from handsfree.drill.score import score
from tests.debrief import made
from tests.debrief.test_page import Reader

BETTER = tuple(line for line in made.ROUND if line != "what do I look for")
"""Without the help, which costs a point."""


@pytest.fixture(scope="module")
def walks(tmp_path_factory: pytest.TempPathFactory) -> list[Debrief]:
    """Five attempts of one person; of each after the first the time is later."""
    folder = tmp_path_factory.mktemp("attempts")
    first, second = made.attempt(folder / "one"), made.attempt(folder / "two", *BETTER)
    told = [first, first, second, second, second]
    return [
        replace(one, timeline=replace(one.timeline, began=f"2026-01-0{day}T08:00:00.000Z"))
        for day, one in enumerate(told, start=1)
    ]


def of(walks: list[Debrief]) -> Attempts:
    beside = attempts(walks)
    assert beside is not None
    return beside


def test_the_points_are_those_of_the_score(walks: list[Debrief]) -> None:
    told = [one.points for one in of(walks).worths if one]
    assert told == [score(one.attempt, one.checklist).points for one in walks if one.attempt]
    assert told[0] < told[2]


def test_the_curve_goes_through_them_in_the_order_of_time(walks: list[Debrief]) -> None:
    beside = of(walks[::-1])
    assert beside.order == (4, 3, 2, 1, 0)
    expected = beside.expected()
    assert len(expected) == len(walks) + 1
    assert all(0 <= one.low <= one.value <= one.high <= 100 for one in expected)
    assert expected[0].value < expected[-1].value


def test_two_attempts_have_no_curve_and_say_so(walks: list[Debrief]) -> None:
    beside = of(walks[:2])
    assert beside.expected() == ()
    text = page(walks[0], sounds_of(walks[0]), others=walks[1:2])
    assert "No learning curve: fewer than 4 attempts." in text


def test_attempts_of_two_people_lead_nowhere(walks: list[Debrief]) -> None:
    other = replace(walks[1], summary=replace(walks[1].summary, who="XX"))
    beside = of([walks[0], other])
    assert beside.order == ()
    assert beside.learning is None
    assert "learning curve" not in page(walks[0], sounds_of(walks[0]), others=[other])


def test_a_real_walk_has_no_points(walks: list[Debrief], tmp_path: Path) -> None:
    real = made.story(tmp_path)
    assert attempts([real]) is None
    assert of([walks[0], real]).worths[1] is None


def test_the_page_draws_the_curve_and_says_every_number_of_it(walks: list[Debrief]) -> None:
    text = page(walks[0], sounds_of(walks[0]), others=walks[1:])
    read = Reader(text)
    assert "Points of 5 attempts, and the curve through them" in text
    for one in of(walks).expected():
        assert f"{one.value:.0f} ({one.low:.0f} to {one.high:.0f})" in read.text
    for row in ("Points of 100", "Defects reported", "Sound, and called wrong", "Told apart, d'", "Helps"):
        assert row in read.text
