"""Registrations in the spelling alphabet: there and back."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.language.alphabet import letters_and_digits, spell
from handsfree.language.grammars import Grammars

REGISTRATIONS = st.text(string.ascii_uppercase + string.digits, min_size=1, max_size=8)


@given(REGISTRATIONS)
def test_spelling_and_reading_give_the_same_back(registration: str) -> None:
    assert letters_and_digits(spell(registration)) == registration


@pytest.mark.parametrize(
    ("words", "characters"),
    [
        ("quebec seven kilo tango alfa", "Q7KTA"),
        ("Quebec 7 Kilo", "Q7K"),
        ("x ray x-ray xray", "XXX"),
        ("alpha juliett juliet whisky niner fower", "AJJW94"),
        ("x", None),
        ("roger", None),
        ("quebec leak", None),
        ("", None),
    ],
)
def test_words_are_read_character_by_character_or_not_at_all(words: str, characters: str | None) -> None:
    assert letters_and_digits(words) == characters


def test_signs_in_a_registration_are_passed_over() -> None:
    assert spell("q7-kta") == "quebec seven kilo tango alfa"


def test_the_grammar_has_exactly_the_characters_that_are_read(grammars: Grammars) -> None:
    read = {letters_and_digits(path.heard) for path in grammars.expansion("<alphabet.character>").paths()}
    assert read == set(string.ascii_uppercase + string.digits)


@given(REGISTRATIONS)
def test_the_grammar_accepts_every_registration(grammars: Grammars, registration: str) -> None:
    assert grammars.expansion("<alphabet.registration>").accepts(spell(registration))
