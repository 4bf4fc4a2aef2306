"""A good answer that is a defect with one word changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.problems import Problem
from handsfree.language.confusability import NEAR, confusability
from handsfree.language.sounds import Pronounce

_SHORT = 3
"""Letters up to which any two words are taken for each other: "on" and "off", "in" and "out"."""
_NEGATIONS = frozenset({"no", "not"})


def one_word_apart(subject: Subject) -> Iterator[Problem]:
    """Warnings ``one-word-apart``: a response that is a finding with a word left out or put for one like it."""
    for spot in subject.items:
        phrases = subject.phrases(spot.item)
        taught: set[str | None] = set()
        for good in (phrase for phrase in phrases if phrase.meaning.outcome == "pass"):
            answers = good.meaning.get("covers")
            is_taught = answers not in taught
            taught.add(answers)
            bad = [
                f"'{other.text}'"
                for other in (*phrases, *subject.reports)
                if other.meaning.outcome == "finding"
                and (words := differing_word(good.heard_as.split(), other.heard_as.split()))
                and mistakable(*words, subject.pronounce, is_taught=is_taught)
            ]
            if bad:
                start = f"item '{spot.item.id}': '{good.text}' passes and is one word away from the finding "
                hint = "take a pass that shares no words with a finding: 'dry' beside 'leak'"
                where = subject.field(spot, good)
                yield Problem(start + ", ".join(bad), where, code="one-word-apart", hint=hint, level="warning")


def mistakable(good: str, bad: str, pronounce: Pronounce, *, is_taught: bool) -> bool:
    """Whether a passing response is heard for a finding when only these words differ; "" = no word there.

    "No leak" will be said, taught or not; only teaching it is a mistake, for "fuel leak" was heard as "no leak" more
    than anything else.  "Not closed" passes as "closed" when a gate of the headset opens a quarter of a second late.
    """
    if good in _NEGATIONS:
        return is_taught
    if bad in _NEGATIONS:
        return not good
    if not good or not bad:
        return True
    return max(len(good), len(bad)) <= _SHORT or confusability(good, bad, pronounce) >= NEAR


def is_judged_here(good: Sequence[str], bad: Sequence[str], pronounce: Pronounce) -> bool:
    """Whether this rule speaks of the two, or holds them to be apart for good: one denies the other."""
    words = differing_word(good, bad)
    return words is not None and (not _NEGATIONS.isdisjoint(words) or mistakable(*words, pronounce, is_taught=True))


def differing_word(one: Sequence[str], other: Sequence[str]) -> tuple[str, str] | None:
    """The word of each that the other has not, when that is all that differs; "" for a word that is not there.

    None for phrases of one word each: those share nothing that could be mistaken.
    """
    start = 0
    while start < min(len(one), len(other)) and one[start] == other[start]:
        start += 1
    end = 0
    while end < min(len(one), len(other)) - start and one[-1 - end] == other[-1 - end]:
        end += 1
    left, right = one[start : len(one) - end], other[start : len(other) - end]
    if len(left) > 1 or len(right) > 1 or not (left or right) or not start + end:
        return None
    return " ".join(left), " ".join(right)
