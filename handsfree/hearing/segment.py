"""One utterance while it is being heard."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from handsfree.hearing.endpoint import Activity, End, Endpointer, Wording
from handsfree.hearing.recogniser import RATE, UNKNOWN, Block, Hearer, Hypothesis
from handsfree.hearing.settings import EndpointSettings
from handsfree.language.vocabulary import Vocabulary

_AFTER_S = 0.3  # of silence kept at the end of a clip


class Segment:
    """Feeds the recogniser, and asks after each block whether the utterance is over."""

    def __init__(self, hearer: Hearer, vocabulary: Vocabulary, activity: Activity, settings: EndpointSettings) -> None:
        self._hearer = hearer
        self._vocabulary = vocabulary
        self._activity = activity
        self._endpointer = Endpointer(settings)
        self._sound: list[Block] = []
        self._words = ""
        self._wording: Wording = "empty"

    def feed(self, block: Block) -> End:
        """Take more sound, of which the activity has been told already."""
        self._sound.append(block)
        ended = self._hearer.feed(block)
        if not ended:
            self._look_at(self._hearer.partial())
        return self._endpointer.after(
            len(block) / RATE, self._words, self._wording, self._activity.silent_s, recogniser_ended=ended
        )

    def readings(self) -> tuple[Hypothesis, ...]:
        """All readings, best first; the segment is used up."""
        return self._hearer.finish()

    def clip(self) -> NDArray[np.int16]:
        """The sound of it, less most of the silence at its end."""
        sound = np.concatenate(self._sound)
        return sound[: len(sound) - round(max(0.0, self._activity.silent_s - _AFTER_S) * RATE)]

    def _look_at(self, words: str) -> None:
        if words != self._words:
            self._words, self._wording = words, self._wording_of(words)

    def _wording_of(self, words: str) -> Wording:
        if not words:
            return "empty"
        if UNKNOWN in words.split():
            return "open"
        whole = bool(self._vocabulary.parse(words).clauses)
        return "complete" if whole and not self._vocabulary.can_grow(words) else "open"
