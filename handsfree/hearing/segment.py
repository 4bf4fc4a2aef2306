"""One utterance while it is being heard, and the decision about it.

The decision falls early: as soon as what was said is a whole phrase and a short pause follows.  Then a little longer is
waited before it is given out, for a second thing may follow in the same breath ("tyres good … cut on tyre two"); if it
does, everything is heard again as a whole, and the early decision is as if it had never been.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from handsfree.hearing.endpoint import Activity, Endpointer, Wording
from handsfree.hearing.judge import Circumstances, judge
from handsfree.hearing.recogniser import RATE, Block, Hearer
from handsfree.hearing.settings import HearingSettings
from handsfree.hearing.strict_graph import UNKNOWN
from handsfree.language.heard import Heard
from handsfree.language.meaning import overall_outcome
from handsfree.language.vocabulary import Vocabulary

_AFTER_S = 0.3  # of silence kept at the end of a clip

Streams = Sequence[Block]
"""The same sound as each decode takes it: cleaned in different ways."""


class Segment:
    """Feeds a recogniser with each stream, and looks after each block whether there is something to decide."""

    def __init__(
        self,
        begin: Callable[[], Sequence[Hearer]],
        vocabulary: Vocabulary,
        activity: Activity,
        settings: HearingSettings,
    ) -> None:
        """``begin`` gives a fresh hearer for each stream."""
        self._begin = begin
        self._vocabulary = vocabulary
        self._activity = activity
        self._settings = settings
        self._endpointer = Endpointer(settings.endpoint)
        self._hearers: Sequence[Hearer] = begin()
        self._raw: list[Block] = []
        self._sound: list[Streams] = []
        self._words = ""
        self._wording: Wording = "empty"
        self._silent_s = 0.0
        self.heard: Heard | None = None
        """What is decided so far; None while it is open, and again when speech goes on."""
        self.too_long = False
        self._final = False

    @property
    def over(self) -> bool:
        """Whether the decision stands: it is final, or nothing that came after such a pause would belong to it."""
        if self.heard is None:
            return False
        pause_s = self._settings.endpoint.pause_before_answer(self.heard.outcome)
        return self._final or self._activity.silent_s >= pause_s

    def feed(self, raw: Block, streams: Streams) -> None:
        """Take more sound, of which the activity has been told already."""
        self._raw.append(raw)
        self._sound.append(streams)
        silent_s, self._silent_s = self._silent_s, self._activity.silent_s
        if self.heard is None:
            self._hear(streams)
        elif self._silent_s < silent_s:
            self._hear_again()
        else:
            self._endpointer.wait(len(streams[0]) / RATE)

    def clip(self) -> NDArray[np.int16]:
        """The sound of it as it came, less most of the silence at its end."""
        sound = np.concatenate(self._raw)
        return sound[: len(sound) - round(max(0.0, self._activity.silent_s - _AFTER_S) * RATE)]

    def _hear_again(self) -> None:
        """Speech goes on after a decision: all of it is one utterance."""
        self.heard = None
        self._hearers = self._begin()
        self._hear([np.concatenate(stream) for stream in zip(*self._sound, strict=True)])

    def _hear(self, streams: Streams) -> None:
        ended = [hearer.feed(block) for hearer, block in zip(self._hearers, streams, strict=True)]
        if not any(ended):
            self._look_at(self._hearers[-1].partial())
        end = self._endpointer.after(
            len(self._sound[-1][0]) / RATE, self._words, self._wording, self._silent_s, recogniser_ended=any(ended)
        )
        if end != "going on":
            self.too_long = end == "too long"
            self._final = end in ("settled", "too long")
            decodes = [hearer.finish() for hearer in self._hearers]
            around = Circumstances(self._activity.snr_db, self._activity.active_s)
            self.heard = judge(decodes, self._vocabulary, self._settings.judge, around)

    def _look_at(self, words: str) -> None:
        if words != self._words:
            self._words, self._wording = words, self._wording_of(words)

    def _wording_of(self, words: str) -> Wording:
        if not words:
            return "empty"
        if UNKNOWN in words.split():
            return "open"
        clauses = self._vocabulary.parse(words).clauses
        if not clauses:
            return "open"
        return "may go on" if self._vocabulary.can_grow(words) else overall_outcome(clauses)
