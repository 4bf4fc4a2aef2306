"""Phrases in earshot of each other that mean different things and sound alike, by the measure of their sounds."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from handsfree.checklist.guards import subjects_of
from handsfree.checklist.lint.one_word import differing_word, is_judged_here
from handsfree.checklist.lint.subject import Spot, Subject
from handsfree.checklist.models import AXES, Item
from handsfree.checklist.problems import Problem
from handsfree.language.confusability import NEAR, confusabilities, confusability
from handsfree.language.phrase import Phrase
from handsfree.language.sounds import Pronounce
from handsfree.language.tongue import ENGLISH

_OPPOSING = ("un", "in", "im", "ir", "il", "dis", "non", "mis", "de")
"""Beginnings that turn a word into its opposite."""
_ENDING = 2
"""Letters that may follow it: "secure" in "unsecured"."""


class Pair(NamedTuple):
    """Two phrases of one moment that are likely to be taken for each other."""

    one: Phrase
    other: Phrase
    likeness: float
    """0 to 1."""
    made_of: tuple[str, str] | None = None
    """Where nobody wrote the other: what the one speaks of, and the finding that was put behind it."""


def sounding_alike(subject: Subject) -> Iterator[Problem]:
    """Warnings ``sounds-alike``: a pass and a finding, passes of different parts, and a control word with either.

    Those of ``<untaught.any>`` are let be where they are not the first words for what they mean.
    """
    commands = {phrase.heard_as for phrase in subject.controls}
    near_commands = _near_commands(subject)
    for spot in subject.items:
        phrases = subject.phrases(spot.item)
        firsts = taught(phrase for phrase in phrases if phrase.heard_as not in commands)
        beside_commands = (
            pair._replace(one=phrase) for phrase in phrases for pair in near_commands.get(phrase.heard_as, ())
        )
        for pair in (*_of_item(spot.item, phrases, firsts, subject.pronounce), *beside_commands):
            if not any(phrase.heard_as in subject.untaught and phrase not in firsts for phrase in pair[:2]):
                yield _problem(subject, spot, pair)


def taught(phrases: Iterable[Phrase]) -> frozenset[Phrase]:
    """The first phrase for each thing that can be meant: the one that is read out, and learnt."""
    firsts: dict[tuple[str | None, ...], Phrase] = {}
    for phrase in phrases:
        meaning = phrase.meaning
        firsts.setdefault((meaning.outcome, *map(meaning.get, ("covers", "state", "finding", "control"))), phrase)
    return frozenset(firsts.values())


def near_pairs(ones: Sequence[Phrase], others: Sequence[Phrase], pronounce: Pronounce) -> Iterator[Pair]:
    """The pairs that sound alike and mean different things; the same words are no pair."""
    likeness = confusabilities([one.heard_as for one in ones], [other.heard_as for other in others], pronounce)
    rows, columns = np.nonzero(likeness >= NEAR)
    for row, column in zip(rows.tolist(), columns.tolist(), strict=True):
        one, other = ones[row], others[column]
        if one.meaning != other.meaning and one.heard_as != other.heard_as:
            yield Pair(one, other, float(likeness[row, column]))


def hides_its_opposite(good: Sequence[str], bad: Sequence[str]) -> bool:
    """Whether one holds the other with a word made its opposite.

    In noise a piece of a phrase is heard alone: "secure" in "pin unsecured".
    """
    short, long = sorted((good, bad), key=len)
    starts = range(len(long) - len(short) + 1)
    return any(_opposed(short, long[at : at + len(short)]) for at in starts)


def _of_item(item: Item, phrases: Sequence[Phrase], firsts: frozenset[Phrase], pronounce: Pronounce) -> Iterator[Pair]:
    passes = [phrase for phrase in phrases if phrase.meaning.outcome == "pass"]
    findings = [phrase for phrase in phrases if phrase.meaning.outcome == "finding"]
    own = [bad for bad in findings if bad in firsts and bad.meaning.get("finding") in item.finding_ids()]
    for pair in near_pairs(passes, findings, pronounce):
        if not is_judged_here(pair.one.heard_as.split(), pair.other.heard_as.split(), pronounce):
            yield pair
    yield from _opposites(passes, findings, pronounce)
    for good in passes:
        if good in firsts:
            made = dict(_said_of_its_subject(good, own))
            for pair in near_pairs([good], list(made), pronounce):
                yield pair._replace(made_of=made[pair.other])
    for pair in near_pairs(passes, passes, pronounce):
        one, other = pair[:2]
        if passes.index(one) < passes.index(other) and one.meaning.get("covers") != other.meaning.get("covers"):
            yield pair


def _opposites(passes: Sequence[Phrase], findings: Sequence[Phrase], pronounce: Pronounce) -> Iterator[Pair]:
    """Those that hide their opposite and are not alike as a whole."""
    turned = {phrase for phrase in (*passes, *findings) if any(map(_begins_opposing, phrase.heard_as.split()))}
    for good in passes:
        for bad in (bad for bad in findings if good in turned or bad in turned):
            if hides_its_opposite(good.heard_as.split(), bad.heard_as.split()):
                likeness = confusability(good.heard_as, bad.heard_as, pronounce)
                if likeness < NEAR or is_judged_here(good.heard_as.split(), bad.heard_as.split(), pronounce):
                    yield Pair(good, bad, likeness)


def _said_of_its_subject(good: Phrase, defects: Iterable[Phrase]) -> Iterator[tuple[Phrase, tuple[str, str]]]:
    """The defects said of what a response speaks of, "both tyres cut" beside "both tyres good", each with its parts."""
    for subject in subjects_of((good.text,), ENGLISH):  # these sounds are English
        for bad in defects:
            said = f"{subject} {bad.text}"
            yield replace(bad, text=said, heard_as=said), (subject, bad.text)


def _near_commands(subject: Subject) -> Mapping[str, Sequence[Pair]]:
    """By its words, what sounds like a control word; where it has a position, too much else is heard with it."""
    every = {phrase.heard_as: phrase for spot in subject.items for phrase in subject.phrases(spot.item)}
    unplaced = [phrase for phrase in every.values() if set(AXES).isdisjoint(phrase.meaning.as_dict())]
    found: dict[str, list[Pair]] = defaultdict(list)
    for command, phrase, likeness, _ in near_pairs(subject.controls, unplaced, subject.pronounce):
        found[phrase.heard_as].append(Pair(phrase, command, likeness))
    return found


_OTHERS = "make the pass shorter, or end it with two words that no finding has, as 'neat and free'"
"""A long beginning and one short last word is what is caught wrongly most: all but the end is the same then."""


def _problem(subject: Subject, spot: Spot, pair: Pair) -> Problem:
    one, other, likeness, made_of = pair
    what = {"pass": "passes", "finding": "is a finding", "control": "is a control word"}
    like = f"'{other.text}', which {what[other.meaning.outcome]}"
    if made_of is not None:
        about, bad = made_of
        like = f"the finding '{bad}' if only the end is caught wrongly: '{about}' + '{bad}'"
    measured = f"likeness {likeness:.2f}; {NEAR} is too near" if likeness >= NEAR else "one denies the other"
    message = f"item '{spot.item.id}': '{one.text}' {what[one.meaning.outcome]} and sounds like {like} ({measured})"
    words = differing_word(one.text.split(), other.text.split())
    apart = f"only '{words[0]}' and '{words[1]}' tell them apart: " if words and all(words) else ""
    of_both = {one.meaning.outcome, other.meaning.outcome} == {"pass", "finding"}
    others = _OTHERS if of_both else "take other words"
    hint = f"{apart}{others}, or say why it stays so: # accepted HF209: why"
    return Problem(message, subject.field(spot, one), code="sounds-alike", hint=hint, level="warning")


def _begins_opposing(word: str) -> bool:
    return word.startswith(_OPPOSING)


def _opposed(one: Sequence[str], other: Sequence[str]) -> bool:
    """Whether the same words stand in both, but for some that are the opposite."""
    differing = [pair for pair in zip(one, other, strict=True) if pair[0] != pair[1]]
    return bool(differing) and all(_opposite(*pair) or _opposite(*reversed(pair)) for pair in differing)


def _opposite(word: str, other: str) -> bool:
    """Whether the other word is this one behind a beginning that denies it: "unsecured" for "secure"."""
    return any(
        other.startswith(beginning + word) and len(other) - len(beginning + word) <= _ENDING for beginning in _OPPOSING
    )
