"""Words as sounds: phonemes written in ARPAbet, where "leak" is L IY K.

How a word is said is for others to know.  One that they do not know is spelled out by rules for English letters: near
enough for comparing.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from functools import cache
from typing import Final, NamedTuple

Phonemes = tuple[str, ...]
"""ARPAbet; a vowel without stress ends in 0."""
Pronounce = Callable[[Collection[str]], Mapping[str, Phonemes]]
"""How words are said, all that are asked for and perhaps more; a word that is not known is missing, or has none."""

VOWELS: Final = frozenset(("AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW"))
_STOPS: Final = frozenset(("P", "T", "K", "B", "D", "G"))
UNSTRESSED: Final = "0"
_RULES: Final = """
    tion SH AH N, igh AY, tch CH, dge JH, ch CH, ck K, kn N, ng NG, ph F, qu K W, sh SH, th TH, wh W, wr R,
    ai EY, ar AA R, au AO, aw AO, ay EY, ea IY, ee IY, er ER, ie IY, ir ER, oa OW, oi OY, oo UW, or AO R, ou AW,
    ow OW, oy OY, ur ER, a AE, b B, c K, d D, e EH, f F, g G, h HH, i IH, j JH, k K, l L, m M, n N, o AA, p P, q K,
    r R, s S, t T, u AH, v V, w W, x K S, y IY, z Z
"""
_SPELLINGS: Final = {
    letters: sound for letters, _, sound in (rule.strip().partition(" ") for rule in _RULES.split(","))
}
"""Letters to phonemes, the longest that fits first."""
_LONGEST: Final = max(map(len, _SPELLINGS))


class Sound(NamedTuple):
    """One phoneme of a phrase."""

    phoneme: str
    """ARPAbet, without its stress."""
    is_weak: bool
    """Easily lost: a vowel without stress, h, and a stop at the end of a word."""


def sounds(phrases: Sequence[str], pronounce: Pronounce) -> list[tuple[Sound, ...]]:
    """Of each phrase, in lower case and the recogniser's spelling, the sounds: one word after the other without a gap.

    The words of all are asked for together, for to answer a program may have to be started.
    """
    split = [phrase.split() for phrase in phrases]
    said = pronounce({word for words in split for word in words})
    return [
        tuple(sound for word in words for sound in _of_word(said.get(word) or spelled_out(word))) for words in split
    ]


@cache
def _of_word(phonemes: Phonemes) -> tuple[Sound, ...]:
    last = len(phonemes) - 1
    return tuple(_sound(phoneme, is_last=at == last) for at, phoneme in enumerate(phonemes))


def _sound(phoneme: str, *, is_last: bool) -> Sound:
    plain = phoneme.removesuffix(UNSTRESSED)
    return Sound(plain, phoneme.endswith(UNSTRESSED) or plain == "HH" or (is_last and plain in _STOPS))


@cache
def spelled_out(word: str) -> Phonemes:
    """Phonemes by letter rules: a final e is silent, doubled letters sound once, the first vowel has the stress.

    Signs that are no letters of English make no sound.
    """
    letters = word.removesuffix("e") if any(letter in "aiouy" for letter in word) else word
    plain = [phoneme for phonemes in _by_rule(letters) for phoneme in phonemes.split()]
    vowels = [at for at, phoneme in enumerate(plain) if phoneme in VOWELS]
    return tuple(phoneme + UNSTRESSED if at in vowels[1:] else phoneme for at, phoneme in enumerate(plain))


def _by_rule(letters: str) -> Iterator[str]:
    at = 0
    while at < len(letters):
        lengths = (length for length in range(_LONGEST, 0, -1) if letters[at : at + length] in _SPELLINGS)
        length = next(lengths, 1)
        if length > 1 or letters[at : at + 1] != letters[at + 1 : at + 2]:
            yield _SPELLINGS.get(letters[at : at + length], "")
        at += length
