"""Korean numbers as the reference library num2words (0.5) writes them."""

from typing import Any

import num2words
import pytest

from handsfree.language.numbers import spoken_forms
from handsfree.languages import language

LIBRARY: Any = num2words  # it has no types


def reference(number: int) -> str:
    return str(LIBRARY.num2words(number, lang="ko")).replace(" ", "")


def test_every_number_up_to_9999_can_be_said_as_it_is_written_out() -> None:
    tongue = language("ko").tongue
    missed = [
        number
        for number in range(1, 10_000)
        if reference(number) not in {form.replace(" ", "") for form in spoken_forms(number, tongue=tongue)}
    ]
    assert missed == []


@pytest.mark.parametrize(("number", "digits"), [(0, "공"), (185, "일 팔 오"), (1013, "일 공 일 삼")])
def test_digit_by_digit_comes_first(number: int, digits: str) -> None:
    """As in radiotelephony everywhere (ICAO Annex 10 volume II, 5.2.1.4; read in the AIM's words)."""
    assert spoken_forms(number, tongue=language("ko").tongue)[0] == digits


def test_no_two_numbers_are_said_alike() -> None:
    tongue = language("ko").tongue
    said: dict[str, int] = {}
    for number in range(1000):
        for form in spoken_forms(number, tongue=tongue):
            assert said.setdefault(form, number) == number, form
