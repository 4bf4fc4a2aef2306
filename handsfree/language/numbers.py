"""Numbers as they are spoken, in two dialects; values are plain decimals.

ICAO: digit by digit, whole hundreds and thousands by those words, "decimal" (ICAO Annex 10 volume II, 5.2.1.4; FAA AIM
4-2-8 agrees on these).  FAA: hundreds and tens in words, "point".  grammars/numbers.jsgf describes the same language.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import lru_cache
from itertools import product
from typing import Final, Literal

from handsfree.language import plain_numbers
from handsfree.language.spelling import compared_form
from handsfree.language.tongue import ENGLISH, Tongue

Dialect = Literal["icao", "faa"]
Form = Literal["number", "fraction"]
SpokenRange = tuple[tuple[str, str], ...]
"""(words, value in figures) pairs."""

_DIGITS: Final = ENGLISH.digits
_TEENS: Final = (
    *("ten", "eleven", "twelve", "thirteen", "fourteen"),
    *("fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS: Final = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_POINTS: Final = ENGLISH.point
_MOST_IN_WORDS: Final = 99_999
"""Beyond this, digits only."""
_FRACTIONS: Final[Mapping[str, Decimal]] = {words: Decimal(str(part)) for words, part in ENGLISH.fractions.items()}


def parse_number(words: str) -> Decimal | None:
    """The value of a whole text that is one number or fraction of full, in any dialect or in figures; else None."""
    return _value(compared_form(words))


def find_number(words: str) -> Decimal | None:
    """The only number inside a longer text ("tyre pressure three five zero"); None when there is none or several."""
    heard = compared_form(words)
    found: list[Decimal] = []
    at = 0
    while at < len(heard):
        ends = [end for end in range(len(heard), at, -1) if _value(heard[at:end]) is not None]
        if ends:
            value = _value(heard[at : ends[0]])
            found += [value] if value is not None else []
            at = ends[0]
        else:
            at += 1
    return found[0] if len(found) == 1 else None


def say_number(value: Decimal | int, dialect: Dialect = "icao", tongue: Tongue = ENGLISH) -> str:
    """One number in words, as the tool says it; English has dialects.  Raises ValueError below zero."""
    whole, digits = _parts(Decimal(value))
    if tongue.code != ENGLISH.code:
        return plain_numbers.spoken_forms(whole, digits, 0, tongue)[0]
    point = "decimal" if dialect == "icao" else "point"
    spoken = _whole_icao(whole) if dialect == "icao" else _whole_faa(whole)
    return f"{spoken} {point} {_one_by_one(digits)}" if digits else spoken


def spoken_forms(value: Decimal | int, decimals: int = 0, tongue: Tongue = ENGLISH) -> tuple[str, ...]:
    """Every way to say a number, in English both dialects, the tool's own way first.

    With ``decimals`` a value with fewer decimal places may also be said with zeros up to that many.  Raises ValueError
    below zero.
    """
    whole, digits = _parts(Decimal(value))
    if tongue.code != ENGLISH.code:
        return plain_numbers.spoken_forms(whole, digits, decimals, tongue)
    wholes = tuple(dict.fromkeys((_whole_icao(whole), _whole_faa(whole), *_whole_forms(whole))))
    forms = list(wholes) if not digits else []
    padded = [digits + "0" * more for more in range(max(decimals - len(digits), 0) + 1)]
    for tail in padded:
        if tail:
            forms += [f"{one} {point} {_one_by_one(tail)}" for point, one in product(_POINTS, wholes)]
    return tuple(forms)


def fraction_forms(value: Decimal, tongue: Tongue = ENGLISH) -> tuple[str, ...]:
    """Every way to say a part of full (0 to 1): "three quarters"; empty for a part that has no such name."""
    return plain_numbers.fraction_forms(value, tongue)


def plain(value: Decimal) -> str:
    """A value in figures without exponent or needless zeros: "185", "0.75"."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@lru_cache(maxsize=64)
def spoken_range(low: Decimal, high: Decimal, step: Decimal, form: Form, tongue: Tongue = ENGLISH) -> SpokenRange:
    """Every (words, value in figures) from ``low`` to ``high`` inclusive; remembered, for an item is asked often."""
    decimals = len(_parts(abs(step))[1])
    return tuple(
        (words, plain(value))
        for value in _steps(low, high, step)
        for words in (spoken_forms(value, decimals, tongue) if form == "number" else fraction_forms(value, tongue))
    )


def _steps(low: Decimal, high: Decimal, step: Decimal) -> Iterator[Decimal]:
    value = low
    while value <= high:
        yield value
        value += step


