"""The ears: sound in, one understood utterance out."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from weakref import WeakSet

import numpy as np
from numpy.typing import NDArray

from handsfree.hearing.endpoint import Activity
from handsfree.hearing.front_end import STREAMS, FrontEnd, Taken
from handsfree.hearing.loudness import too_loud
from handsfree.hearing.recogniser import RATE, Block, Hearer, HearingError, Recogniser, VoskRecogniser
from handsfree.hearing.segment import Segment
from handsfree.hearing.settings import HearingSettings, PhraseCosts
from handsfree.language.heard import Heard
from handsfree.language.meaning import Passing
from handsfree.language.vocabulary import Vocabulary

_STEP = 800  # a decision can fall each 50 ms
_NOTHING = np.zeros(0, dtype=np.int16)
_QUIET_BEFORE = 6400  # the recogniser mishears a first word that has no silence before it, so we add some
_APART = 1600  # a recogniser works on 0.2 s at once: two that began together would both be busy with the same block
_SURE = frozenset({"pass", "finding", "value", "control"})
_SHOWN = 5  # unknown words that an error names


@dataclass(frozen=True, slots=True)
class Utterance:
    """What one call of :meth:`Ears.listen` brought."""

    heard: Heard
    clip: NDArray[np.int16]
    """16 kHz mono: what was heard, with a little around it; empty when nothing was."""
    ended: bool
    """The source of the sound has run dry."""


class Ears:
    """Listens for one utterance at a time; what it learns of the noise is kept from one to the next."""

    def __init__(
        self,
        model: Path,
        *,
        settings: HearingSettings | None = None,
        load: Callable[[Path, PhraseCosts], Recogniser] = VoskRecogniser,
    ) -> None:
        """Read the model's words (0.15 s).  Raises HearingError."""
        self._settings = settings or HearingSettings()
        self._recogniser = load(model, self._settings.costs)
        self._front_end = FrontEnd()
        self._activity = Activity(self._settings.endpoint)
        self._sayable: WeakSet[Vocabulary] = WeakSet()
        self._source: Iterator[Block] | None = None
        self._left = _NOTHING
        self._before: list[Taken] = []
        self._between = False

    def knows(self, word: str) -> bool:
        """Whether the recogniser can hear this word at all."""
        return self._recogniser.knows(word)

    def prepare(self, vocabulary: Vocabulary) -> None:
        """Get a vocabulary ready, about 0.5 s; may be called from another thread while something else is heard.

        Raises HearingError that names the phrases with words which cannot be heard.
        """
        if vocabulary not in self._sayable:
            self._refuse_unknown(vocabulary)
            self._sayable.add(vocabulary)
        self._recogniser.prepare(vocabulary)
        for doubted in vocabulary.passing:
            self._recogniser.prepare(vocabulary, doubting=doubted)

    def listen(
        self,
        frames: Iterator[Block],
        vocabulary: Vocabulary,
        *,
        patience_s: float | None,
        on_decided: Callable[[Heard], None] = lambda _heard: None,
    ) -> Utterance:
        """Listen until something was said, for ``patience_s`` seconds of sound at most (None: as long as it takes).

        Outcome ``none`` with why="silence" when nobody spoke in that time or the source ran dry.  What was said to
        others comes as ``none`` too, noise without words not at all.  ``on_decided`` is told what was understood as
        soon as that is known; should speech go on, it is told again.  Errors of the source pass through.
        """
        self._forget()
        self.prepare(vocabulary)
        turn = _Turn(vocabulary, on_decided)
        waited_s = 0.0
        for block in self._steps(frames):
            arrived = time.perf_counter()
            waited_s += len(block) / RATE
            utterance = self._take(turn, block, arrived)
            if utterance is not None:
                return utterance
            if turn.segment is None and patience_s is not None and waited_s >= patience_s:
                return self._silence(ended=False)
        return self._run_out(turn) or self._silence(ended=True)

    def _take(self, turn: _Turn, block: Block, arrived: float, *, learn: bool = True) -> Utterance | None:
        """Hear one block; the utterance, if it is over."""
        taken = self._front_end.take(block)
        self._activity.add(taken.levels, learn=learn)
        raw, streams = taken.raw, taken.streams
        if turn.segment is None:
            if not self._begins(taken):
                return None
            raw = np.concatenate([one.raw for one in self._before])  # the beginning was not fed yet
            streams = tuple(map(np.concatenate, zip(*(one.streams for one in self._before), strict=True)))
            turn.segment = self._segment(turn.vocabulary, len(raw))
        segment = turn.segment
        before = segment.heard
        segment.feed(raw, streams)
        if segment.heard is not None and segment.heard is not before:
            turn.decided_after_s = round(self._activity.silent_s + time.perf_counter() - arrived, 3)
            if segment.heard.outcome in _SURE:
                turn.on_decided(self._measured(segment.heard, turn.decided_after_s))
        return self._given_out(turn, segment, arrived) if segment.over else None

    def _segment(self, vocabulary: Vocabulary, samples: int) -> Segment:
        quiet = np.zeros(max(0, _QUIET_BEFORE - samples), dtype=np.int16)

        def begin(*, doubting: Passing | None = None) -> Sequence[Hearer]:
            hearers = [self._recogniser.hearer(vocabulary, doubting=doubting) for _ in range(STREAMS)]
            for turn, hearer in enumerate(hearers):
                hearer.feed(np.pad(quiet, (0, turn * _APART)))
            return hearers

        return Segment(begin, vocabulary, self._activity, self._settings)

    def _begins(self, taken: Taken) -> bool:
        """Whether someone has begun to speak; a little of what came before is kept."""
        settings = self._settings.endpoint
        if self._between:  # in the middle of something long that was given up: only after a pause comes a new answer
            self._between = self._activity.silent_s < settings.pause_empty_s
            self._before.clear()
            return False
        self._before = [*self._before[-(round(settings.before_s * RATE) // _STEP) :], taken]
        if self._activity.speaking:
            return True
        self._activity.forget()
        return False

    def _given_out(self, turn: _Turn, segment: Segment, arrived: float) -> Utterance | None:
        """The utterance that is over, if there was one; otherwise all begins anew."""
        heard = segment.heard
        self._between = segment.too_long
        spoken = self._activity.active_s >= self._settings.endpoint.least_speech_s
        if heard is None or not spoken or (heard.outcome == "none" and not heard.said):
            turn.segment = None
            self._forget()
            return None
        if segment.too_long and heard.outcome != "none":
            heard = replace(heard, outcome="ask", why="it was too long to be one answer")
        decided_after_s = turn.decided_after_s
        if heard.outcome not in _SURE:
            decided_after_s = round(self._activity.silent_s + time.perf_counter() - arrived, 3)
        return Utterance(self._measured(heard, decided_after_s), segment.clip(), ended=False)

    def _measured(self, heard: Heard, decided_after_s: float) -> Heard:
        noise_dbfs, snr_db = self._activity.noise_dbfs, self._activity.snr_db
        return replace(
            heard,
            snr_db=snr_db,
            noise_dbfs=noise_dbfs,
            too_loud=too_loud(heard.outcome, snr_db, noise_dbfs, self._settings.loudness),
            decided_after_s=decided_after_s,
        )

    def _run_out(self, turn: _Turn) -> Utterance | None:
        """The source ended within an utterance: silence follows, so that the decision falls as it would live."""
        quiet = np.zeros(_STEP, dtype=np.int16)
        while turn.segment is not None:
            utterance = self._take(turn, quiet, time.perf_counter(), learn=False)
            if utterance is not None:
                return replace(utterance, ended=True)
        return None

    def _silence(self, *, ended: bool) -> Utterance:
        noise_dbfs = self._activity.noise_dbfs
        loud = too_loud("none", None, noise_dbfs, self._settings.loudness)
        return Utterance(Heard("none", why="silence", noise_dbfs=noise_dbfs, too_loud=loud), _NOTHING, ended=ended)

    def _forget(self) -> None:
        self._activity.restart()
        self._before = []

    def _steps(self, frames: Iterator[Block]) -> Iterator[Block]:
        """The source in blocks of 50 ms; what a longer block holds beyond a decision is kept for the next call."""
        if frames is not self._source:
            self._source, self._left, self._between = frames, _NOTHING, False
        while True:
            while len(self._left) >= _STEP:
                step, self._left = self._left[:_STEP], self._left[_STEP:]
                yield step
            try:
                block = next(frames, None)
            except Exception:
                self._source = None  # what is left of a source that broke off does not belong to what comes next
                raise
            if block is None:
                break
            self._left = np.concatenate([self._left, block])
        if len(self._left) > 0:
            rest, self._left = self._left, _NOTHING
            yield rest

    def _refuse_unknown(self, vocabulary: Vocabulary) -> None:
        knows = {word: self.knows(word) for phrase in vocabulary.recogniser_list() for word in phrase.split()}
        if all(knows.values()):
            return
        unknown = sorted(word for word, known in knows.items() if not known)
        phrases = [f'"{p.text}"' for p in vocabulary.phrases if not all(knows[word] for word in p.heard_as.split())]
        raise HearingError(
            f"the speech model does not know {', '.join(unknown[:_SHOWN])} (in {', '.join(phrases[:_SHOWN])})",
            "write words that it knows and that sound alike into grammars/lexicon.yaml",
        )


@dataclass(slots=True)
class _Turn:
    """One call of :meth:`Ears.listen`."""

    vocabulary: Vocabulary
    on_decided: Callable[[Heard], None]
    segment: Segment | None = None
    decided_after_s: float = 0.0
