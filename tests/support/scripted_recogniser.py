"""A recogniser without a model: it is told beforehand what it will hear."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from handsfree.hearing.front_end import STREAMS
from handsfree.hearing.recogniser import RATE, Block, Hearer, Hypothesis
from handsfree.language.meaning import Passing
from handsfree.language.vocabulary import Vocabulary


@dataclass
class ScriptedRecogniser:
    """Each utterance, and each that is heard again as a whole, takes the next of ``scripts``: its readings, best first.

    The hearers of one utterance, one for each stream, are given the same script.
    """

    scripts: list[tuple[Hypothesis, ...]]
    known: Callable[[str], bool] = lambda word: word != "nacelle"
    prepared: list[Vocabulary] = field(default_factory=list[Vocabulary])
    begun: list[Vocabulary] = field(default_factory=list[Vocabulary])
    """The vocabulary of each utterance so far."""
    fed: list[float] = field(default_factory=list[float])
    """Seconds that each utterance was fed."""
    doubts: tuple[Hypothesis, ...] | None = None
    """What is heard with passes doubted; None = the same as without."""
    _readings: tuple[Hypothesis, ...] = ()
    _streams: int = 0

    def knows(self, word: str) -> bool:
        return self.known(word)

    def prepare(self, vocabulary: Vocabulary, *, doubting: Passing | None = None) -> None:
        if not doubting:
            self.prepared.append(vocabulary)

    def hearer(self, vocabulary: Vocabulary, *, doubting: Passing | None = None) -> Hearer:
        if doubting:
            return DoubtingHearer(self._readings if self.doubts is None else self.doubts)
        if self._streams % STREAMS == 0:
            self._readings = self.scripts.pop(0)
            self.begun.append(vocabulary)
            self.fed.append(0.0)
        self._streams += 1
        return ScriptedHearer(self, self._readings)


@dataclass
class ScriptedHearer:
    recogniser: ScriptedRecogniser
    readings: tuple[Hypothesis, ...]

    def feed(self, block: Block) -> bool:
        self.recogniser.fed[-1] += len(block) / RATE / STREAMS
        return False

    def partial(self) -> str:
        return self.readings[0].words if self.readings else ""

    def finish(self) -> tuple[Hypothesis, ...]:
        return self.readings


@dataclass
class DoubtingHearer:
    """Hears what it is told to."""

    readings: tuple[Hypothesis, ...]

    def feed(self, block: Block) -> bool:
        return False

    def partial(self) -> str:
        return ""

    def finish(self) -> tuple[Hypothesis, ...]:
        return self.readings
