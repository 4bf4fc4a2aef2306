"""PocketSphinx with its bundled US-English model, its own endpointer, and a grammar of the phrases of the moment.

The only module that imports pocketsphinx.  Its grammars have no place for other words, so that it makes a phrase of
whatever is said.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from handsfree.bench.errors import BenchError
from handsfree.bench.peers.listening import first_heard, strictly
from handsfree.bench.trial import Answer
from handsfree.extras import how_to_install
from handsfree.hearing.recogniser import Block
from handsfree.language.phrase import Phrase
from handsfree.language.vocabulary import Vocabulary

_NAME = "moment"


class Sphinx:
    """Takes the phrase that fits best; its words are taken strictly.

    Two phrases in one answer are not foreseen: with them in the grammar it is right about 15 of 40 clear answers,
    without them about 24, in a sixth of the time.
    """

    def __init__(self) -> None:
        """Load the model (0.3 s).  Raises BenchError when the library is not installed."""
        self._library = _imported()
        self._decoder: Any = self._library.Decoder(lm=None, loglevel="FATAL")
        self._first_mean: str = self._decoder.get_cmn(False)  # not brought up to date

    def hear(self, sound: NDArray[np.int16], vocabulary: Vocabulary) -> Answer:
        """Listen until something was understood, or the sound ends."""
        self._decoder.add_jsgf_string(_NAME, self.grammar(vocabulary))
        self._decoder.activate_search(_NAME)
        self._decoder.set_cmn(self._first_mean)  # what one sound taught it must not change the next
        return first_heard(sound, self._utterances, lambda words: strictly(words, vocabulary))

    def grammar(self, vocabulary: Vocabulary) -> str:
        """The phrases in the Java Speech Grammar Format, one to an answer."""
        spelt = dict.fromkeys(words for phrase in vocabulary.phrases if (words := self._spelt(phrase)))
        return f"#JSGF V1.0;\ngrammar {_NAME};\npublic <answer> = {' | '.join(spelt)};\n"

    def left_out(self, vocabulary: Vocabulary) -> tuple[Phrase, ...]:
        """The phrases with a word that its dictionary lacks, in both spellings: it cannot hear them."""
        return tuple(phrase for phrase in vocabulary.phrases if not self._spelt(phrase))

    def _spelt(self, phrase: Phrase) -> str:
        """The checklist's spelling if the dictionary has all its words, else that made for Vosk, else none."""
        spellings = (phrase.text.lower(), phrase.heard_as)
        return next((one for one in spellings if all(map(self._decoder.lookup_word, one.split()))), "")

    def _utterances(self, blocks: Iterator[Block]) -> Iterator[str]:
        endpointer = self._library.Endpointer()
        frames = list[bytes]()
        for frame in _frames(blocks, endpointer.frame_bytes):
            speech = endpointer.process(frame)
            if speech is None:
                continue
            frames.append(speech)
            if not endpointer.in_speech:
                yield self._words(b"".join(frames))
                frames.clear()

    def _words(self, speech: bytes) -> str:
        # The whole utterance at once, as the library's own reader of recordings does it: the mean of the spectrum is
        # then taken from all of it.  Measured on 40 clear answers: 24 right, and 22 when fed as it comes.
        self._decoder.start_utt()
        self._decoder.process_raw(speech, full_utt=True)
        self._decoder.end_utt()
        found = self._decoder.hyp()
        return str(found.hypstr) if found else ""


def _frames(blocks: Iterator[Block], size: int) -> Iterator[bytes]:
    """The same sound in pieces of so many bytes; a rest is dropped."""
    rest = b""
    for block in blocks:
        rest += block.astype("<i2", copy=False).tobytes()
        while len(rest) >= size:
            yield rest[:size]
            rest = rest[size:]


def _imported() -> Any:
    try:
        import pocketsphinx  # noqa: PLC0415  # an extra, and not everyone compares
    except ImportError as error:
        raise BenchError("pocketsphinx is not installed", how_to_install("bench")) from error
    library: Any = pocketsphinx  # it has no types
    return library
