"""The spelling alphabet and digits of ICAO Annex 10 volume II: words to characters and back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from handsfree.language.spelling import compared_form

_NAMES: Final = (
    *("alfa", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel", "india"),
    *("juliett", "kilo", "lima", "mike", "november", "oscar", "papa", "quebec", "romeo"),
    *("sierra", "tango", "uniform", "victor", "whiskey", "x-ray", "yankee", "zulu"),
)
_DIGITS: Final = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_SPOKEN: Final[Mapping[str, str]] = {
    **{name[0].upper(): name for name in _NAMES},
    **{str(figure): name for figure, name in enumerate(_DIGITS)},
}
_OTHER_SPELLINGS: Final[Mapping[str, str]] = {
    "alpha": "alfa",
    "juliet": "juliett",
    "xray": "x-ray",
    "whisky": "whiskey",
}
_CHARACTERS: Final[Mapping[tuple[str, ...], str]] = {
    compared_form(name): character
    for character, name in (
        *_SPOKEN.items(),
        *((name[0].upper(), other) for other, name in _OTHER_SPELLINGS.items()),
    )
}


def letters_and_digits(words: str) -> str | None:
    """Turn "quebec seven kilo tango alfa" into "Q7KTA"; None when a word is neither a letter's name nor a digit."""
    heard = compared_form(words)
    characters: list[str] = []
    at = 0
    while at < len(heard):
        length = 2 if heard[at : at + 2] in _CHARACTERS else 1  # "x ray" is two words to the recogniser
        character = _CHARACTERS.get(heard[at : at + length])
        if character is None:
            return None
        characters.append(character)
        at += length
    return "".join(characters) or None


def spell(text: str) -> str:
    """Turn "Q7-KTA" into "quebec seven kilo tango alfa"; all but ASCII letters and digits is passed over."""
    return " ".join(_SPOKEN[character] for character in text.upper() if character in _SPOKEN)
