"""The spelling alphabet and digits of ICAO Annex 10 volume II: words to characters and back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from handsfree.language.spelling import compared_form
from handsfree.language.tongue import ENGLISH, Tongue

_OTHER_SPELLINGS: Final[Mapping[str, str]] = {
    "alpha": "alfa",
    "juliet": "juliett",
    "xray": "x-ray",
    "whisky": "whiskey",
}
_CHARACTERS: Final[Mapping[tuple[str, ...], str]] = {
    compared_form(name): character
    for character, name in (
        *ENGLISH.spelled.items(),
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


def spell(text: str, tongue: Tongue = ENGLISH) -> str:
    """Turn "Q7-KTA" into "quebec seven kilo tango alfa"; all but ASCII letters and digits is passed over."""
    spelled = tongue.spelled
    return " ".join(spelled[character] for character in text.upper() if character in spelled)
