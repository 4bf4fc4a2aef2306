"""What the program itself must know of a language, beside its grammars and its sentences."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Final

from pydantic import ConfigDict, Field, TypeAdapter, ValidationError

from handsfree.language.errors import GrammarError

FILE_NAME: Final = "language.toml"
LETTERS: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"

Words = tuple[str, ...]
Frame = Annotated[str, Field(pattern=r"^[^{}]*\{\}[^{}]*$")]
"""Words with ``{}`` where others go."""


@dataclass(frozen=True, eq=False)
class Tongue:
    """A language's small words, its digits and letters, and how it turns an answer round; each is one of its own."""

    __pydantic_config__ = ConfigDict(extra="forbid")

    code: str
    """As in ISO 639-1: ``en``."""
    name: str
    """In English: ``Korean``."""
    voice: str
    """The voice of espeak-ng that speaks it unless another is asked for."""

    digits: Annotated[Words, Field(min_length=10, max_length=10)]
    """From zero to nine, as they are said one by one."""
    letters: Annotated[Words, Field(min_length=26, max_length=26)]
    """Names of the letters A to Z in its radiotelephony."""
    point: Words
    """Words between a whole number and its decimals, the usual one first."""
    places: dict[str, int]
    """Words that a digit before them is multiplied by (``hundred``: 100), for whole numbers that are not said digit by
    digit; empty = they always are."""
    further_numbers: frozenset[str]
    """Other words that numbers are made of: ``twelve``."""
    fractions: dict[str, float]
    """Parts of full, each by its names, the usual one of each first."""

    joining: Words
    """May stand between two things said in one breath."""
    at: Words
    """May stand before a place: "on" in "leak on the left wing"."""
    the: Words
    """May stand before the name of a place."""
    number: Words
    """May stand before the number of one of several things: "number two"."""
    report: Words
    """May begin a report from elsewhere."""
    place_first: bool
    """Whether a report names the place before the defect."""

    negations: frozenset[str]
    """Words of a good answer without which it says the opposite: "no" in "no leaks"."""
    instead: tuple[Frame, ...]
    """What a good answer becomes when they are left out: ``it {}``."""
    denials: tuple[Frame, ...]
    """Round a whole answer these deny it: ``no {}``.  Those before single words are in ``doubts.jsgf``."""
    opposites: Words
    """Beginnings that turn a word round: ``un``."""
    returning: Words
    """Beginnings that turn a word round by being left out: ``re`` in "removed"."""
    no_subject: frozenset[str]
    """Words that name nothing, joining words and negations aside: no defect follows them."""

    negative: frozenset[str]
    """Words that negate wherever they stand; texts that differ in them are never taken for each other."""
    sides: tuple[Words, ...]
    """Words for one and the same side or place, in groups; the same holds for those of different groups."""
    amounts: frozenset[str]
    """Words of the parts of full that say how much: ``quarter``."""

    @property
    def spelled(self) -> dict[str, str]:
        """How each letter and digit is said."""
        return dict(zip((*LETTERS, *"0123456789"), (*self.letters, *self.digits), strict=True))

    @property
    def number_words(self) -> frozenset[str]:
        """All words that numbers are made of."""
        return self.further_numbers.union(self.digits, self.point, self.places)


def load_tongue(path: Path) -> Tongue:
    """Read a language's file.  Raises GrammarError."""
    try:
        return _ADAPTER.validate_python(tomllib.loads(path.read_text(encoding="utf-8")))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise GrammarError(str(path), 1, 1, f"cannot be read: {error}") from error
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(map(str, first["loc"])) or "the file"
        raise GrammarError(str(path), 1, 1, f"{where}: {first['msg']}") from error


_ADAPTER: Final = TypeAdapter(Tongue)

ENGLISH: Final = Tongue(
    code="en",
    name="English",
    voice="en",
    digits=("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"),
    letters=(
        *("alfa", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel", "india"),
        *("juliett", "kilo", "lima", "mike", "november", "oscar", "papa", "quebec", "romeo"),
        *("sierra", "tango", "uniform", "victor", "whiskey", "x-ray", "yankee", "zulu"),
    ),
    point=("decimal", "point"),
    places={"hundred": 100, "thousand": 1000},
    fractions={
        "empty": 0.0, "one eighth": 0.125, "an eighth": 0.125, "one quarter": 0.25, "a quarter": 0.25,
        "three eighths": 0.375, "half": 0.5, "one half": 0.5, "a half": 0.5, "five eighths": 0.625,
        "three quarters": 0.75, "seven eighths": 0.875, "full": 1.0,
    },
    joining=("and", "but"),
    at=("on", "at", "in"),
    the=("the",),
    number=("number",),
    report=("report",),
    place_first=False,
    negations=frozenset({"no", "not"}),
    instead=("{}", "it {}", "no it {}"),
    denials=("no {}",),
    opposites=("un", "in", "im", "dis", "mis", "ab", "de"),
    returning=("re",),
    no_subject=frozenset({"all", "by", "from", "in", "on", "to"}),
    negative=frozenset(
        ("no", "not", "non", "un", "never", "nothing", "none", "without", "cannot", "unable", "neither", "nor")
    ),
    sides=(
        *(("left", "port"), ("right", "starboard"), ("inner", "inboard"), ("outer", "outboard")),
        *(("front", "forward"), ("rear", "aft"), ("upper", "top"), ("lower", "bottom")),
    ),
    further_numbers=frozenset({
        *("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen"),
        *("nineteen", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"),
    }),
    amounts=frozenset({"half", "quarter", "quarters", "eighth", "eighths", "full", "empty"}),
)  # fmt: skip
