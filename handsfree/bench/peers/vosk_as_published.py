"""Vosk as it is published: the model's own settings and endpointer, one reading, none of our graphs and margins.

It does not go through `handsfree.hearing.recogniser`, which makes another recogniser of it: that one is what it is
compared with.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from functools import cache, partial
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from handsfree.bench.peers.listening import by_likeness, first_heard, strictly
from handsfree.bench.trial import Answer
from handsfree.hearing.recogniser import RATE, Block
from handsfree.hearing.strict_graph import UNKNOWN
from handsfree.language.vocabulary import Vocabulary


class PlainVosk:
    """Given the phrases of the moment as its list, and one mark for all other words; its words are taken strictly."""

    def __init__(self, model: Path) -> None:
        self._model = _library().Model(str(model))

    def hear(self, sound: NDArray[np.int16], vocabulary: Vocabulary) -> Answer:
        """Listen until something was understood or has to be asked about, or the sound ends."""
        phrases = json.dumps([*vocabulary.recogniser_list(), UNKNOWN])
        new = partial(_library().KaldiRecognizer, self._model, float(RATE), phrases)
        return first_heard(sound, partial(_utterances, new), lambda words: strictly(words, vocabulary))


class FreeVosk:
    """Takes down whatever is said, all 130 000 words being possible; the phrase that looks most like it counts."""

    def __init__(self, model: Path) -> None:
        self._model = _library().Model(str(model))

    def hear(self, sound: NDArray[np.int16], vocabulary: Vocabulary) -> Answer:
        """Listen until something was understood or has to be asked about, or the sound ends."""
        new = partial(_library().KaldiRecognizer, self._model, float(RATE))
        return first_heard(sound, partial(_utterances, new), lambda words: by_likeness(words, vocabulary))


def _utterances(new: Callable[[], Any], blocks: Iterator[Block]) -> Iterator[str]:
    recogniser = new()
    for block in blocks:
        if recogniser.AcceptWaveform(block.astype("<i2", copy=False).tobytes()):
            yield str(json.loads(recogniser.Result())["text"])


@cache
def _library() -> Any:
    """Imported on first use, with its log silenced."""
    import vosk  # noqa: PLC0415

    library: Any = vosk  # it has no types
    library.SetLogLevel(-2)
    return library
