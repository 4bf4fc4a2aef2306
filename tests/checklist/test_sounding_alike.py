"""Phrases of one item that sound alike, and what is said about them."""

from __future__ import annotations

from pathlib import Path
from time import process_time

import pytest

from handsfree.checklist.lint.sounding_alike import hides_its_opposite, sounding_alike, taught
from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.linter import check
from handsfree.checklist.loading import read
from handsfree.checklist.models import Checklist
from handsfree.language.grammars import Grammars
from tests.checklist.written import checklist, item, of_items, zone
from tests.support.said import pronounce

TWIN = Path(__file__).parents[2] / "checklists" / "twin-turboprop.yaml"


def said(subject: Checklist, grammars: Grammars) -> list[str]:
    return [problem.message.partition(": ")[2] for problem in sounding_alike(Subject(subject, grammars, pronounce))]


def test_a_pass_like_a_finding_is_named_with_it_and_with_what_to_do(grammars: Grammars) -> None:
    subject = of_items(item(passes=["dry", "cap shut"], findings=[{"id": "tab-up", "say": ["tab up"]}]))
    (problem,) = sounding_alike(Subject(subject, grammars, pronounce))
    assert problem.message == (
        "item 'thing': 'cap shut' passes and sounds like 'tab up', which is a finding (likeness 0.67; 0.55 is too near)"
    )
    assert problem.where == ("zones", 0, "items", 0, "pass", 1, "say")
    assert problem.hint == (
        "make the pass shorter, or end it with two words that no finding has, as 'neat and free', "
        "or say why it stays so: # accepted HF209: why"
    )


def test_the_one_word_that_tells_two_apart_is_named(grammars: Grammars) -> None:
    subject = of_items(item(passes=["lamp green"], findings=[{"id": "dead", "say": ["lamp broken"]}]))
    problem = next(sounding_alike(Subject(subject, grammars, pronounce)))
    assert problem.hint.startswith("only 'green' and 'broken' tell them apart")


def test_what_is_taught_is_held_against_defects_of_its_own_subject(grammars: Grammars) -> None:
    """ "Both tyres cut" is what people say, though no list has it."""
    findings = [{"use": "<findings.cut>"}]
    first = of_items(item(passes=["both tyres good"], findings=findings))
    later = of_items(item(passes=["even and intact", "both tyres good"], findings=findings))
    assert said(first, grammars) == [
        "'both tyres good' passes and sounds like the finding 'cut' if only the end is caught wrongly: "
        "'both tyres' + 'cut' (likeness 0.81; 0.55 is too near)"
    ]
    assert said(later, grammars) == []


def test_a_pass_of_one_part_must_not_be_heard_as_that_of_another(grammars: Grammars) -> None:
    passes = [{"say": "lines dry", "covers": ["a"]}, {"say": "lines dried", "covers": ["b"]}]
    found = said(of_items(item(parts={"a": "a", "b": "b"}, passes=passes)), grammars)
    assert any("'lines dry' passes and sounds like 'lines dried', which passes" in one for one in found)


def test_control_words_are_held_against_both(grammars: Grammars) -> None:
    subject = of_items(item(passes=["shut and dry"], findings=[{"id": "remains", "say": ["next drone"]}]))
    assert [one.partition(" (")[0] for one in said(subject, grammars)] == [
        "'shut and dry' passes and sounds like 'stand by', which is a control word",
        "'next drone' is a finding and sounds like 'next zone', which is a control word",
    ]


def test_what_everyone_says_is_let_be_where_it_is_not_taught(grammars: Grammars) -> None:
    untaught = [{"id": "on", "say": ["flag hanging", "still on"]}]
    first = [{"id": "on", "say": ["still on", "flag hanging"]}]
    assert said(of_items(item(findings=untaught)), grammars) == []
    assert len(said(of_items(item(findings=first)), grammars)) == 1


def test_words_that_are_no_nearer_than_allowed_are_not_said_to_be_near(grammars: Grammars) -> None:
    """ "Tank left undrained" is far from "drained" as a whole, and holds it."""
    findings = [{"id": "full", "say": ["tank left undrained"]}]
    assert said(of_items(item(passes=["drained"], findings=findings)), grammars) == [
        "'drained' passes and sounds like 'tank left undrained', which is a finding (one denies the other)"
    ]


def test_the_same_items_of_two_zones_are_judged_alike(grammars: Grammars) -> None:
    thing = {"passes": ["dry", "cap shut"], "findings": [{"id": "tab-up", "say": ["tab up"]}]}
    subject = checklist(zone("nose", item("one", **thing)), zone("tail", item("two", **thing)))
    assert len(said(subject, grammars)) == 2


@pytest.mark.parametrize(
    ("good", "bad", "expected"),
    [
        ("secure", "insecurely fastened", True),
        ("secure", "pin unsecured", True),
        ("pin secure", "unsecured", True),
        ("disconnected", "connected", True),
        ("legible", "illegible", True),
        ("secure", "unsecured", True),
        ("dry", "leak", False),
        ("secure", "secure", False),
        ("secure", "insecurities", False),  # another word
        ("pin secure", "cap unsecured", False),
        ("clean", "column", False),
    ],
)
def test_what_hides_its_opposite(good: str, bad: str, expected: bool) -> None:
    assert hides_its_opposite(good.split(), bad.split()) is expected


def test_no_exemption_is_dead(grammars: Grammars) -> None:
    """Without the list of the untaught each of its words is warned of, at the shipped items or among the controls."""
    subject = Subject(read(TWIN).checklist, grammars, pronounce)
    listed, subject.untaught = subject.untaught, frozenset()
    warned = " ".join(problem.message for problem in sounding_alike(subject))
    among_controls = {"short prompts", "brief prompts"}  # tests/language/test_shipped_grammars.py
    assert {words for words in listed - among_controls if f"'{words}'" not in warned} == set()


def test_the_first_words_for_each_meaning_are_taught(grammars: Grammars) -> None:
    thing = item(passes=["dry", "no leak"], findings=[{"id": "gone", "say": ["gone", "away"]}])
    subject = Subject(of_items(thing), grammars, pronounce)
    texts = {phrase.text for phrase in taught(subject.phrases(subject.items[0].item))}
    assert {"dry", "gone"} <= texts
    assert texts.isdisjoint({"no leak", "away"})


def test_a_whole_checklist_is_checked_in_no_time(grammars: Grammars) -> None:
    subject = read(TWIN).checklist
    began = process_time()
    check(subject, grammars, lambda _word: True, pronounce)
    assert process_time() - began < 4  # seconds of work; it takes 1.5, and these tests may share their machine
