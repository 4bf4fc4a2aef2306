"""What is listened for so that a defect is not taken for a pass."""

from __future__ import annotations

import pytest

from handsfree.checklist.guards import denied, subjects_of, turned_round
from handsfree.checklist.models import Checklist
from handsfree.checklist.phrases import Phrasebook
from handsfree.language.grammars import Grammars
from handsfree.language.meaning import overall_outcome
from handsfree.language.tongue import ENGLISH


@pytest.mark.parametrize("words", ["pin isn't removed", "pin is not removed", "pin never removed", "no pin removed"])
def test_a_response_can_be_denied_in_many_ways(words: str) -> None:
    assert words in denied(("pin removed",), ("not", "isn't", "is not", "never"), ENGLISH)


def test_a_negated_response_is_denied_by_what_it_negates() -> None:
    assert denied(("no leaks",), ("not",), ENGLISH) == ("leaks", "it leaks", "no it leaks")


def test_a_subject_is_what_a_defect_may_follow() -> None:
    assert subjects_of(("both good", "leg dry", "clean and intact", "in place", "dry"), ENGLISH) == ("both", "leg")


def test_a_syllable_turns_a_response_round_and_a_sound_alike_does_not_count() -> None:
    assert {"vent unclear", "disc displaced"} <= set(turned_round(("vent clear", "disc placed"), ENGLISH))
    assert "pin moved" in turned_round(("pin removed",), ENGLISH)
    assert "in inline" not in turned_round(("in line",), ENGLISH)  # sounds the same


def test_at_the_shipped_items_what_is_said_against_a_pass_never_passes(twin: Checklist, grammars: Grammars) -> None:
    book = Phrasebook(twin, grammars)
    for item in twin.items():
        vocabulary = book.item(item)
        for phrase in book.own_phrases(item):
            if phrase.meaning.outcome == "pass" and " " in phrase.text:
                *start, last = phrase.text.split()
                for word in ("isn't", "aren't", "never", "half", "un"):
                    clauses = vocabulary.parse(" ".join((*start, word, last))).clauses
                    assert overall_outcome(clauses) != "pass" if clauses else True, (item.id, phrase.text, word)


def test_guards_are_not_taught(twin: Checklist, grammars: Grammars) -> None:
    book = Phrasebook(twin, grammars)
    cap = twin.item("right-fuel-cap")
    shown = {phrase.text for phrase in (*book.own_phrases(cap), *book.general_phrases(cap))}
    assert "cap isn't shut" not in shown
    assert "half" in book.item(cap).strangers
