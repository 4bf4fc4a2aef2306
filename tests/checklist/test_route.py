"""Zones in an order in which one walks."""

from itertools import permutations
from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.checklist.lint.route import crosses, shortest_order, way_length
from handsfree.checklist.linter import check, notes
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


def test_to_and_fro_crosses_itself(grammars: Grammars) -> None:
    (crossing,) = problems(in_order("nose", "tail", "right", "left", "door"), grammars)
    assert (crossing.code, crossing.level) == ("crossing-way", "warning")
    assert crossing.message == "the way from 'nose' to 'tail' is crossed by the way from 'right' to 'left'"
    assert crossing.field == "zones[right]"


def test_a_longer_way_than_the_shortest_is_noted_with_figures(grammars: Grammars) -> None:
    found = notes(in_order("nose", "tail", "right", "left", "door"), grammars, pronounce)
    (long,) = (problem for problem in found if problem.code == "long-way")
    # 20 + 10 * sqrt 2 + 20 + sqrt 145 against three times 10 * sqrt 2 + sqrt 145: 66 and 54 metres
    assert "66 m" in long.message
    assert "54 m" in long.message
    assert long.level == "note"
    assert long.hint.startswith("nose, right, tail, left, door;")


def test_without_all_positions_nothing_is_said(grammars: Grammars) -> None:
    assert problems(in_order("nose", "tail", "right", "left", "door", tail=None), grammars) == []


def test_the_length_of_a_way() -> None:
    assert way_length([(0, 0), (3, 4), (3, 0)]) == pytest.approx(9.0)
    assert way_length([(0, 0), (1, 1)]) == pytest.approx(sqrt(2))
    assert way_length([(5, 5)]) == 0


PLACES = st.lists(st.tuples(st.integers(-20, 20), st.integers(-20, 20)), min_size=4, max_size=6, unique=True)


@settings(max_examples=25, deadline=None)
@given(PLACES)
def test_no_order_between_the_two_ends_is_shorter(places: list[tuple[int, int]]) -> None:
    points = [(float(x), float(y)) for x, y in places]
    first, *between, last = range(len(points))
    tried = min(way_length([points[at] for at in (first, *order, last)]) for order in permutations(between))
    found = shortest_order(points)
    assert (found[0], found[-1], sorted(found)) == (first, last, list(range(len(points))))
    assert way_length([points[at] for at in found]) == pytest.approx(tried)


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
