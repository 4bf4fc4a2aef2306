"""How English words are said, asked of espeak-ng: the program that speaks the prompts also writes words as sounds."""

# ruff: noqa: RUF001 - the letters of the International Phonetic Alphabet

from __future__ import annotations

import re
import subprocess
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final

from handsfree.language.sounds import UNSTRESSED, Phonemes

ESPEAK: Final = ("espeak-ng", "-q", "--ipa", "--sep=_", "-v", "en-us")
"""Reads a word a line, and writes a line for each: "leak" becomes ``l_ˈiː_k``."""
SPEAKING: Final = ("espeak-ng", "-v", "en", "-s", "150", "--stdout", "--stdin")
"""Speaks as the prompts are spoken by default, into a WAV file of 22050 samples a second, 16 bits each."""
_WAV_HEADER, _WAV_RATE = 44, 22050
_LIMIT_S: Final = 30.0
"""A checklist's words take a fraction of a second; after this long the program is taken to hang."""
_WORD: Final = re.compile(r"[a-z]+(?:'[a-z]+)*")
"""What is answered by one line; punctuation would end a line early."""
_STRESS: Final = "ˈˌ"
_SAID: Final[Mapping[str, Phonemes]] = {"a": ("AH0",), "and": ("AH0", "N", "D")}
"""Words that are weaker in a phrase than alone; the a is the article, not the letter."""
_REDUCED: Final = frozenset(("AH", "ER", "IH", "IY", "OW"))
"""Vowels that are weak without a mark of stress; others keep their sound, as the second one of "intake" does."""
_ENGLISH: Final = """
    p P, b B, t T, d D, k K, ɡ G, f F, v V, θ TH, ð DH, s S, z Z, ʃ SH, ʒ ZH, h HH, tʃ CH, dʒ JH, m M, n N, ŋ NG, l L,
    ɹ R, w W, j Y, ɾ T, ʔ T, n̩ AH0 N, əl AH0 L, i IY, iː IY, ɪ IH, ᵻ IH0, ɛ EH, æ AE, ɑː AA, ɔː AO, ɔ AO, oː AO, ʊ UH,
    uː UW, ʌ AH, ə AH0, ɐ AH0, ɚ ER, ɜː ER, eɪ EY, aɪ AY, aʊ AW, oʊ OW, ɔɪ OY, ɑːɹ AA R, ɔːɹ AO R, oːɹ AO R, ɛɹ EH R,
    ɪɹ IH R, ʊɹ UH R, iə IY AH0, aɪə AY AH0, aɪɚ AY ER0
"""
"""What espeak-ng's American voice writes for English words; the tapped and the swallowed t are a t."""
_ARPABET: Final = {ipa: tuple(phonemes) for ipa, *phonemes in map(str.split, _ENGLISH.split(","))}


class Espeak:
    """Asks the program, for many words at once since its start takes longer than its answers, and remembers them."""

    def __init__(self, command: Sequence[str] = ESPEAK) -> None:
        self._command = command
        self._said: dict[str, Phonemes] = dict(_SAID)
        self._seconds: dict[str, float] = {}

    def pronounce(self, words: Collection[str]) -> Mapping[str, Phonemes]:
        """The phonemes of the words; none for those that cannot be asked, nor for any where the program is missing."""
        new = sorted(filter(_WORD.fullmatch, set(words) - self._said.keys()))
        if new:
            self._said.update(zip(new, self._ask(new), strict=True))
        return self._said

    def seconds(self, texts: Sequence[str]) -> Sequence[float | None]:
        """How long each text takes at the pace of the tool's prompts; None where espeak-ng cannot be asked."""
        return [self._lasts(text) for text in texts]

    def _lasts(self, text: str) -> float | None:
        if text not in self._seconds:
            try:
                done = subprocess.run(SPEAKING, input=text.encode(), capture_output=True, timeout=_LIMIT_S, check=True)
            except (OSError, subprocess.SubprocessError):
                return None
            self._seconds[text] = len(done.stdout[_WAV_HEADER:].rstrip(b"\0")) / (2 * _WAV_RATE)  # less the silence
        return self._seconds[text]

    def answers(self) -> bool:
        """Whether the program is there and works."""
        return bool(self.pronounce(["word"])["word"])

    def _ask(self, words: Sequence[str]) -> Sequence[Phonemes]:
        lines = "".join(f"{word}\n" for word in words)
        try:
            done = subprocess.run(
                self._command, input=lines.encode(), capture_output=True, timeout=_LIMIT_S, check=True
            )
        except (OSError, subprocess.SubprocessError):
            return [()] * len(words)
        answers = done.stdout.decode(errors="replace").splitlines()
        return [arpabet(answer) for answer in answers] if len(answers) == len(words) else [()] * len(words)


def arpabet(ipa: str) -> Phonemes:
    """The phonemes of one answer; none when a sound in it is not English.

    An r behind a vowel that has its colour is written twice and said once: "corrosion".
    """
    sounds = [sound for sound in re.split(r"[_\s]+", ipa) if sound]
    known = all(sound.lstrip(_STRESS) in _ARPABET for sound in sounds)
    phonemes = [phoneme for sound in sounds for phoneme in _phonemes(sound)] if known else []
    return tuple(now for before, now in pairwise(["", *phonemes]) if now != "R" or not before.startswith("ER"))


def _phonemes(sound: str) -> Iterator[str]:
    stressed = sound[0] in _STRESS
    for phoneme in _ARPABET[sound.lstrip(_STRESS)]:
        yield phoneme + UNSTRESSED if phoneme in _REDUCED and not stressed else phoneme
