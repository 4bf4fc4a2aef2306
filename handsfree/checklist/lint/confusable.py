"""Phrases in earshot of each other that can be taken for each other."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Sequence

from handsfree.checklist.lint.near_words import soundex
from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.models import Item
from handsfree.checklist.problems import Location, Problem
from handsfree.language.phrase import Phrase

ALIKE = 0.6
"""Likeness of two words, of 1, from which they are taken for each other: twice the common letters over all letters."""
_SHORT = 3
"""Letters up to which any two words are: "on" and "off", "in" and "out"."""
_NEGATIONS = frozenset({"no", "not"})
_OPPOSING = ("un", "in", "im", "ir", "il", "dis", "non", "mis", "de")
"""Beginnings that turn a word into its opposite."""
_ENDING = 2
"""Letters that may follow it: "secure" in "unsecured"."""


def confusable_phrases(subject: Subject) -> Iterator[Problem]:
    """Errors ``ambiguous``; warnings ``one-word-apart``, ``sounds-alike`` and ``good-inside-bad``.

    And the warning ``pass-shadows-defect``.
    """
    for where, item in subject.items:
        phrases = subject.phrases(item)
        yield from _ambiguous(where, item, phrases, subject.controls)
        yield from _one_word_apart(where, item, phrases, subject.reports)
        yield from _sounding_alike(where, item, phrases)
        yield from _good_inside_bad(where, item, phrases)
        yield from _shadowed_defects(subject, where, item, phrases)


def _ambiguous(where: Location, item: Item, phrases: Sequence[Phrase], controls: Sequence[Phrase]) -> Iterator[Problem]:
    first: dict[str, Phrase] = {}
    # A bare "checked" that passes is both, on purpose.
    for phrase in (*phrases, *(one for one in controls if one.meaning.get("control") != "checked")):
        other = first.setdefault(phrase.heard_as, phrase)
        if other.meaning != phrase.meaning:
            message = f"item '{item.id}': '{phrase.text}' means both {_meant(other)} and {_meant(phrase)}"
            yield Problem(message, where, code="ambiguous", hint="say one of them in other words")


def _one_word_apart(
    where: Location, item: Item, phrases: Sequence[Phrase], reports: Sequence[Phrase]
) -> Iterator[Problem]:
    """A passing response that is a finding with one word changed to one like it, or with a negation put before it."""
    taught: set[str | None] = set()
    for good in (phrase for phrase in phrases if phrase.meaning.outcome == "pass"):
        answers = good.meaning.get("covers")
        is_taught = answers not in taught
        taught.add(answers)
        bad = [
            f"'{other.text}'"
            for other in (*phrases, *reports)
            if other.meaning.outcome == "finding"
            and (words := differing_word(good.heard_as.split(), other.heard_as.split()))
            and mistakable(*words, is_taught=is_taught)
        ]
        if bad:
            message = f"item '{item.id}': '{good.text}' passes and is one word away from the finding {', '.join(bad)}"
            hint = "teach a response that shares no words with a finding: 'dry' beside 'leak'"
            yield Problem(message, where, code="one-word-apart", hint=hint, level="warning")


def _sounding_alike(where: Location, item: Item, phrases: Sequence[Phrase]) -> Iterator[Problem]:
    """A passing response that the ear can take for a finding: "loos" beside "loose", "secure" beside "unsecured"."""
    findings = [phrase for phrase in phrases if phrase.meaning.outcome == "finding"]
    for good in (phrase for phrase in phrases if phrase.meaning.outcome == "pass"):
        bad = [f"'{other.text}'" for other in findings if sounds_alike(good.heard_as.split(), other.heard_as.split())]
        if bad:
            message = f"item '{item.id}': '{good.text}' passes and sounds like the finding {', '.join(bad)}"
            hint = "let it pass in words that share no sound with a finding: 'dry' beside 'leak'"
            yield Problem(message, where, code="sounds-alike", hint=hint, level="warning")


def sounds_alike(good: Sequence[str], bad: Sequence[str]) -> bool:
    """Whether the two differ only by sounds that are easily lost, or one holds the other with a word made its opposite.

    The second is so in noise, where a piece of a phrase is heard alone: "secure" in "pin unsecured".
    """
    if len(good) == len(bad) and good != bad and all(map(_same_sound, good, bad)):
        return True
    short, long = sorted((good, bad), key=len)
    starts = range(len(long) - len(short) + 1)
    return any(_opposed(short, long[at : at + len(short)]) for at in starts)


def _opposed(one: Sequence[str], other: Sequence[str]) -> bool:
    """Whether the same words stand in both, but for some that are the opposite."""
    differing = [pair for pair in zip(one, other, strict=True) if pair[0] != pair[1]]
    return bool(differing) and all(_opposite(*pair) or _opposite(*reversed(pair)) for pair in differing)


def _same_sound(one: str, other: str) -> bool:
    return one == other or (
        soundex(one) == soundex(other) and difflib.SequenceMatcher(None, one, other).ratio() >= ALIKE
    )


def _opposite(word: str, other: str) -> bool:
    """Whether the other word is this one behind a beginning that denies it: "unsecured" for "secure"."""
    return any(
        other.startswith(beginning + word) and len(other) - len(beginning + word) <= _ENDING for beginning in _OPPOSING
    )


def mistakable(good: str, bad: str, *, is_taught: bool) -> bool:
    """Whether a passing response is heard for a finding when only these words differ; "" = no word there.

    A denial ("not" in the finding) is on the list of every item and needs no warning.  "No leak" will be said,
    taught or not; only teaching it is a mistake, for "fuel leak" was heard as "no leak" more than anything else.
    """
    if good in _NEGATIONS:
        return is_taught
    if bad in _NEGATIONS:
        return False
    if not good or not bad:
        return True
    short = max(len(good), len(bad)) <= _SHORT
    return short or difflib.SequenceMatcher(None, good, bad).ratio() >= ALIKE


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


def _good_inside_bad(where: Location, item: Item, phrases: Sequence[Phrase]) -> Iterator[Problem]:
    """The good words inside bad ones: "in place" in "hardly in place"; in noise a piece is heard alone."""
    if item.kind != "indicator":
        return
    own = [phrase for phrase in phrases if phrase.meaning.get("item") == item.id]
    good = [phrase for phrase in own if phrase.meaning.get("state")]
    states = {state.id for state in item.states}
    bad = [phrase for phrase in own if phrase.meaning.get("finding") in states]
    for one in good:
        for other in bad:
            if _inside(one.heard_as, other.heard_as):
                message = f"item '{item.id}': the good '{one.text}' is heard inside the bad '{other.text}'"
                hint = "say one of the two states in words of its own"
                yield Problem(message, where, code="good-inside-bad", hint=hint, level="warning")


def _inside(good: str, bad: str) -> bool:
    """Whether the bad words are the good ones and more than a plain denial."""
    before, found, after = f" {bad} ".partition(f" {good} ")
    return bool(found) and not _NEGATIONS.issuperset((before + " " + after).split())


def _shadowed_defects(subject: Subject, where: Location, item: Item, phrases: Sequence[Phrase]) -> Iterator[Problem]:
    """A response that passes in the very words of an everyday defect, where no indicator declares it good."""
    if item.kind == "indicator" or not phrases:
        return
    defects = {path.heard for path in subject.patterns.expansion("<findings.any>").paths()}
    for phrase in phrases:
        if phrase.meaning.outcome == "pass" and phrase.heard_as in defects:
            message = f"item '{item.id}': '{phrase.text}' passes, and is a defect everywhere else"
            hint = "declare it as the good state of an indicator, or choose other words"
            yield Problem(message, where, code="pass-shadows-defect", hint=hint, level="warning")


def _meant(phrase: Phrase) -> str:
    slots = ", ".join(f"{name} {value}" for name, value in phrase.meaning.slots if name != "item")
    return f"{phrase.meaning.outcome} ({slots})" if slots else phrase.meaning.outcome
