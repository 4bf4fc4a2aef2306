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

from handsfree.language.numbers import NUMBER_WORDS
from handsfree.language.phrase import Phrase
from handsfree.language.spelling import plain_digit

_LOWEST: Final = 60.0
"""Of 100; less alike is not reported at all."""
_MARGIN: Final = 8.0
"""A match must be better than any other meaning by this."""
_NEGATIONS: Final = frozenset(
    ("no", "not", "non", "un", "never", "nothing", "none", "without", "cannot", "unable", "neither", "nor")
)
_NOT_NEGATED: Final = ("under", "unit", "until", "union", "uniform", "unless", "uncle")
"""Beginnings of words in un- that negate nothing."""
_OPPOSING: Final = ("in", "im", "ir", "il", "dis", "non", "de", "mis")
_SAME_SIDE: Final = (
    *(("left", "port"), ("right", "starboard"), ("inner", "inboard"), ("outer", "outboard")),
    *(("front", "forward"), ("rear", "aft"), ("upper", "top"), ("lower", "bottom")),
)
_SIDES: Final = {word: words[0] for words in _SAME_SIDE for word in words}
_AMOUNTS: Final = NUMBER_WORDS | {"half", "quarter", "quarters", "eighth", "eighths", "full", "empty"}


@dataclass(frozen=True, slots=True)
class Near:
    """A phrase that looks like what was heard."""

    phrase: Phrase
    score: float
    """0 to 100."""
    blocked: str
    """Empty, or why this match must not even be suggested."""


def nearest(heard: str, phrases: Sequence[Phrase], limit: int) -> tuple[Near, ...]:
    """The most alike phrases, best first; ``heard`` is in compared form.  Nothing is like the empty text."""
    if not heard:
        return ()
    texts = [phrase.heard_as for phrase in phrases]
    found = process.extract(heard, texts, scorer=fuzz.ratio, limit=None, score_cutoff=_LOWEST - _MARGIN)
    scored = [(phrases[index], score) for _, score, index in found]
    return tuple(
        Near(phrase, score, blocked_by(heard, phrase.heard_as) or _rival(phrase, score, scored))
        for phrase, score in scored[:limit]
        if score >= _LOWEST
    )


def blocked_by(heard: str, phrase: str) -> str:
    """Why two texts may not be taken for each other however alike they look, or the empty string."""
    ours, theirs = heard.split(), phrase.split()
    if _negations(ours, theirs) != _negations(theirs, ours):
        return "one is negated and the other is not"
    if _sides(ours) != _sides(theirs):
        return "the sides differ"
    if _numbers(ours) != _numbers(theirs):
        return "the numbers differ"
    return ""


def _rival(phrase: Phrase, score: float, scored: Iterable[tuple[Phrase, float]]) -> str:
    for other, rival_score in scored:
        if other.meaning != phrase.meaning and rival_score > score - _MARGIN:
            return f"'{other.text}' is about as near"
    return ""


def _negations(words: Sequence[str], others: Sequence[str]) -> int:
    return sum(word in _NEGATIONS or word.endswith("n't") or _negated(word, others) for word in words)


def _negated(word: str, others: Sequence[str]) -> bool:
    """Whether a beginning makes a word the opposite: "unserviceable"; "insecure" when held against "secure"."""
    if word.startswith("un"):
        return len(word) > len("unit") and not word.startswith(_NOT_NEGATED)
    return any(word == beginning + other for beginning in _OPPOSING for other in others)


def _sides(words: Iterable[str]) -> Counter[str]:
    return Counter(_SIDES[word] for word in words if word in _SIDES)


def _numbers(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(plain for word in words if (plain := plain_digit(word)) in _AMOUNTS)
