"""The measure of sounds against what is published about confusions (from memory, no table is copied).

- ICAO Annex 10 volume II: the words of the spelling alphabet were chosen by tests over bad radios because the names of
  the letters are taken for each other.
- Miller & Nicely, JASA 27 (1955): at -12 dB consonants fall into groups that are confused among themselves: p t k,
  f th, s sh, b d g, v dh, z zh, m n; across voice and nasality hardly ever.
- Peterson & Barney, JASA 24 (1952): vowels are taken for their neighbours in height and backness.
"""

from __future__ import annotations

from itertools import combinations
from statistics import mean

import numpy as np
import pytest

from handsfree.language.alphabet import spell
from handsfree.language.confusability import NEAR, FloatArray, confusabilities, distances
from handsfree.language.sounds import Sound
from tests.support.said import pronounce

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
NAMES = (
    *("ay", "bee", "see", "dee", "ee", "eff", "gee", "aitch", "eye", "jay", "kay", "ell", "em", "en", "oh", "pea"),
    *("cue", "are", "ess", "tea", "you", "vee", "double you", "ex", "why", "zee"),
)
RHYMING = ("bee", "dee", "ee", "pea", "tea", "vee", "zee", "see", "gee")
GROUPS = ("P T K", "F TH", "S SH", "B D G", "V DH", "Z ZH", "M N")


def likeness(words: tuple[str, ...]) -> FloatArray:
    return confusabilities(words, words, pronounce)


def nearest(words: tuple[str, ...]) -> float:
    table = likeness(words)
    np.fill_diagonal(table, 0)
    return float(table.max())


def apart(one: str, other: str) -> float:
    return float(distances([(Sound(one, is_weak=False),)], [(Sound(other, is_weak=False),)])[0][0, 0])


def test_the_words_of_the_alphabet_are_farther_apart_than_the_names_of_the_letters() -> None:
    words = tuple(spell(letter) for letter in LETTERS)
    assert nearest(words) < NEAR < nearest(NAMES)
    table, names = (likeness(each)[np.triu_indices(len(LETTERS), k=1)] for each in (words, NAMES))
    assert (table > 0.5).sum() <= 2
    assert (names > 0.5).sum() >= 20


def test_the_rhyming_letters_are_the_worst_of_them() -> None:
    rhyming = mean(likeness(RHYMING)[np.triu_indices(len(RHYMING), k=1)].tolist())
    others = tuple(name for name in NAMES if name not in RHYMING)
    assert rhyming > 2 * mean(likeness(others)[np.triu_indices(len(others), k=1)].tolist())


@pytest.mark.parametrize("group", GROUPS)
def test_a_consonant_is_nearer_to_its_group_than_to_any_other(group: str) -> None:
    others = [one for other in GROUPS if other != group for one in other.split()]
    for one, other in combinations(group.split(), 2):
        outside = min(apart(one, stranger) for stranger in others)
        assert apart(one, other) <= outside


def test_voice_and_nasality_outlast_the_place() -> None:
    assert apart("P", "T") < apart("P", "B")
    assert apart("B", "D") < apart("B", "M")
    assert apart("M", "N") < apart("N", "D")


@pytest.mark.parametrize(
    ("vowel", "neighbour", "stranger"),
    [
        ("IY", "IH", "AA"),
        ("EH", "IH", "UW"),
        ("EH", "AE", "AO"),
        ("AH", "AA", "IY"),
        ("AA", "AO", "IY"),
        ("UH", "UW", "AE"),
    ],
)
def test_a_vowel_is_taken_for_its_neighbour(vowel: str, neighbour: str, stranger: str) -> None:
    assert apart(vowel, neighbour) < apart(vowel, stranger)
