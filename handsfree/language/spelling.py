"""Spelling: one form for comparing, the recogniser's form, and the words it lacks.

Three forms of a word:
- written: by the author of a checklist or a person at the keyboard ("tyre", "2", "nacelle");
- recognised: what the speech model knows ("tire", "two", "na sell");
- compared: recognised, with the digits of radiotelephony made plain ("niner" → "nine"), and with words that the
  ear cannot tell apart made one ("for" → "four"): no meaning may hang on such a difference.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from handsfree.language.errors import GrammarError
from handsfree.language.tongue import ENGLISH, Tongue

_AMERICAN: Final[Mapping[str, str]] = {
    "aluminium": "aluminum",
    "calibre": "caliber",
    "calliper": "caliper",
    "callipers": "calipers",
    "centre": "center",
    "centred": "centered",
    "centreline": "centerline",
    "centres": "centers",
    "colour": "color",
    "coloured": "colored",
    "colourless": "colorless",
    "colours": "colors",
    "disc": "disk",
    "discolouration": "discoloration",
    "discoloured": "discolored",
    "discs": "disks",
    "draught": "draft",
    "fibre": "fiber",
    "fibreglass": "fiberglass",
    "fibres": "fibers",
    "gage": "gauge",
    "gages": "gauges",
    "grey": "gray",
    "labelled": "labeled",
    "levelled": "leveled",
    "litre": "liter",
    "litres": "liters",
    "metre": "meter",
    "metres": "meters",
    "millimetre": "millimeter",
    "millimetres": "millimeters",
    "mould": "mold",
    "odour": "odor",
    "sulphur": "sulfur",
    "tyre": "tire",
    "tyres": "tires",
    "vapour": "vapor",
}
_SOUNDS_LIKE: Final[Mapping[str, str]] = {
    "wun": "one",
    "tree": "three",
    "fower": "four",
    "fife": "five",
    "ait": "eight",
    "niner": "nine",
    "for": "four",
    "too": "two",
}
_FRACTIONS: Final[Mapping[str, str]] = {
    "1/2": "half",
    "1/4": "one quarter",
    "3/4": "three quarters",
    "1/8": "one eighth",
    "3/8": "three eighths",
    "5/8": "five eighths",
    "7/8": "seven eighths",
}
_FIGURES: Final = re.compile(r"-?\d[\d./-]*")
_SIGNS: Final[Mapping[str, str]] = {"-": "to", ".": "decimal", "/": "over"}
"""Between figures: "5-10" must not turn into 510, nor "3/5" into 35."""
_THOUSANDS_COMMA: Final = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
_BETWEEN_WORDS: Final = re.compile(r"[^\w\s'./-]|_|(?<!\d)\.|\.(?!\d)|(?<!\d)/|/(?!\d)")
_FIGURES_OR_NOT: Final = re.compile(r"\d+|\D+")


@dataclass(frozen=True)
class Lexicon:
    """Written words that the speech model lacks, with words it knows that sound the same."""

    words: Mapping[str, str] = field(default_factory=dict[str, str])
    """Lower case; the values hold neither hyphens nor words that are keys."""
    tongue: Tongue = ENGLISH
    """The language of the words."""
    _tokens: dict[str, tuple[str, ...]] = field(default_factory=dict[str, tuple[str, ...]], compare=False, repr=False)

    @classmethod
    def load(cls, path: Path, tongue: Tongue = ENGLISH) -> Lexicon:
        """Read ``written: known words`` lines (a flat YAML mapping, ``#`` for comments).

        Raises GrammarError for a line of another form, a word given twice, or a value that needs spelling itself.
        """
        words: dict[str, str] = {}
        lines: dict[str, int] = {}
        for number, line in enumerate(_lines(path), start=1):
            content = line.partition("#")[0].strip()
            if not content:
                continue
            written, colon, known = (part.strip() for part in content.partition(":"))
            if not (written and colon and known):
                raise GrammarError(str(path), number, 1, f"'{content}' is not 'written: known words'")
            if written in words:
                raise GrammarError(str(path), number, 1, f"'{written}' is given twice")
            words[written], lines[written] = known, number
        lexicon = cls(words, tongue)
        for written, known in words.items():
            if recognised_form(known, lexicon) != known:
                message = f"'{written}: {known}': the right side is not in its final spelling"
                raise GrammarError(str(path), lines[written], 1, message)
        return lexicon

    def token(self, written: str) -> tuple[str, ...]:
        """The recognised words of one token of a pattern; remembered, for the same tokens come with every item."""
        if written not in self._tokens:
            self._tokens[written] = tuple(recognised_form(written, self).split())
        return self._tokens[written]

    def find(self, word: str) -> str | None:
        """The recognised form of one written word, when it differs."""
        return self.words.get(word) or _AMERICAN.get(word)


def _lines(path: Path) -> list[str]:
    try:
        return path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise GrammarError(str(path), 1, 1, f"cannot be read: {error}") from error


_EMPTY: Final = Lexicon()


def recognised_form(text: str, lexicon: Lexicon = _EMPTY) -> str:
    """The words as the speech model spells them: lower case, American, no hyphens, figures in words.

    "Tyre 2" gives "tire two".  A number in figures is spelled digit by digit.  Applying it twice changes nothing.
    """
    text = text.lower().translate({0x2018: "'", 0x2019: "'", 0x2010: "-", 0x2011: "-", 0x2013: "-", 0x2212: "-"})
    text = _THOUSANDS_COMMA.sub("", text).replace("%", " percent ")
    words = (word.strip("'") for word in _BETWEEN_WORDS.sub(" ", text).split())
    return " ".join(spelled for word in words if (spelled := _spelled(word, lexicon)))


def compared_form(text: str, lexicon: Lexicon = _EMPTY) -> tuple[str, ...]:
    """The words to compare by: recognised, and "niner" the same as "nine"."""
    return tuple(map(plain_digit, recognised_form(text, lexicon).split()))


def plain_digit(word: str) -> str:
    """The everyday word for a digit said the way of radiotelephony, and one word for those that sound the same."""
    return _SOUNDS_LIKE.get(word, word)


def unknown_words(text: str, knows: Callable[[str], bool], lexicon: Lexicon = _EMPTY) -> tuple[str, ...]:
    """The recognised words of a text that the model does not know; the recogniser would drop them in silence."""
    return tuple(dict.fromkeys(word for word in recognised_form(text, lexicon).split() if not knows(word)))


def _spelled(word: str, lexicon: Lexicon) -> str:
    known = lexicon.find(word) or _FRACTIONS.get(word)
    if known:
        return known
    if _FIGURES.fullmatch(word):
        return f"minus {_in_words(word[1:], lexicon)}" if word.startswith("-") else _in_words(word, lexicon)
    parts = (part.strip("'") for part in re.split(r"[-/.]", word))
    return " ".join(piece for part in parts for piece in _pieces(part, lexicon) if piece)


def _pieces(part: str, lexicon: Lexicon) -> list[str]:
    """A word without hyphens, with figures parted from letters: "tyre2" gives "tire", "two"."""
    known = lexicon.find(part)
    if known:
        return [known]
    pieces = (piece.strip("'") for piece in _FIGURES_OR_NOT.findall(part))
    return [_in_words(piece, lexicon) if piece.isdecimal() else lexicon.find(piece) or piece for piece in pieces]


def _in_words(figures: str, lexicon: Lexicon) -> str:
    return " ".join(_SIGNS.get(sign) or lexicon.tongue.digits[int(sign)] for sign in figures)
