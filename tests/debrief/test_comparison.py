"""Walks beside each other."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.debrief.comparison import Comparison, compare
from handsfree.debrief.gathering import Debrief, gather_all
from handsfree.journal.errors import JournalError
from handsfree.journal.reader import CHECKLIST_NAME
from tests.debrief import made

SHORT = ("negative", "blocked right", "affirm", "nose gear serviceable", "pressure on", "end the walk", "affirm",
    "no decision")  # fmt: skip


@pytest.fixture(scope="module")
def attempts(tmp_path_factory: pytest.TempPathFactory) -> tuple[Debrief, Debrief]:
    folder = tmp_path_factory.mktemp("attempts")
    return made.attempt(folder / "one"), made.attempt(folder / "other", *SHORT)


@pytest.fixture(scope="module")
def compared(attempts: tuple[Debrief, Debrief]) -> Comparison:
    return compare(attempts)


def test_time_by_zone_stands_side_by_side(attempts: tuple[Debrief, Debrief], compared: Comparison) -> None:
    assert [(one.name, [seconds is not None for seconds in one.seconds]) for one in compared.zones] == [
        ("Nose", [True, True]),
        ("Left wing", [True, True]),
        ("Tail", [True, False]),
    ]
    assert compared.zones[0].seconds[0] == attempts[0].timeline.route[0].seconds


def test_what_each_found_and_missed_stands_side_by_side(compared: Comparison) -> None:
    assert [(one.name, one.truth, [(cell.kind, cell.words) for cell in one.cells]) for one in compared.spots] == [
        ("pitot covers", "defect", [("missed", "covers off"), ("found", "blocked, right pitot")]),
        ("nose gear", "odd", [("false alarm", "cut, tyre two"), ("passed", "nose gear serviceable")]),
        ("main tyre pressure", "defect", [("found", "one five zero psi, below limit"), ("not answered", "")]),
        ("Left wing", "defect", [("found", "fuel leak, left wing"), ("missed", "")]),
    ]


def test_a_reference_walk_knows_no_truth_but_has_its_findings(
    attempts: tuple[Debrief, Debrief], tmp_path: Path
) -> None:
    both = compare((attempts[0], made.story(tmp_path)))
    assert {one.truth for one in both.spots} == {None}
    by_name = {one.name: [cell.kind for cell in one.cells] for one in both.spots}
    assert by_name["nose gear"] == ["false alarm", "found"]
    assert by_name["pitot covers"] == ["missed", "passed"]
    assert by_name["fuel leak, left wing"] == ["not reported", "found"]


def test_a_walk_in_which_all_was_good_has_nothing_to_compare(tmp_path: Path) -> None:
    good = made.golden("pass", tmp_path)
    assert compare((good, good)).spots == ()


def test_walks_with_other_checklists_are_not_compared(tmp_path: Path) -> None:
    one = made.golden("pass", tmp_path).folder
    other = made.golden("hold", tmp_path).folder
    copy = other / CHECKLIST_NAME
    copy.write_text(copy.read_text(encoding="utf-8").replace("id: small\n", "id: large\n", 1), encoding="utf-8")
    with pytest.raises(JournalError, match="with the checklist 'large', not 'small'"):
        gather_all([one, other])
