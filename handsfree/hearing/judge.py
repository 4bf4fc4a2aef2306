"""From readings to what was meant: the decision that must never turn doubt into "nothing found".  Pure.

Several decodes of the same sound, cleaned in different ways, are asked.  Each shares out one whole among the
meanings that it read; the shares are multiplied, so that a meaning wins which all of them hold possible, and none wins
which one of them excludes.  A pass, and a number, which may pass too, is believed only when each decode by itself has
it on top and every other meaning lies well below, and only after a second opinion (second_opinion.py).  Anything in
doubt becomes a question.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from handsfree.hearing.recogniser import Hypothesis
from handsfree.hearing.settings import JudgeSettings
from handsfree.hearing.strict_graph import UNKNOWN
from handsfree.language.heard import Alternative, Heard, HeardOutcome
from handsfree.language.meaning import Meaning, Outcome, overall_outcome
from handsfree.language.vocabulary import Vocabulary

_SHOWN = 5  # other readings that are worth keeping in the log
_NO_WORD = Heard("none", confidence=0.0, why="no word was heard")
_NO_READING = (Hypothesis("", 0.0),)  # a decode that failed has heard nothing, which is against every pass

Decode = Sequence[Hypothesis]
"""All readings of one decode."""

Key = frozenset[Meaning] | str
"""What counts as the same thing said."""


@dataclass(frozen=True, slots=True)
class Reading:
    """Words, and what they mean; no clauses when they mean nothing as a whole."""

    words: str
    said: str
    clauses: tuple[Meaning, ...]
    unknown: int
    """How many of the words are no words of this moment."""
    ambiguous: bool = False
    nothing: bool = False
    """No word, or only words that join others."""

    @property
    def key(self) -> Key:
        """What counts as the same: a meaning in whatever words; unknown words; no words; words without a meaning."""
        if self.unknown:
            return UNKNOWN
        if self.nothing:
            return ""
        return frozenset(self.clauses) if self.clauses and not self.ambiguous else self.words

    @property
    def outcome(self) -> Outcome:
        """A pass beside a finding is a finding."""
        return overall_outcome(self.clauses)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A meaning, with its likeliest reading."""

    reading: Reading
    score: float
    """The logarithm of its share, all decodes together; higher is likelier, comparable within one utterance."""
    undisputed: bool
    """It is on top in each decode."""
    confidence: float
    """0 to 1: how sure it is, by how much likelier it is than all others together."""

    @property
    def is_phrase(self) -> bool:
        """Whether it means something."""
        return isinstance(self.reading.key, frozenset)


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What the ears know of an utterance besides its readings."""

    snr_db: float
    """Speech over noise."""
    spoken_s: float
    """How long somebody spoke, pauses not counted."""
    paused_s: float = 0.0
    """The longest pause within it."""


def judge(
    decodes: Sequence[Decode],
    vocabulary: Vocabulary,
    settings: JudgeSettings,
    around: Circumstances | None = None,
) -> Heard:
    """What was meant; without the circumstances with the margins of noise, and nothing else of what depends on them."""
    candidates = _candidates(decodes, vocabulary, settings)
    top = candidates[0]
    if top.reading.key == "":
        return _hardly_a_word(candidates, settings)
    if top.reading.unknown:
        return _partly_unknown(candidates, vocabulary, settings, around)
    if top.is_phrase:
        if _more_was_said(top.reading, around, settings):
            return _heard("ask", top, candidates, top.reading.clauses, "more was said than was understood")
        quiet = around is not None and around.snr_db >= settings.quiet_db
        passes = top.reading.outcome in vocabulary.passing
        margins = settings.margins(top.reading.outcome, passes=passes, critical=vocabulary.critical, quiet=quiet)
        heard = _whole_phrase(candidates, *margins, passes=passes)
        if heard.outcome == "pass" and around is not None and around.paused_s >= settings.broken_s:
            return _looked_at_in_parts(heard, top, candidates, vocabulary)
        return heard
    return _no_phrase(candidates, vocabulary, settings)


def _candidates(decodes: Sequence[Decode], vocabulary: Vocabulary, settings: JudgeSettings) -> list[Candidate]:
    """All meanings that were read, likeliest first."""
    found = [shares(decode, vocabulary) for decode in decodes]
    best = {key: reading for share in reversed(found) for key, (reading, _) in share.items()}
    tops = {max(share, key=lambda key, share=share: share[key][1]) for share in found}

    def score(key: Key) -> float:
        return sum(max(share[key][1] if key in share else -math.inf, settings.absent) for share in found)

    scores = {key: score(key) for key in best}
    candidates = (
        Candidate(reading, scores[key], tops == {key}, _confidence(key, scores, settings))
        for key, reading in best.items()
    )
    return sorted(candidates, key=lambda candidate: -candidate.score)


def _confidence(key: Key, scores: Mapping[Key, float], settings: JudgeSettings) -> float:
    others = sum(math.exp(score - scores[key]) for other, score in scores.items() if other != key)
    return round(settings.score.confidence(-math.log(max(others, 1e-12))), 4)


def shares(decode: Decode, vocabulary: Vocabulary) -> dict[Key, tuple[Reading, float]]:
    """For each meaning its likeliest reading, and the logarithm of its share in all that this decode read."""
    decode = decode or _NO_READING
    highest = max(hypothesis.score for hypothesis in decode)
    weights: dict[Key, tuple[Reading, float]] = {}
    for hypothesis in sorted(decode, key=lambda one: -one.score):
        reading = _read(hypothesis.words, vocabulary)
        first, weight = weights.get(reading.key, (reading, 0.0))
        weights[reading.key] = (first, weight + math.exp(hypothesis.score - highest))
    whole = sum(weight for _, weight in weights.values())
    return {key: (reading, math.log(max(weight, 1e-300) / whole)) for key, (reading, weight) in weights.items()}


def _read(words: str, vocabulary: Vocabulary) -> Reading:
    unknown = sum(_is_unknown(word, vocabulary) for word in words.split())
    if unknown:
        return Reading(words, words, (), unknown)
    parse = vocabulary.parse(words)
    return Reading(
        words, parse.text, parse.clauses, 0, parse.ambiguous, nothing=set(words.split()) <= set(vocabulary.joining)
    )


def _is_unknown(word: str, vocabulary: Vocabulary) -> bool:
    return word == UNKNOWN or vocabulary.is_stranger(word)


def _whole_phrase(candidates: Sequence[Candidate], margin: float, unknown_margin: float, *, passes: bool) -> Heard:
    top, *others = candidates
    clauses = top.reading.clauses
    rival = next((other for other in others if other.is_phrase), None)
    if rival is not None and top.score - rival.score < margin:
        why = f'it may also have been "{rival.reading.said}"'
        return _heard("ask", top, candidates, (*clauses, *rival.reading.clauses), why)
    stranger = next((other for other in others if not other.is_phrase), None)
    if stranger is not None and top.score - stranger.score < unknown_margin:
        return _heard("ask", top, candidates, clauses, "other words may have been in it")
    if passes and not top.undisputed:
        return _heard("ask", top, candidates, clauses, "it was not clear enough to count")
    return _heard(top.reading.outcome, top, candidates, clauses)


def _looked_at_in_parts(heard: Heard, top: Candidate, candidates: Sequence[Candidate], vocabulary: Vocabulary) -> Heard:
    """A pass with a pause in it; which of its words the pause stood between is not known."""
    words = top.reading.words.split()
    for at in range(1, len(words)):
        for part in (words[at:], words[:at]):
            parse = vocabulary.parse(" ".join(part))
            if parse.clauses and overall_outcome(parse.clauses) == "finding":
                why = f'"{parse.text}" was said by itself'
                return _heard("ask", top, candidates, (*top.reading.clauses, *parse.clauses), why)
    return heard


def _hardly_a_word(candidates: Sequence[Candidate], settings: JudgeSettings) -> Heard:
    """Nothing is the likeliest; something short may yet have been said."""
    close = _close(candidates, settings)
    if not close:
        return _NO_WORD
    return _heard("ask", close[0], candidates, close[0].reading.clauses, "a word was hardly heard")


def _no_phrase(candidates: Sequence[Candidate], vocabulary: Vocabulary, settings: JudgeSettings) -> Heard:
    top = candidates[0]
    if top.reading.ambiguous:
        return _heard("ask", top, candidates, top.reading.clauses, "the words can mean two things")
    close = tuple(dict.fromkeys(one for candidate in _close(candidates, settings) for one in candidate.reading.clauses))
    guesses = close or _guesses(top.reading.words, vocabulary, settings)
    return _heard("ask", top, candidates, guesses, f'"{top.reading.said}" is no whole phrase')


def _close(candidates: Sequence[Candidate], settings: JudgeSettings) -> list[Candidate]:
    return [one for one in candidates if one.is_phrase and candidates[0].score - one.score <= settings.near]


def _more_was_said(reading: Reading, around: Circumstances | None, settings: JudgeSettings) -> bool:
    """Whether the words are too few for so much speech: then most of it was swallowed by one of them.

    Only in quiet is it known how much speech there was.
    """
    if around is None or around.snr_db < settings.quiet_db:
        return False
    words = unicodedata.normalize("NFD", reading.words.replace(UNKNOWN, settings.an_unknown_word))  # a Hangul syllable
    letters = sum(map(len, words.split()))  # is two or three letters
    return around.spoken_s > settings.extra_s + settings.letter_s * letters


def _partly_unknown(
    candidates: Sequence[Candidate], vocabulary: Vocabulary, settings: JudgeSettings, around: Circumstances | None
) -> Heard:
    """Unknown words mean that it was not for us, unless much of it is ours: they are never taken away to make sense."""
    top = candidates[0]
    words = top.reading.words.split()
    ours = " ".join(word for word in words if not _is_unknown(word, vocabulary))
    unknown = words.count(UNKNOWN)
    clauses = vocabulary.parse(ours).clauses
    much_is_ours = unknown / len(words) < settings.unknown_share or (unknown == 1 and len(words) > 1)
    if much_is_ours and not _more_was_said(top.reading, around, settings):
        guesses = clauses or _guesses(ours, vocabulary, settings)
        return _heard("ask", top, candidates, guesses, "other words were in it")
    return _heard("none", top, candidates, (), "the words were not for this check")


def _guesses(words: str, vocabulary: Vocabulary, settings: JudgeSettings) -> tuple[Meaning, ...]:
    alike = (near for near in vocabulary.nearest(words) if not near.blocked and near.score >= settings.resemblance)
    return tuple(dict.fromkeys(near.phrase.meaning for near in alike))


def _heard(
    outcome: HeardOutcome,
    chosen: Candidate,
    candidates: Sequence[Candidate],
    meanings: Iterable[Meaning],
    why: str = "",
) -> Heard:
    others = [one for one in candidates if one is not chosen]
    return Heard(
        outcome,
        said=chosen.reading.said,
        meanings=tuple(dict.fromkeys(meanings)),
        confidence=chosen.confidence,
        alternatives=tuple(Alternative(one.reading.words, round(one.score, 2)) for one in others[:_SHOWN]),
        why=why,
    )
