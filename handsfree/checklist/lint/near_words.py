"""Words that look or sound like one that the speech model lacks."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator
from itertools import pairwise
from string import ascii_lowercase

from handsfree.language.confusability import NEAR, confusabilities
from handsfree.language.sounds import Pronounce
from handsfree.language.spelling import Lexicon

MOST = 3
"""Words suggested at most."""
_SHORTEST_PART = 2
"""Letters of each half when a word is split in two."""


def near_words(word: str, knows: Callable[[str], bool], lexicon: Lexicon, pronounce: Pronounce) -> tuple[str, ...]:
    """Known words, or pairs of them, to say or write instead; best first, perhaps none.

    First a word of the lexicon that was probably meant, then known words one letter away that sound alike, then the
    word in two known halves, then the other known words one letter away.
    """
    known = sorted(filter(knows, _one_letter_away(word)))
    likeness = dict(zip(known, confusabilities(known, [word], pronounce)[:, 0].tolist(), strict=True))
    one_away = sorted(known, key=lambda one: -likeness[one])
    alike = [one for one in one_away if likeness[one] >= NEAR]
    halves = [f"{word[:at]} {word[at:]}" for at in range(_SHORTEST_PART, len(word) - _SHORTEST_PART + 1)]
    known_halves = [pair for pair in halves if all(map(knows, pair.split()))]
    meant = difflib.get_close_matches(word, lexicon.words, n=1, cutoff=0.8)
    return tuple(dict.fromkeys((*meant, *alike, *known_halves, *one_away)))[:MOST]


def _one_letter_away(word: str) -> set[str]:
    return {one for one in _changed(word) if one and one != word}


def _changed(word: str) -> Iterator[str]:
    for at in range(len(word) + 1):
        before, after = word[:at], word[at:]
        yield before + after[1:]
        for letter in ascii_lowercase:
            yield before + letter + after
            yield before + letter + after[1:]
    for at, (first, second) in enumerate(pairwise(word)):
        yield word[:at] + second + first + word[at + 2 :]
