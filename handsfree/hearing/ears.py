"""The ears: sound in, one understood utterance out."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from handsfree.hearing.endpoint import Activity, End
from handsfree.hearing.judge import judge
from handsfree.hearing.level import Framer
from handsfree.hearing.recogniser import RATE, Block, HearingError, Recogniser, VoskRecogniser
from handsfree.hearing.segment import Segment
from handsfree.hearing.settings import HearingSettings
from handsfree.language.heard import Heard
from handsfree.language.vocabulary import JOINING_WORDS, Vocabulary

_STEP = 1600  # a decision can fall each 100 ms
_NOTHING = np.zeros(0, dtype=np.int16)
_QUIET_BEFORE = 6400  # the recogniser mishears a first word that has no silence before it, so we add some
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
        load: Callable[[Path], Recogniser] = VoskRecogniser,
    ) -> None:
        """Load the model (about 0.4 s).  Raises HearingError."""
        self._settings = settings or HearingSettings()
        self._recogniser = load(model)
        self._framer = Framer()
        self._activity = Activity(self._settings.endpoint)
        self._prepared: WeakKeyDictionary[Vocabulary, tuple[str, ...]] = WeakKeyDictionary()
        self._source: Iterator[Block] | None = None
        self._left = _NOTHING
        self._before: list[Block] = []
        self._between = False

    def knows(self, word: str) -> bool:
        """Whether the recogniser can hear this word at all."""
        return self._recogniser.knows(word)

    def prepare(self, vocabulary: Vocabulary) -> None:
        """Get a vocabulary ready; raises HearingError that names the phrases with words which cannot be heard."""
        self._phrases(vocabulary)

    def listen(self, frames: Iterator[Block], vocabulary: Vocabulary, *, patience_s: float | None) -> Utterance:
        """Listen until something was said, for ``patience_s`` seconds of sound at most (None: as long as it takes).

        Outcome ``none`` with why="silence" when nobody spoke in that time or the source ran dry.  What was said to
        others comes as ``none`` too, noise without words not at all.  Errors of the source pass through.
        """
        self._forget()
        phrases = self._phrases(vocabulary)
        segment: Segment | None = None
        waited_s = 0.0
        for block in self._steps(frames):
            arrived = time.perf_counter()
            waited_s += len(block) / RATE
            self._activity.add(self._framer.add(block))
            if segment is None and self._begins(block):
                block = np.concatenate(self._before)  # noqa: PLW2901  the beginning was not fed yet
                hearer = self._recogniser.hearer(phrases)
                hearer.feed(np.zeros(max(0, _QUIET_BEFORE - len(block)), dtype=np.int16))
                segment = Segment(hearer, vocabulary, self._activity, self._settings.endpoint)
            if segment is not None:
                end = segment.feed(block)
                utterance = self._decided(segment, end, vocabulary, arrived)
                if utterance is not None:
                    return utterance
                if end != "going on":
                    segment = None
                    self._forget()
            elif patience_s is not None and waited_s >= patience_s:
                return _silence(ended=False)
        return (segment and self._run_out(segment, vocabulary)) or _silence(ended=True)

    def _begins(self, block: Block) -> bool:
        """Whether someone has begun to speak; a little of what came before is kept."""
        settings = self._settings.endpoint
        if self._between:  # in the middle of something long that was given up: only after a pause comes a new answer
            self._between = self._activity.silent_s < settings.pause_empty_s
            self._before.clear()
            return False
        self._before = [*self._before[-(round(settings.before_s * RATE) // _STEP) :], block]
        if self._activity.speaking:
            return True
        self._activity.forget()
        return False

    def _decided(self, segment: Segment, end: End, vocabulary: Vocabulary, arrived: float) -> Utterance | None:
        """The utterance, if it has ended and there was one."""
        if end == "going on":
            return None
        activity, settings = self._activity, self._settings
        self._between = end == "too long"
        if activity.active_s < settings.endpoint.least_speech_s:
            return None
        heard = judge(segment.readings(), vocabulary, settings.judge)
        if heard.outcome == "none" and not heard.said:
            return None
        if end == "too long" and heard.outcome != "none":
            heard = replace(heard, outcome="ask", why="it was too long to be one answer")
        decided_after_s = activity.silent_s + time.perf_counter() - arrived
        heard = replace(heard, snr_db=activity.snr_db, decided_after_s=round(decided_after_s, 3))
        return Utterance(heard, segment.clip(), ended=False)

    def _run_out(self, segment: Segment, vocabulary: Vocabulary) -> Utterance | None:
        """The source ended within an utterance: silence follows, so that the decision falls as it would live."""
        quiet = np.zeros(_STEP, dtype=np.int16)
        end: End = "going on"
        while end == "going on":
            arrived = time.perf_counter()
            self._activity.add(self._framer.add(quiet), learn=False)
            end = segment.feed(quiet)
            utterance = self._decided(segment, end, vocabulary, arrived)
            if utterance is not None:
                return replace(utterance, ended=True)
        return None

    def _forget(self) -> None:
        self._activity.restart()
        self._before = []

    def _steps(self, frames: Iterator[Block]) -> Iterator[Block]:
        """The source in blocks of 100 ms; what a longer block holds beyond a decision is kept for the next call."""
        if frames is not self._source:
            self._source, self._left, self._between = frames, _NOTHING, False
        while True:
            while len(self._left) >= _STEP:
                step, self._left = self._left[:_STEP], self._left[_STEP:]
                yield step
            block = next(frames, None)
            if block is None:
                break
            self._left = np.concatenate([self._left, block])
        if len(self._left) > 0:
            rest, self._left = self._left, _NOTHING
            yield rest

    def _phrases(self, vocabulary: Vocabulary) -> tuple[str, ...]:
        phrases = self._prepared.get(vocabulary)
        if phrases is None:
            self._refuse_unknown(vocabulary)
            strangers = (one for one in vocabulary.strangers if all(map(self.knows, one.split())))
            phrases = self._prepared[vocabulary] = (*vocabulary.recogniser_list(), *JOINING_WORDS, *strangers)
        return phrases

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


def _silence(*, ended: bool) -> Utterance:
    return Utterance(Heard("none", why="silence"), _NOTHING, ended=ended)
