"""The recogniser behind a small typed adapter: the only module that imports vosk.

What it guards against (each was found by running vosk 0.3.45): a model without a path is downloaded, or ends the
process; a path that is not a string fails; a failed construction prints from its destructor; a word that the model does
not know is dropped from a phrase, so that "not cut" may become "cut"; a phrase list may not change once sound was fed.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from handsfree.hearing.decoder_settings import wide_view

RATE = 16000
"""Samples a second of everything that is heard."""

Block = NDArray[np.int16]
"""16 kHz mono sound; 100 ms (1600 samples) is usual, any size is accepted."""

UNKNOWN = "[unk]"
"""Stands in a transcript for words that are in no phrase of the list."""

_WORD = re.compile(r"[a-z][a-z'.-]*")
_ALTERNATIVES = 20  # the n-best costs 6 ms


class HearingError(Exception):
    """The recogniser cannot be used; ``hint`` says what to do."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One reading of a stretch of sound."""

    words: str
    """Lower case, one blank between words; ``[unk]`` for anything outside the phrase list; may be empty."""
    score: float
    """A log likelihood: higher is likelier, comparable only within one utterance."""


class Hearer(Protocol):
    """One utterance being decoded."""

    def feed(self, block: Block) -> bool:
        """Take more sound; True when the recogniser itself holds that the utterance has ended."""
        ...

    def partial(self) -> str:
        """The words so far."""
        ...

    def finish(self) -> tuple[Hypothesis, ...]:
        """All readings, best first; the hearer is used up."""
        ...


class Recogniser(Protocol):
    """Whatever turns sound into readings; tests put a scripted one here."""

    def knows(self, word: str) -> bool:
        """Whether the word is in the model's vocabulary."""
        ...

    def hearer(self, phrases: Sequence[str]) -> Hearer:
        """Begin an utterance in which only these phrases, pieces of them, and unknown words are told apart."""
        ...


class VoskRecogniser:
    """The speech model, loaded; about 0.4 s and 160 MB.  Raises HearingError."""

    def __init__(self, model: Path) -> None:
        if not model.is_dir():
            raise HearingError(f"there is no speech model in {model}", "look at 'handsfree model'")
        vosk = _vosk()
        try:
            with wide_view(model) as view:
                self._model = vosk.Model(str(view))
        except OSError as error:
            raise HearingError(
                f"the speech model in {model} cannot be prepared ({error})",
                "see that the temporary folder can be written",
            ) from error
        except Exception as error:
            raise HearingError(f"the speech model in {model} cannot be loaded", "look at 'handsfree model'") from error

    def knows(self, word: str) -> bool:
        """Whether the word is in the model's vocabulary."""
        # The model's table also holds marks such as <s> and [unk], which are no words.
        return _WORD.fullmatch(word) is not None and int(self._model.vosk_model_find_word(word)) >= 0

    def hearer(self, phrases: Sequence[str]) -> Hearer:
        """Begin an utterance.  Under 1 ms for a list of 90 phrases.  Raises HearingError for an unknown word."""
        unknown = sorted({word for phrase in phrases for word in phrase.split() if not self.knows(word)})
        if unknown:
            raise HearingError(
                f"the speech model does not know: {', '.join(unknown)}", "write another spelling into the lexicon"
            )
        return _VoskHearer(self._model, json.dumps([*phrases, UNKNOWN]))


class _VoskHearer:
    """A recogniser of its own for each utterance, because nothing of the one before may colour this one."""

    def __init__(self, model: Any, grammar: str) -> None:
        self._vosk = _vosk().KaldiRecognizer(model, float(RATE), grammar)
        self._vosk.SetMaxAlternatives(_ALTERNATIVES)
        self._ended: str | None = None

    def feed(self, block: Block) -> bool:
        if self._vosk.AcceptWaveform(block.astype("<i2", copy=False).tobytes()):
            self._ended = str(self._vosk.Result())
            return True
        return False

    def partial(self) -> str:
        return str(json.loads(self._vosk.PartialResult())["partial"])

    def finish(self) -> tuple[Hypothesis, ...]:
        result = json.loads(self._ended if self._ended is not None else self._vosk.FinalResult())
        return tuple(
            Hypothesis(str(reading["text"]).strip(), float(reading["confidence"]))
            for reading in result.get("alternatives", ())
        )


@cache
def _vosk() -> Any:
    """The library, imported on first use (it takes 0.1 s and loads 25 MB of machine code), with its log silenced."""
    import vosk  # noqa: PLC0415

    library: Any = vosk  # it has no types
    library.SetLogLevel(-2)  # not even warnings: it warns of every long noise
    return library
