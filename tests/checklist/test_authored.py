"""Phrases that cannot be used are told with their field, before a walk begins."""

from __future__ import annotations

import re

import pytest

from handsfree.checklist.authored import fields, unusable
from handsfree.checklist.compose import Patterns
from handsfree.checklist.linter import check
from handsfree.checklist.loading import load
from handsfree.checklist.phrases import Phrasebook
from handsfree.checklist.problems import ChecklistError
from handsfree.language.errors import GrammarError
from handsfree.language.grammars import Grammars
from handsfree.resources import find_checklist
from tests.checklist.written import checklist, item, of_items, zone
from tests.support.said import pronounce

ODD = {"id": "odd", "say": ["<VOID>"]}
STATES = [{"id": "up", "good": True, "say": ["up"]}, {"id": "down", "good": False, "say": ["down", "(("]}]


@pytest.mark.parametrize(
    ("broken", "field", "message"),
    [
        (item(passes=["dry", "(" * 20 + "a" + ")" * 20]), ("pass", 1, "say"), "nested more than"),
        (item(passes=[" ".join(["[a]"] * 60)]), ("pass", 0, "say"), "over 1,000,000,000 ways to say it"),
        (item(findings=[ODD]), ("findings", 0, "say", 0), "'<VOID>' has no words to say"),
        (item(findings=[{"use": "<nothing.there>"}]), ("findings", 0, "use"), "there is no grammar 'nothing'"),
        (item(called="<NULL>"), ("called",), "'<NULL>' has no words to say"),
        (item(kind="indicator", states=STATES), ("states", 1, "say", 1), "found the end"),
    ],
)
def test_the_field_is_named(
    grammars: Grammars, broken: dict[str, object], field: tuple[str, ...], message: str
) -> None:
    (problem,) = unusable(of_items(broken), Patterns(grammars))
    assert problem.where == ("zones", 0, "items", 0, *field)
    assert message in problem.message
    assert len(problem.message) < 1000


def test_names_of_zones_are_looked_at_too(grammars: Grammars) -> None:
    (problem,) = unusable(checklist(zone("nose", spoken=["nose", "<nothing.there>"])), Patterns(grammars))
    assert problem.where == ("zones", 0, "spoken", 1)


def test_the_shipped_checklist_is_usable(grammars: Grammars) -> None:
    shipped = load(find_checklist("twin-turboprop"))
    assert list(Phrasebook(shipped, grammars).unusable()) == []
    assert len(list(fields(shipped))) > 500


@pytest.mark.parametrize("text", ["<VOID>", "<NULL>"])
def test_what_has_no_words_has_no_first_way_to_say_it(grammars: Grammars, text: str) -> None:
    with pytest.raises(GrammarError, match="has no words to say"):
        Patterns(grammars).first(text)


@pytest.mark.parametrize(
    ("passes", "message"),
    [
        (
            [" ".join(f"[{word}]" for word in "abcdefghijkl") + " end"],
            "can be answered in \\d+ ways; 2000 can be held against each other",
        ),
        (
            [f"{'[a] ' * 14}w{one}" for one in range(4)],
            "can be said in \\d+ ways; 50000 can be held against each other",
        ),
    ],
)
def test_the_linter_does_not_compare_more_than_it_can(grammars: Grammars, passes: list[str], message: str) -> None:
    found = check(of_items(item(passes=passes)), grammars, lambda _: True, pronounce)
    assert [one.code for one in found if one.level == "error"] == ["phrase"]
    assert re.search(message, found[0].message)


def test_together_the_names_of_places_can_be_listed(grammars: Grammars) -> None:
    zones = [zone(f"z{one}", spoken=[f"{'[a] ' * 13}z{one}"]) for one in range(4)]
    with pytest.raises(ChecklistError, match=r"the names of the places.*ways to say it"):
        Phrasebook(checklist(*zones), grammars)
