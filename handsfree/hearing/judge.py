"""From readings to what was meant: the decision that must never turn doubt into "nothing found".  Pure.

A pass is believed only when the likeliest reading is, word for word, a whole phrase that passes this item, and every
reading that means otherwise lies well below.  A finding may also come from a reading close to the top, because it is
read back before it counts.  Anything in doubt becomes a question.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handsfree.hearing.recogniser import UNKNOWN, Hypothesis
from handsfree.hearing.settings import JudgeSettings
from handsfree.language.heard import Alternative, Heard, HeardOutcome
from handsfree.language.meaning import Meaning, Outcome, overall_outcome
from handsfree.language.vocabulary import JOINING_WORDS, Vocabulary

_SHOWN = 5  # other readings that are worth keeping in the log
_NO_WORD = Heard("none", confidence=0.0, why="no word was heard")


@dataclass(frozen=True, slots=True)
class Reading:
    """A hypothesis and what it means; no clauses when it means nothing."""

    words: str
    said: str
    score: float
    clauses: tuple[Meaning, ...]
    ambiguous: bool
    unknown: int
    """How many of the words are no words of this moment."""

    @property
    def meant(self) -> frozenset[Meaning]:
        """The clauses without their order: "no leak, tyres good" says the same as "tyres good, no leak"."""
        return frozenset(self.clauses)

    @property
    def outcome(self) -> Outcome:
        """A pass beside a finding is a finding."""
        return overall_outcome(self.clauses)


def judge(hypotheses: Sequence[Hypothesis], vocabulary: Vocabulary, settings: JudgeSettings) -> Heard:
    """What was meant, without the figures that only the ears know (noise, time)."""
    read = [_read(hypothesis, vocabulary, settings) for hypothesis in hypotheses]
    readings = sorted(read, key=lambda reading: -reading.score)
    if not readings:
        return _NO_WORD
    if set(readings[0].words.split()) <= set(JOINING_WORDS):
        return _hardly_a_word(readings, settings)
    if readings[0].unknown:
        return _partly_unknown(readings, vocabulary, settings)
    if not readings[0].clauses:
        return _not_a_phrase(readings, vocabulary, settings)
    return _whole_phrase(readings, settings)


def _read(hypothesis: Hypothesis, vocabulary: Vocabulary, settings: JudgeSettings) -> Reading:
    unknown = sum(_is_unknown(word, vocabulary) for word in hypothesis.words.split())
    if unknown:
        return Reading(hypothesis.words, hypothesis.words, hypothesis.score, (), ambiguous=False, unknown=unknown)
    parse = vocabulary.parse(hypothesis.words)
    score = hypothesis.score - settings.clause_cost * max(0, len(parse.clauses) - 1)
    return Reading(hypothesis.words, parse.text, score, parse.clauses, parse.ambiguous, unknown=0)


def _is_unknown(word: str, vocabulary: Vocabulary) -> bool:
    return word == UNKNOWN or vocabulary.is_stranger(word)


def _whole_phrase(readings: Sequence[Reading], settings: JudgeSettings) -> Heard:
    top = readings[0]
    if top.ambiguous:
        return _heard("ask", top, readings, top.clauses, "the words can mean two things")
    rivals = [reading for reading in readings if reading.clauses and reading.meant != top.meant]
    rival = rivals[0] if rivals else None
    margin = settings.pass_margin if top.outcome == "pass" else settings.other_margin
    if rival is not None and top.score - rival.score < margin:
        return _heard("ask", top, readings, (*top.clauses, *rival.clauses), f'it may also have been "{rival.said}"')
    if _over_strangers(top, readings) < settings.unknown_margin:
        return _heard("ask", top, readings, top.clauses, "other words may have been in it")
    if top.outcome == "pass" and _share(top, readings) < settings.pass_share:
        return _heard("ask", top, readings, top.clauses, "it was not clear enough for a pass")
    return _heard(top.outcome, top, readings, top.clauses)


def _hardly_a_word(readings: Sequence[Reading], settings: JudgeSettings) -> Heard:
    """Nothing is the likeliest; something short may yet have been said."""
    top = readings[0]
    close = [reading for reading in readings if reading.clauses and top.score - reading.score <= settings.near]
    if not close:
        return _NO_WORD
    return _heard("ask", close[0], readings, close[0].clauses, "a word was hardly heard")


def _not_a_phrase(readings: Sequence[Reading], vocabulary: Vocabulary, settings: JudgeSettings) -> Heard:
    top = readings[0]
    close = [reading for reading in readings if reading.clauses and top.score - reading.score <= settings.near]
    sure = close and not close[0].ambiguous and len({reading.meant for reading in close}) == 1
    if sure and close[0].outcome == "finding" and _over_strangers(close[0], readings) >= settings.near_unknown_margin:
        return _heard("finding", close[0], readings, close[0].clauses)
    if close:
        guesses = tuple(dict.fromkeys(clause for reading in close for clause in reading.clauses))
        return _heard("ask", top, readings, guesses, f'"{top.said}" is no whole phrase')
    return _heard("ask", top, readings, _guesses(top.words, vocabulary, settings), f'"{top.said}" is no whole phrase')


def _over_strangers(reading: Reading, readings: Sequence[Reading]) -> float:
    """How far it lies above the best reading that holds words outside the list, or none at all."""
    strangers = (other for other in readings if other.unknown or not other.words)
    return min((reading.score - other.score for other in strangers), default=math.inf)


def _partly_unknown(readings: Sequence[Reading], vocabulary: Vocabulary, settings: JudgeSettings) -> Heard:
    """Unknown words mean that it was not for us, unless much of it is ours: they are never taken away to make sense."""
    top = readings[0]
    words = top.words.split()
    ours = " ".join(word for word in words if not _is_unknown(word, vocabulary))
    strange = words.count(UNKNOWN) / len(words)
    clauses = vocabulary.parse(ours).clauses
    if strange < settings.unknown_share or (clauses and strange <= settings.unknown_share):
        guesses = clauses or _guesses(ours, vocabulary, settings)
        if guesses or not strange:
            return _heard("ask", top, readings, guesses, "other words were in it")
    return _heard("none", top, readings, (), "the words were not for this check")


def _guesses(words: str, vocabulary: Vocabulary, settings: JudgeSettings) -> tuple[Meaning, ...]:
    alike = (near for near in vocabulary.nearest(words) if not near.blocked and near.score >= settings.resemblance)
    return tuple(dict.fromkeys(near.phrase.meaning for near in alike))


def _heard(
    outcome: HeardOutcome, chosen: Reading, readings: Sequence[Reading], meanings: tuple[Meaning, ...], why: str = ""
) -> Heard:
    return Heard(
        outcome,
        said=chosen.said,
        meanings=meanings,
        confidence=_share(chosen, readings),
        alternatives=_others(readings, readings.index(chosen)),
        why=why,
    )


def _share(chosen: Reading, readings: Sequence[Reading]) -> float:
    """The chosen meaning's share of the likelihood of all readings, 0 to 1."""
    weights = [math.exp(reading.score - max(r.score for r in readings)) for reading in readings]
    same = [
        weight
        for reading, weight in zip(readings, weights, strict=True)
        if reading is chosen or (reading.clauses and reading.meant == chosen.meant)
    ]
    return round(sum(same) / sum(weights), 3)


def _others(readings: Sequence[Reading], chosen: int) -> tuple[Alternative, ...]:
    others = [reading for index, reading in enumerate(readings) if index != chosen or not reading.clauses]
    return tuple(Alternative(reading.words, round(reading.score, 2)) for reading in others[:_SHOWN])
