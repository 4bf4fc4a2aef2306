"""Numbers in a language that builds them of digits and place words: "three hundred eight ten five" for 385.

Digit by digit is understood in every language; with place words also so, as in Korean, Chinese or Japanese.  A one
before a place word is left out there or said, and both are understood.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import product

from handsfree.language.tongue import Tongue

_MOST_IN_WORDS = 9999


def spoken_forms(whole: int, digits: str, decimals: int, tongue: Tongue) -> tuple[str, ...]:
    """Every way to say a number, the tool's own way first: the whole part, and its decimal places as figures.

    With ``decimals`` a value with fewer decimal places may also be said with zeros up to that many.
    """
    wholes = tuple(dict.fromkeys((one_by_one(str(whole), tongue), *_in_words(whole, tongue))))
    forms = list(wholes) if not digits else []
    for tail in (digits + "0" * more for more in range(max(decimals - len(digits), 0) + 1)):
        if tail:
            spoken = one_by_one(tail, tongue)
            forms += [f"{one} {point} {spoken}" for point, one in product(tongue.point, wholes)]
    return tuple(forms)


def one_by_one(figures: str, tongue: Tongue) -> str:
    """Figures digit by digit."""
    return " ".join(tongue.digits[int(figure)] for figure in figures)


def fraction_forms(value: Decimal, tongue: Tongue) -> tuple[str, ...]:
    """Every way to say a part of full (0 to 1); empty for a part that has no such name."""
    return tuple(words for words, known in tongue.fractions.items() if Decimal(str(known)) == value)


def _in_words(whole: int, tongue: Tongue) -> tuple[str, ...]:
    """With place words; nothing where the language has none for it."""
    if not tongue.places or not 0 < whole <= _MOST_IN_WORDS:
        return ()
    parts: list[tuple[str, ...]] = []
    for word, place in sorted(tongue.places.items(), key=lambda one: -one[1]):
        count, whole = divmod(whole, place)
        if count >= len(tongue.digits):
            return ()
        if count == 1:
            parts.append((word, f"{tongue.digits[1]} {word}"))
        elif count:
            parts.append((f"{tongue.digits[count]} {word}",))
    if whole >= len(tongue.digits):
        return ()
    if whole:
        parts.append((tongue.digits[whole],))
    return tuple(" ".join(words) for words in product(*parts))
