"""One utterance while it is being heard, and the decision about it.

The decision falls early: as soon as what was said is a whole phrase and a short pause follows.  Then a little longer is
waited before it is given out, for a second thing may follow in the same breath ("tyres good … cut on tyre two"); if it
does, everything is heard again as a whole, and the early decision is as if it had never been.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from handsfree.hearing.decoding import Decoding, Streams, joined
from handsfree.hearing.endpoint import Activity, Endpointer, Wording
from handsfree.hearing.judge import Circumstances, judge
from handsfree.hearing.recogniser import RATE, Block, Hearer
from handsfree.hearing.second_opinion import confirmed
from handsfree.hearing.settings import HearingSettings
from handsfree.hearing.strict_graph import UNKNOWN
from handsfree.language.heard import Heard
from handsfree.language.meaning import Meaning, Passing, overall_outcome
from handsfree.language.vocabulary import Vocabulary

_AFTER_S = 0.3  # of silence kept at the end of a clip
_AT_ONCE = 2400  # samples (0.15 s) heard in a step of 0.05 s while somebody speaks: who is behind catches up bit by bit
_DOUBTED_AT_ONCE = 6400  # the same for a second opinion, which begins when all was said
_PAUSING_S = 0.06  # after so long a pause a decision is near, and all is heard


class Beginning(Protocol):
    """Gives a fresh hearer for each stream."""

    def __call__(self, *, doubting: Passing | None = None) -> Sequence[Hearer]:
        """With ``doubting``, hearers that hardly expect it."""
        ...


class Segment:
    """Feeds a recogniser with each stream, and looks after each block whether there is something to decide."""

    def __init__(self, begin: Beginning, vocabulary: Vocabulary, activity: Activity, settings: HearingSettings) -> None:
        self._begin = begin
        self._vocabulary = vocabulary
        self._activity = activity
        self._settings = settings
        self._endpointer = Endpointer(settings.endpoint)
        self._decoding = Decoding(begin())
        self._doubting: dict[Passing, Decoding] = {}
        self._raw: list[Block] = []
        self._sound: list[Streams] = []
        self._words = ""
        self._wording: Wording = "empty"
        self._doubted: Passing | None = None
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
        self._doubting.clear()
        self._decoding = Decoding(self._begin())
        self._hear(joined(self._sound))

    def _hear(self, streams: Streams) -> None:
        self._decoding.add(streams)
        pausing = self._silent_s >= _PAUSING_S
        ended = self._decoding.hear(None if pausing else _AT_ONCE)
        if not ended:
            self._look_at(self._decoding.partial())
        self._doubt_along(streams)
        end = self._endpointer.after(
            len(self._sound[-1][0]) / RATE, self._words, self._wording, self._silent_s, recogniser_ended=ended
        )
        if end != "going on":
            self.too_long = end == "too long"
            self._final = end in ("settled", "too long")
            self.heard = self._judged()

    def _judged(self) -> Heard:
        around = Circumstances(self._activity.snr_db, self._activity.active_s, self._activity.paused_s)
        settings = self._settings.judge
        heard = judge(list(self._decoding.finish()), self._vocabulary, settings, around)
        if heard.outcome not in self._vocabulary.passing:
            return heard
        doubting = self._doubting.get(heard.outcome) or self._doubt(heard.outcome)
        return confirmed(heard, around.snr_db, doubting.finish(), self._vocabulary, settings)

    def _doubt_along(self, streams: Streams) -> None:
        """As soon as a pause follows what is to be doubted, hear it so, bit by bit until it is decided."""
        for doubting in self._doubting.values():
            doubting.add(streams)
        if self._doubted and self._doubted not in self._doubting and self._silent_s > 0:
            self._doubting[self._doubted] = self._doubt(self._doubted)
        for doubting in self._doubting.values():
            doubting.hear(_DOUBTED_AT_ONCE)

    def _doubt(self, doubted: Passing) -> Decoding:
        """A decoding that has all the sound to hear."""
        doubting = Decoding(self._begin(doubting=doubted))
        doubting.add(joined(self._sound))
        return doubting

    def _look_at(self, words: str) -> None:
        if words != self._words:
            clauses = () if UNKNOWN in words.split() else self._vocabulary.parse(words).clauses
            self._words, self._wording = words, self._wording_of(words, clauses)
            outcome = overall_outcome(clauses) if clauses else None
            self._doubted = outcome if outcome in self._vocabulary.passing else None

    def _wording_of(self, words: str, clauses: Sequence[Meaning]) -> Wording:
        if not words:
            return "empty"
        if not clauses:
            return "open"
        return "may go on" if self._vocabulary.can_grow(words) else overall_outcome(clauses)
