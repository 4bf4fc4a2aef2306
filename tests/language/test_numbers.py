"""Spoken numbers: both dialects, there and back."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.language.expansion import Expansion
from handsfree.language.grammars import Grammars
from handsfree.language.numbers import (
    find_number,
    fraction_forms,
    parse_number,
    plain,
    say_number,
    spoken_forms,
    spoken_range,
)

NUMBER_WORDS = st.sampled_from(
    [
        "zero",
        "one",
        "two",
        "nine",
        "ten",
        "thirteen",
        "twenty",
        "ninety",
        "hundred",
        "thousand",
        "and",
        "decimal",
        "point",
    ]
)


def test_every_form_of_every_number_to_13500_is_understood() -> None:
    for number in range(13_501):
        for words in spoken_forms(number):
            assert parse_number(words) == number, words


@pytest.mark.parametrize("dialect", ["icao", "faa"])
def test_what_the_tool_says_is_understood(dialect: str) -> None:
    for number in (*range(0, 13_501, 7), 99_999, 100_000):
        assert parse_number(say_number(number, "icao" if dialect == "icao" else "faa")) == number


@given(st.decimals(min_value=0, max_value=99_999, places=3))
def test_decimals_are_understood_in_every_form(value: Decimal) -> None:
    for words in spoken_forms(value, decimals=3):
        assert parse_number(words) == value


def test_no_two_numbers_share_a_form() -> None:
    forms = [words for number in range(3000) for words in spoken_forms(number)]
    assert len(forms) == len(set(forms))


@pytest.mark.parametrize(
    ("number", "icao", "faa"),
    [
        (0, "zero", "zero"),
        (60, "six zero", "sixty"),
        (185, "one eight five", "one hundred eighty five"),
        (300, "three hundred", "three hundred"),
        (1085, "one zero eight five", "one thousand eighty five"),
        ("0.75", "zero decimal seven five", "zero point seven five"),
        ("2.50", "two decimal five", "two point five"),
    ],
)
def test_the_tool_speaks_two_dialects(number: int | str, icao: str, faa: str) -> None:
    assert say_number(Decimal(number), "icao") == icao
    assert say_number(Decimal(number), "faa") == faa


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("one eight five", "185"),
        ("one hundred and eighty-five", "185"),
        ("185", "185"),
        ("1,850", "1850"),
        ("niner fife", "95"),
        ("zero zero five", "5"),
        ("thirteen thousand five hundred", "13500"),
        ("two thousand and five", "2005"),
        ("one decimal zero five", "1.05"),
        ("three quarters", "0.75"),
        ("3/4", "0.75"),
        ("full", "1"),
        ("empty", "0"),
    ],
)
def test_numbers_as_people_say_and_type_them(words: str, value: str) -> None:
    assert parse_number(words) == Decimal(value)


@pytest.mark.parametrize(
    "words",
    [
        *("", "and", "hundred", "one ten", "ten one", "twenty zero", "one hundred one hundred", "one thousand and"),
        *("ten hundred", "one hundred and", "point five", "five point", "five point ten", "one point two point three"),
        *(
            "minus five",
            "-5",
            "5-10",
            "three fifths",
            "quarter",
            "one hundred thousand",
            "thousand five",
            "one eighty five",
        ),
    ],
)
def test_what_is_no_number_is_none(words: str) -> None:
    assert parse_number(words) is None


def test_numbers_below_zero_are_not_spoken() -> None:
    with pytest.raises(ValueError, match="cannot be spoken"):
        say_number(-1)


def test_a_number_is_found_inside_a_longer_text_when_it_is_the_only_one() -> None:
    assert find_number("tyre pressure three five zero psi") == 350
    assert find_number("tyre pressure") is None
    assert find_number("tyre one pressure two") is None


def test_a_value_in_figures_is_plain() -> None:
    assert [plain(Decimal(text)) for text in ("185", "1E+2", "0.750", "2.0", "0")] == ["185", "100", "0.75", "2", "0"]


def test_parts_of_full_have_names() -> None:
    assert fraction_forms(Decimal("0.75")) == ("three quarters",)
    assert fraction_forms(Decimal("0.3")) == ()
    quarters = spoken_range(Decimal(0), Decimal(1), Decimal("0.25"), "fraction")
    assert {value for _, value in quarters} == {"0", "0.25", "0.5", "0.75", "1"}


def test_a_range_with_a_decimal_step_may_be_said_with_the_zero() -> None:
    tenths = spoken_range(Decimal(0), Decimal(2), Decimal("0.1"), "number")
    assert {words for words, value in tenths if value == "2"} == {"two", "two decimal zero", "two point zero"}


@pytest.fixture(scope="module")
def number(grammars: Grammars) -> Expansion:
    return grammars.expansion("<numbers.number>")


@given(st.lists(NUMBER_WORDS, max_size=7).map(" ".join))
@settings(max_examples=400, deadline=None)
def test_the_grammar_and_the_reader_agree_on_what_is_a_number(number: Expansion, words: str) -> None:
    assert number.accepts(words) == (parse_number(words) is not None)


@given(st.integers(min_value=0, max_value=99_999))
@settings(max_examples=60, deadline=None)
def test_the_grammar_accepts_every_form(number: Expansion, value: int) -> None:
    assert all(number.accepts(words) for words in spoken_forms(value))


def test_the_grammar_names_the_same_parts_of_full(grammars: Grammars) -> None:
    named = {path.heard for path in grammars.expansion("<numbers.fraction>").paths()}
    eighths = [Decimal(part) / 8 for part in range(9)]
    assert named == {words for part in eighths for words in fraction_forms(part)}
