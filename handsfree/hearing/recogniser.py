"""The recogniser behind a small typed adapter: the only module that imports vosk.

What it guards against (each was found by running vosk 0.3.45): a model without a path is downloaded, or ends the
process; a path that is not a string fails; a failed construction prints from its destructor; a word that the model does
not know is dropped from a phrase list, so that "not cut" may become "cut"; pieces of a list's phrases are put together
to others; a model can only be given a graph of whole phrases by a file beside it.
"""

from __future__ import annotations

import json
import re
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from handsfree.errors import Mendable
from handsfree.hearing.decoder_settings import WORD_GRAPH, wide_view
from handsfree.hearing.settings import PhraseCosts
from handsfree.hearing.strict_graph import UNKNOWN, strict_graph, word_numbers
from handsfree.language.meaning import Passing
from handsfree.language.vocabulary import Vocabulary

RATE = 16000
"""Samples a second of everything that is heard."""

Block = NDArray[np.int16]
"""16 kHz mono sound; 100 ms (1600 samples) is usual, any size is accepted."""

_WORD = re.compile(r"[^\W\d_][\w'.-]*")
_ALSO_UNKNOWN = ("<UNK>", "<unk>")
"""What the word for any other sound is called in some models."""
_ALTERNATIVES = 20  # the n-best costs 6 ms
_KEPT: dict[Passing | None, int] = {None: 2, "pass": 1, "value": 1}
# The question and its read-back; only at a question is there something to doubt.


class HearingError(Mendable):
    """The recogniser cannot be used; ``hint`` says what to do."""


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

    def prepare(self, vocabulary: Vocabulary, *, doubting: Passing | None = None) -> None:
        """Get ready to hear this vocabulary; may be called from another thread while something else is heard."""
        ...

    def hearer(self, vocabulary: Vocabulary, *, doubting: Passing | None = None) -> Hearer:
        """Begin an utterance in which only whole phrases of the vocabulary, and unknown words, are told apart.

        What is ``doubting`` is hardly expected.
        """
        ...


class VoskRecogniser:
    """The speech model, loaded anew with the search graph of each vocabulary: 0.2 s and 90 MB each, few are kept.

    Raises HearingError.
    """

    def __init__(self, model: Path, costs: PhraseCosts) -> None:
        if not model.is_dir():
            raise HearingError(f"there is no speech model in {model}", "look at 'handsfree model'")
        self._folder = model
        self._costs = costs
        self._loaded: dict[Passing | None, OrderedDict[Vocabulary, Any]] = {kind: OrderedDict() for kind in _KEPT}
        self._loading = Lock()
        try:
            self._numbers = _with_the_unknown(word_numbers(model / "graph" / WORD_GRAPH))
        except OSError as error:
            raise _not_prepared(model, error) from error
        except ValueError as error:
            raise _not_loaded(model) from error

    def knows(self, word: str) -> bool:
        """Whether the word is in the model's vocabulary."""
        # The model's table also holds marks such as <s> and [unk], which are no words.
        return _WORD.fullmatch(word) is not None and word in self._numbers

    def prepare(self, vocabulary: Vocabulary, *, doubting: Passing | None = None) -> None:
        """Load the model with the graph of this vocabulary, if it is not among the last few."""
        self._model(vocabulary, doubting)

    def hearer(self, vocabulary: Vocabulary, *, doubting: Passing | None = None) -> Hearer:
        """Begin an utterance."""
        return _VoskHearer(self._model(vocabulary, doubting))

    def _model(self, vocabulary: Vocabulary, doubting: Passing | None) -> Any:
        with self._loading:
            loaded = self._loaded[doubting]
            if vocabulary not in loaded:
                loaded[vocabulary] = self._load(vocabulary, doubting)
            loaded.move_to_end(vocabulary)
            while len(loaded) > _KEPT[doubting]:
                loaded.popitem(last=False)
            return loaded[vocabulary]

    def _load(self, vocabulary: Vocabulary, doubting: Passing | None) -> Any:
        costs = self._costs.doubting(doubting) if doubting else self._costs
        passes = [phrase.heard_as for phrase in vocabulary.phrases if phrase.meaning.outcome == "pass"]
        strangers = dict.fromkeys(with_a_word_unknown(passes), costs.other_word)
        known = (one for one in vocabulary.strangers if all(map(self.knows, one.split())))
        phrases = vocabulary.acceptor(costs.of, strangers | dict.fromkeys(known, costs.stranger))
        words = {word for state in phrases for word in state.arcs} - {UNKNOWN}
        unknown = sorted(word for word in words if not self.knows(word))
        if unknown:
            named = ", ".join(unknown)
            raise HearingError(f"the speech model does not know: {named}", "write another spelling into the lexicon")
        vosk = _vosk()
        try:
            with wide_view(self._folder, strict_graph(phrases, self._numbers, costs, vocabulary.joining)) as view:
                return vosk.Model(str(view))
        except OSError as error:
            raise _not_prepared(self._folder, error) from error
        except Exception as error:
            raise _not_loaded(self._folder) from error


def _with_the_unknown(numbers: dict[str, int]) -> dict[str, int]:
    """A model's words, its own word for any other sound under our name.  Raises ValueError when it has none."""
    name = next((name for name in (UNKNOWN, *_ALSO_UNKNOWN) if name in numbers), None)
    if name is None:
        raise ValueError("the model has no word for any other sound")
    return {**numbers, UNKNOWN: numbers[name]}


def with_a_word_unknown(phrases: Sequence[str]) -> list[str]:
    """Each phrase with one of its words unknown: "drains [unk]", "[unk] dry" for "drains dry".

    Without them "drains drip" could only be heard as "drains dry": nothing else begins so.
    """
    return list(
        dict.fromkeys(
            " ".join((*words[:at], UNKNOWN, *words[at + 1 :]))
            for words in map(str.split, phrases)
            for at in range(len(words))
            if len(words) > 1
        )
    )


def _not_prepared(model: Path, error: OSError) -> HearingError:
    return HearingError(
        f"the speech model in {model} cannot be prepared ({error})", "see that the temporary folder can be written"
    )


def _not_loaded(model: Path) -> HearingError:
    return HearingError(f"the speech model in {model} cannot be loaded", "look at 'handsfree model'")


class _VoskHearer:
    """A recogniser of its own for each utterance, because nothing of the one before may colour this one."""

    def __init__(self, model: Any) -> None:
        self._vosk = _vosk().KaldiRecognizer(model, float(RATE))
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
