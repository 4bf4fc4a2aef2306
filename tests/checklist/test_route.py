"""Zones in an order in which one walks."""

from math import sqrt

import pytest

from handsfree.checklist.lint.route import crosses, nearest_neighbour_order, way_length
from handsfree.checklist.linter import check
from handsfree.checklist.models import Checklist
from handsfree.checklist.problems import Problem
from handsfree.language.grammars import Grammars
from tests.checklist.written import checklist, zone
from tests.support.said import pronounce

ROUND = {"nose": (0, 10), "right": (10, 0), "tail": (0, -10), "left": (-10, 0), "door": (-2, 9)}


def in_order(*names: str, **without: tuple[float, float] | None) -> Checklist:
    places = {**ROUND, **without}
    return checklist(*(zone(name, at=places[name]) for name in names))


def problems(subject: Checklist, grammars: Grammars) -> list[Problem]:
    return check(subject, grammars, lambda _word: True, pronounce)


def test_once_round_is_fine(grammars: Grammars) -> None:
    assert problems(in_order("nose", "right", "tail", "left", "door"), grammars) == []


def test_to_and_fro_is_a_long_way_and_crosses_itself(grammars: Grammars) -> None:
    found = problems(in_order("nose", "tail", "right", "left", "door"), grammars)
    assert [(problem.code, problem.level) for problem in found] == [
        ("long-way", "warning"),
        ("crossing-way", "warning"),
    ]
    long, crossing = found
    # 20 + 10 * sqrt 2 + 20 + sqrt 145 against three times 10 * sqrt 2 + sqrt 145: 66 and 54 metres
    assert "66 m" in long.message
    assert "54 m" in long.message
    assert long.hint == "try: nose, right, tail, left, door"
    assert crossing.message == "the way from 'nose' to 'tail' is crossed by the way from 'right' to 'left'"
    assert crossing.field == "zones[right]"


def test_without_all_positions_nothing_is_said(grammars: Grammars) -> None:
    assert problems(in_order("nose", "tail", "right", "left", "door", tail=None), grammars) == []


def test_the_length_of_a_way() -> None:
    assert way_length([(0, 0), (3, 4), (3, 0)]) == pytest.approx(9.0)
    assert way_length([(0, 0), (1, 1)]) == pytest.approx(sqrt(2))
    assert way_length([(5, 5)]) == 0


def test_the_nearest_each_time_and_the_last_stays_last() -> None:
    points = [(0.0, 0.0), (5.0, 0.0), (1.0, 0.0), (0.5, 0.0)]
    assert nearest_neighbour_order(points) == [0, 2, 1, 3]
    assert nearest_neighbour_order(points[:2]) == [0, 1]
    assert nearest_neighbour_order(points[:1]) == [0]


@pytest.mark.parametrize(
    ("legs", "expected"),
    [
        (((0, 0), (2, 2), (0, 2), (2, 0)), True),
        (((0, 0), (2, 0), (0, 1), (2, 1)), False),  # side by side
        (((0, 0), (2, 2), (2, 2), (4, 0)), False),  # one after the other: they share an end
        (((0, 0), (2, 0), (1, 0), (1, 2)), False),  # only touching
    ],
)
def test_crossing(legs: tuple[tuple[float, float], ...], expected: bool) -> None:
    assert crosses(*legs) is expected
