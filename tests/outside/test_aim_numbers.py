"""Numbers as the FAA and ICAO publish them."""

from decimal import Decimal

import pytest

from handsfree.language.numbers import parse_number, say_number, spoken_forms

# FAA Aeronautical Information Manual, 4-2-8 "Numbers" (read).
AIM_4_2_8 = [
    (500, "five hundred"),
    (4_500, "four thousand five hundred"),
    (10_000, "one zero thousand"),
    (13_500, "one three thousand five hundred"),
    (10, "one zero"),
]


@pytest.mark.parametrize(("number", "words"), AIM_4_2_8)
def test_numbers_of_the_aim_are_said_and_understood(number: int, words: str) -> None:
    assert say_number(number, "icao") == words
    assert words in spoken_forms(number)
    assert parse_number(words) == number


@pytest.mark.parametrize(("number", "words"), [row for row in AIM_4_2_8 if row[0] != 10])
def test_both_dialects_agree_on_hundreds_and_thousands(number: int, words: str) -> None:
    assert say_number(number, "faa") == words


def test_the_decimal_word_is_point_in_the_aim_and_decimal_with_icao() -> None:
    # FAA AIM 4-2-8 (point); ICAO Annex 10 volume II (DAY-SEE-MAL; second-hand).
    value = Decimal("122.1")
    assert say_number(value, "icao") == "one two two decimal one"
    assert say_number(value, "faa").endswith("point one")
    for words in ("one two two decimal one", "one two two point one"):
        assert parse_number(words) == value


def test_icao_pronunciations_written_as_they_sound_are_the_same_digits() -> None:
    # ICAO Annex 10 volume II, pronunciation of numbers (second-hand): WUN TOO TREE FOW-er FIFE SIX SEV-en AIT NIN-er.
    # Those that are words of their own; the others are the plain words.
    assert parse_number("wun two tree fower fife six seven ait niner") == 123_456_789