def _parts(value: Decimal) -> tuple[int, str]:
    """The whole part, and the decimal places without trailing zeros."""
    if value < 0 or not value.is_finite():
        raise ValueError(f"{value} cannot be spoken")
    whole, _, digits = plain(value).partition(".")
    return int(whole), digits


def _one_by_one(figures: str) -> str:
    return " ".join(_DIGITS[int(figure)] for figure in figures)


def _below_hundred(number: int) -> str:
    if number < len(_DIGITS):
        return _DIGITS[number]
    tens, ones = divmod(number, 10)
    if tens == 1:
        return _TEENS[ones]
    return f"{_TENS[tens - 2]} {_DIGITS[ones]}" if ones else _TENS[tens - 2]


def _whole_icao(number: int) -> str:
    if number == 0 or number % 100 or number > _MOST_IN_WORDS:
        return _one_by_one(str(number))
    return _whole_faa(number)


def _whole_faa(number: int) -> str:
    if number > _MOST_IN_WORDS:
        return _one_by_one(str(number))
    thousands, rest = divmod(number, 1000)
    return " ".join([_one_by_one(str(thousands)) + " thousand"] * bool(thousands) + _rest(rest, first=not thousands))


def _rest(number: int, *, first: bool, joined: str = "") -> list[str]:
    """Hundreds and the remainder; nothing for 0 after something else; ``joined`` is what goes before the remainder."""
    hundreds, remainder = divmod(number, 100)
    parts = [f"{_DIGITS[hundreds]} hundred"] if hundreds else []
    if remainder or (first and not hundreds):
        parts.append(joined + _below_hundred(remainder) if hundreds or not first else _below_hundred(remainder))
    return parts


def _whole_forms(number: int) -> tuple[str, ...]:
    """All ways to say a whole number."""
    digits = _one_by_one(str(number))
    if number > _MOST_IN_WORDS:
        return (digits,)
    thousands, rest = divmod(number, 1000)
    starts = [""]
    if thousands:
        starts = [f"{_one_by_one(str(thousands))} thousand", f"{_below_hundred(thousands)} thousand"]
    rests = [_rest(rest, first=not thousands, joined=joined) for joined in ("", "and ")]
    return (digits, *(" ".join([start] * bool(start) + tail) for start, tail in product(starts, rests)))


def _value(words: tuple[str, ...]) -> Decimal | None:
    fraction = _FRACTIONS.get(" ".join(words))
    if fraction is not None:
        return fraction
    at = next((index for index, word in enumerate(words) if word in _POINTS), len(words))
    whole = _whole_value(words[:at])
    if whole is None or at == len(words):
        return None if whole is None else Decimal(whole)
    digits = _figures(words[at + 1 :])
    return Decimal(f"{whole}.{digits}") if digits else None


def _figures(words: tuple[str, ...]) -> str:
    """Digits said one by one, as figures; empty when a word is none."""
    return "".join(str(_DIGITS.index(word)) for word in words) if all(word in _DIGITS for word in words) else ""


def _whole_value(words: tuple[str, ...]) -> int | None:
    figures = _figures(words)
    if figures:
        return int(figures)
    if "thousand" not in words:
        return _below_thousand(words, may_begin_with_and=False)
    at = words.index("thousand")
    thousands = _thousands(words[:at])
    rest = _below_thousand(words[at + 1 :], may_begin_with_and=True) if words[at + 1 :] else 0
    return None if thousands is None or rest is None else thousands * 1000 + rest


def _thousands(words: tuple[str, ...]) -> int | None:
    figures = _figures(words)
    if len(figures) == 2 and figures[0] != "0":  # noqa: PLR2004  "one zero thousand"
        return int(figures)
    return _small_value(words)


def _below_thousand(words: tuple[str, ...], *, may_begin_with_and: bool) -> int | None:
    hundreds = 0
    if words[1:2] == ("hundred",):
        hundreds = _small_value(words[:1]) or 0
        if hundreds not in range(1, 10):
            return None
        words = words[2:]
        if not words:
            return hundreds * 100
    if words[:1] == ("and",) and (hundreds or may_begin_with_and):
        words = words[1:]
    rest = _small_value(words)
    return None if rest is None else hundreds * 100 + rest


@lru_cache(maxsize=1)
def _small_values() -> Mapping[tuple[str, ...], int]:
    return {tuple(_below_hundred(number).split()): number for number in range(1, 100)}


def _small_value(words: tuple[str, ...]) -> int | None:
    """1 to 99 in words."""
    return _small_values().get(words)
