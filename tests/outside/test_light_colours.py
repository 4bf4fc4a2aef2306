"""14 CFR 25.1385: forward position lights red on the left and green on the right, the rear one white.

A swap of two lights is a finding, in the words in which a person would report it.
"""

from pathlib import Path

import pytest

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist
from handsfree.checklist.phrases import Phrasebook
from handsfree.language.grammars import Grammars

ROOT = Path(__file__).parents[2]
REQUIRED = {"left-tip-light": "red", "right-tip-light": "green", "tail-light": "white"}
COLOURS = ("red", "green", "white")


@pytest.fixture(scope="module")
def checklist() -> Checklist:
    return load(ROOT / "checklists/twin-turboprop.yaml")


@pytest.fixture(scope="module")
def book(checklist: Checklist) -> Phrasebook:
    return Phrasebook(checklist, Grammars.load(ROOT / "grammars"))


@pytest.mark.parametrize("colour", COLOURS)
@pytest.mark.parametrize("light", REQUIRED)
def test_only_the_required_colour_passes(checklist: Checklist, book: Phrasebook, light: str, colour: str) -> None:
    understood = book.item(checklist.item(light)).parse
    clauses = understood(colour).clauses
    if colour == REQUIRED[light]:
        assert [clause.outcome for clause in understood(f"showing {colour}").clauses] == ["pass"]
        assert all(clause.outcome == "pass" for clause in clauses)  # "white" alone sounds like "light out": it is asked
    elif clauses:
        assert [clause.outcome for clause in clauses] == ["finding"]
        assert clauses[0].get("finding") == "wrong-colour"
    else:
        pytest.fail(f"'{colour}' at {light} means nothing: the swap would be asked again instead of reported")


@pytest.mark.parametrize("light", REQUIRED)
def test_the_item_names_the_rule(checklist: Checklist, light: str) -> None:
    assert "14 CFR 25.1385" in (checklist.item(light).source or "")


def test_at_night_both_tips_are_asked_for_together(checklist: Checklist, book: Phrasebook) -> None:
    vocabulary = book.item(checklist.item("tip-lights-lit"))
    assert vocabulary.parse("wrong colour on the left light").clauses[0].get("side") == "left"
