"""Which phrases look most like what was heard: the only module that knows RapidFuzz.

Alike is not the same: a missed "not", another side or another number gives words that look almost alike and mean the
opposite, so such a match is blocked, and so is one that is hardly better than another meaning.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from rapidfuzz import fuzz, process

from handsfree.language.phrase import Phrase
from handsfree.language.spelling import plain_digit
from handsfree.language.tongue import ENGLISH, Tongue

_LOWEST: Final = 60.0
"""Of 100; less alike is not reported at all."""
_MARGIN: Final = 8.0
"""A match must be better than any other meaning by this."""
_NOT_NEGATED: Final = ("under", "unit", "until", "union", "uniform", "unless", "uncle")
"""Beginnings of words in un- that negate nothing."""
_OPPOSING: Final = ("in", "im", "ir", "il", "dis", "non", "de", "mis")


@dataclass(frozen=True, slots=True)
class Near:
    """A phrase that looks like what was heard."""

    phrase: Phrase
    score: float
    """0 to 100."""
    blocked: str
    """Empty, or why this match must not even be suggested."""


def nearest(heard: str, phrases: Sequence[Phrase], limit: int, tongue: Tongue) -> tuple[Near, ...]:
    """The most alike phrases, best first; ``heard`` is in compared form.  Nothing is like the empty text."""
    if not heard:
        return ()
    texts = [phrase.heard_as for phrase in phrases]
    found = process.extract(heard, texts, scorer=fuzz.ratio, limit=None, score_cutoff=_LOWEST - _MARGIN)
    scored = [(phrases[index], score) for _, score, index in found]
    return tuple(
        Near(phrase, score, blocked_by(heard, phrase.heard_as, tongue) or _rival(phrase, score, scored))
        for phrase, score in scored[:limit]
        if score >= _LOWEST
    )


def blocked_by(heard: str, phrase: str, tongue: Tongue = ENGLISH) -> str:
    """Why two texts may not be taken for each other however alike they look, or the empty string."""
    ours, theirs = heard.split(), phrase.split()
    if _negations(ours, theirs, tongue) != _negations(theirs, ours, tongue):
        return "one is negated and the other is not"
    if _sides(ours, tongue) != _sides(theirs, tongue):
        return "the sides differ"
    if _numbers(ours, tongue) != _numbers(theirs, tongue):
        return "the numbers differ"
    return ""


def _rival(phrase: Phrase, score: float, scored: Iterable[tuple[Phrase, float]]) -> str:
    for other, rival_score in scored:
        if other.meaning != phrase.meaning and rival_score > score - _MARGIN:
            return f"'{other.text}' is about as near"
    return ""


def _negations(words: Sequence[str], others: Sequence[str], tongue: Tongue) -> int:
    return sum(word in tongue.negative or _negated(word, others, tongue) for word in words)


def _negated(word: str, others: Sequence[str], tongue: Tongue) -> bool:
    """Whether a beginning makes a word the opposite: "unserviceable"; "insecure" when held against "secure"."""
    if tongue.code != ENGLISH.code:
        return any(word == beginning + other for beginning in tongue.opposites for other in others)
    if word.startswith("un"):
        return len(word) > len("unit") and not word.startswith(_NOT_NEGATED)
    return word.endswith("n't") or any(word == beginning + other for beginning in _OPPOSING for other in others)


def _sides(words: Iterable[str], tongue: Tongue) -> Counter[str]:
    sides = {word: group[0] for group in tongue.sides for word in group}
    return Counter(sides[word] for word in words if word in sides)


def _numbers(words: Iterable[str], tongue: Tongue) -> tuple[str, ...]:
    amounts = tongue.number_words | tongue.amounts
    return tuple(plain for word in words if (plain := plain_digit(word)) in amounts)
