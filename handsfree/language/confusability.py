"""How likely one phrase is to be taken for another by the ear: a weighted edit distance between their sounds.

What noise does to sounds is known since Miller & Nicely, "An analysis of perceptual confusions among some English
consonants" (JASA 27, 1955): in noise the place of a consonant is lost first (p, t and k become one), then how long and
how hissing it is; voice and nasality last longest.  Vowels are taken for their neighbours in height and backness
(Peterson & Barney, JASA 24, 1952).  The features are theirs and the order of the weights is; the figures are ours,
from memory of their tables, and wait for the bench's confusion counts.

Where a weak sound (an unstressed vowel, h, a stop at the end of a word) comes or goes, little is lost.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache
from itertools import product
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from handsfree.language.sounds import Pronounce, Sound, sounds
from handsfree.language.spelling import recognised_form

FloatArray = NDArray[np.float64]

NEAR: Final = 0.55
"""From here on two phrases are likely to be taken for each other.

No two words of ICAO's spelling alphabet, which was chosen by ear over bad radios, are as near (alfa and delta, 0.53);
"pin in" and "pin out" (0.59), "cover on" and "cover off" (0.60) and the rhyming names of letters are nearer.
"""
_STRONG: Final = 1.0
"""What a sound weighs: what it costs when it comes or goes."""
_WEAK: Final = 0.5


class _Consonant(NamedTuple):
    """The five features of Miller & Nicely, 0 to 1 but for the place, and one for the glides, which they left out."""

    voice: float
    place: float
    """0 at the lips, 1 at the teeth, 2 further back."""
    friction: float = 0.0
    length: float = 0.0
    """That of a hiss: s, sh."""
    nasal: float = 0.0
    glide: float = 0.0


class _Vowel(NamedTuple):
    """Where the tongue begins and where it ends, each 0 to 1: low to high, front to back; and the colour of an r."""

    height: float
    back: float
    end_height: float
    end_back: float
    r: float = 0.0


_CONSONANT_WEIGHTS: Final = _Consonant(voice=0.35, place=0.15, friction=0.35, length=0.2, nasal=0.4, glide=0.4)
_VOWEL_WEIGHTS: Final = _Vowel(height=0.4, back=0.3, end_height=0.4, end_back=0.3, r=0.4)

_CONSONANTS: Final = {
    "P": _Consonant(0, 0),
    "T": _Consonant(0, 1),
    "K": _Consonant(0, 2),
    "B": _Consonant(1, 0),
    "D": _Consonant(1, 1),
    "G": _Consonant(1, 2),
    "F": _Consonant(0, 0, 1),
    "TH": _Consonant(0, 1, 1),
    "HH": _Consonant(0, 2, 1),
    "V": _Consonant(1, 0, 1),
    "DH": _Consonant(1, 1, 1),
    "S": _Consonant(0, 1, 1, 1),
    "SH": _Consonant(0, 2, 1, 1),
    "CH": _Consonant(0, 2, 0.5, 0.5),
    "Z": _Consonant(1, 1, 1, 1),
    "ZH": _Consonant(1, 2, 1, 1),
    "JH": _Consonant(1, 2, 0.5, 0.5),
    "M": _Consonant(1, 0, nasal=1),
    "N": _Consonant(1, 1, nasal=1),
    "NG": _Consonant(1, 2, nasal=1),
    "W": _Consonant(1, 0, glide=1),
    "L": _Consonant(1, 1, glide=1),
    "R": _Consonant(1, 1.5, glide=1),
    "Y": _Consonant(1, 2, glide=1),
}
_VOWELS: Final = {
    "IY": _Vowel(1, 0, 1, 0),
    "IH": _Vowel(0.8, 0.2, 0.8, 0.2),
    "EH": _Vowel(0.5, 0.2, 0.5, 0.2),
    "AE": _Vowel(0.2, 0.2, 0.2, 0.2),
    "AA": _Vowel(0, 0.8, 0, 0.8),
    "AO": _Vowel(0.3, 1, 0.3, 1),
    "UH": _Vowel(0.8, 0.8, 0.8, 0.8),
    "UW": _Vowel(1, 1, 1, 1),
    "AH": _Vowel(0.4, 0.6, 0.4, 0.6),
    "ER": _Vowel(0.5, 0.5, 0.5, 0.5, 1),
    "EY": _Vowel(0.6, 0.1, 0.9, 0.1),
    "AY": _Vowel(0.1, 0.5, 0.9, 0.1),
    "AW": _Vowel(0.1, 0.5, 0.8, 0.9),
    "OW": _Vowel(0.6, 0.9, 0.9, 1),
    "OY": _Vowel(0.4, 0.9, 0.9, 0.1),
}


def confusability(one: str, other: str, pronounce: Pronounce) -> float:
    """From 0 (they share no sound) to 1 (they sound the same): the sound they share, of all that is in either.

    It is 1 less a metric (the transform of Steinhaus): a phrase is not near to two that are far from each other.
    """
    return float(confusabilities([one], [other], pronounce)[0, 0])


def confusabilities(ones: Sequence[str], others: Sequence[str], pronounce: Pronounce) -> FloatArray:
    """The same for many: a row for each of the ones, a column for each of the others."""
    heard = sounds([*map(_spelled, ones), *map(_spelled, others)], pronounce)
    apart, together = distances(heard[: len(ones)], heard[len(ones) :])
    return np.divide(together - apart, together + apart, out=np.ones_like(apart), where=together > 0)


def distances(ones: Sequence[tuple[Sound, ...]], others: Sequence[tuple[Sound, ...]]) -> tuple[FloatArray, FloatArray]:
    """What it costs at least to turn each of the ones into each of the others, and what both weigh together.

    The first is a metric, and never more than the second.
    """
    costs, number = _costs()
    longest = max(map(len, others), default=0)
    heard = np.zeros((len(others), longest), dtype=np.intp)  # silence after the last sound costs nothing
    for row, other in zip(heard, others, strict=True):
        row[: len(other)] = [number[sound] for sound in other]
    brought = np.pad(np.cumsum(costs[0, heard], axis=1), ((0, 0), (1, 0)))
    apart = np.empty((len(ones), len(others)))
    for at, one in enumerate(ones):
        so_far = brought
        for sound in (number[sound] for sound in one):
            lost = so_far + costs[sound, 0]
            lost[:, 1:] = np.minimum(lost[:, 1:], so_far[:, :-1] + costs[sound, heard])
            so_far = brought + np.minimum.accumulate(lost - brought, axis=1)  # then whatever is brought in between
        apart[at] = so_far[:, -1]
    mine = np.array([sum(map(_weight, one)) for one in ones])
    return apart, np.add.outer(mine, brought[:, -1])


@lru_cache(maxsize=2**14)
def _spelled(words: str) -> str:
    return recognised_form(words)


def _weight(sound: Sound) -> float:
    return _WEAK if sound.is_weak else _STRONG


def _unlike(one: str, other: str) -> float:
    """How unlike two phonemes are, 0 to 1."""
    for table, weights in ((_CONSONANTS, _CONSONANT_WEIGHTS), (_VOWELS, _VOWEL_WEIGHTS)):
        if one in table and other in table:
            features = zip(weights, table[one], table[other], strict=True)
            return min(1.0, sum(weight * abs(this - that) for weight, this, that in features))
    return 1.0


@cache
def _costs() -> tuple[FloatArray, dict[Sound, int]]:
    """What it costs to put one sound for another, and each sound's number; number 0 is silence.

    Of two sounds put for each other what is unlike is lost from both.  No price may be higher than a way round through
    other sounds: that makes the costs, and so the distance, a metric (the shortest ways, after Floyd and Warshall).
    """
    every = [Sound(phoneme, is_weak) for phoneme in (*_CONSONANTS, *_VOWELS) for is_weak in (False, True)]
    weights = np.array([0.0, *map(_weight, every)])
    unlike = np.ones((len(weights), len(weights)))
    for (row, one), (column, other) in product(enumerate(every, start=1), repeat=2):
        unlike[row, column] = _unlike(one.phoneme, other.phoneme)
    costs = unlike * np.add.outer(weights, weights) + (1 - unlike) * abs(np.subtract.outer(weights, weights))
    costs[0, 0] = 0.0
    for through in range(len(weights)):
        costs = np.minimum(costs, np.add.outer(costs[:, through], costs[through]))
    return costs, {sound: at for at, sound in enumerate(every, start=1)}
