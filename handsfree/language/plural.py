"""English nouns: what is counted has another form at one."""

from __future__ import annotations

import re

_HISSING = re.compile(r"(?<=[sxz])es$|(?<=[cs]h)es$")
_IN_IES = re.compile(r"(?<=[^aeiou])ies$")
_PLAIN = re.compile(r"(?<=\w\w[^\Wsui])s$")


def singular(noun: str) -> str:
    """The form for one of what a noun in the plural names: "covers", "inches"; itself when it has no other.

    Units such as "psi" and "of full" stay as they are.
    """
    for ending, instead in ((_HISSING, ""), (_IN_IES, "y"), (_PLAIN, "")):
        made = ending.sub(instead, noun)
        if made != noun:
            return made
    return noun
