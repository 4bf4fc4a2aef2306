"""What all peers do alike: go through the sound utterance by utterance until one is for the tool."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from handsfree.bench.trial import BLOCK, Answer, Microphone
from handsfree.hearing.recogniser import RATE, Block
from handsfree.hearing.strict_graph import UNKNOWN
from handsfree.language.heard import Heard
from handsfree.language.meaning import overall_outcome
from handsfree.language.vocabulary import Vocabulary

Utterances = Callable[[Iterator[Block]], Iterator[str]]
"""From blocks of sound to the words of one utterance after the other, each given as soon as its end was noticed."""

_TAIL_S = 0.5
"""Not listened to: the tool's own prompt is still in the room, and a mere grammar makes phrases of it."""
_QUIET_S = 2.0
"""Silence that follows where the sound ends, as for the ears of a walk, so that every endpointer finds its end."""


def first_heard(sound: NDArray[np.int16], utterances: Utterances, understand: Callable[[str], Heard]) -> Answer:
    """The first utterance that is not "none", and when it was decided; silence when there is no such."""
    microphone = Microphone(np.concatenate([sound, np.zeros(round(_QUIET_S * RATE), dtype=np.int16)]))
    blocks = islice(microphone, round(_TAIL_S * RATE) // BLOCK, None)
    heard = (understand(words) for words in utterances(blocks))
    found = next((one for one in heard if one.outcome != "none"), Heard("none", confidence=0.0, why="silence"))
    return microphone.answer(found)


def strictly(words: str, vocabulary: Vocabulary) -> Heard:
    """The words as they stand: whole phrases of the moment, or a question.  Nothing but unknown words is for others."""
    if set(words.split()) <= {UNKNOWN}:
        return Heard("none", words, confidence=0.0, why="no word was heard")
    parse = vocabulary.parse(words)
    if not parse.clauses or parse.ambiguous:
        return Heard("ask", words, confidence=0.0, why="it is no whole phrase")
    return Heard(overall_outcome(parse.clauses), parse.text, parse.clauses)


def by_likeness(words: str, vocabulary: Vocabulary) -> Heard:
    """The phrase that looks most like the words, whatever they were; nothing alike = a question.

    Numbers, sides and negations are not guarded, on purpose: "not cut" is nearly "cut", and a quick solution takes it.
    """
    if not words:
        return Heard("none", confidence=0.0, why="no word was heard")
    near = vocabulary.nearest(words, limit=1)
    if not near:
        return Heard("ask", words, confidence=0.0, why="no phrase is like it")
    phrase = near[0].phrase
    return Heard(phrase.meaning.outcome, phrase.text, (phrase.meaning,), confidence=near[0].score / 100)
