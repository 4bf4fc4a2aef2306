"""The spelling alphabet, as text."""

import string

import pytest

from handsfree.language.alphabet import letters_and_digits, spell

# ICAO Annex 10 volume II, and SERA.14020 (read).
ALPHABET = (
    *("Alfa", "Bravo", "Charlie", "Delta", "Echo", "Foxtrot", "Golf", "Hotel", "India", "Juliett", "Kilo", "Lima"),
    *("Mike", "November", "Oscar", "Papa", "Quebec", "Romeo", "Sierra", "Tango", "Uniform", "Victor", "Whiskey"),
    *("X-ray", "Yankee", "Zulu"),
)


def test_there_is_one_word_for_each_letter_in_order() -> None:
    assert [letters_and_digits(word) for word in ALPHABET] == list(string.ascii_uppercase)
    assert spell(string.ascii_uppercase) == " ".join(ALPHABET).lower()


@pytest.mark.parametrize("letter", string.ascii_uppercase)
def test_each_letter_is_spelled_by_its_published_word(letter: str) -> None:
    assert spell(letter) == ALPHABET[string.ascii_uppercase.index(letter)].lower()
