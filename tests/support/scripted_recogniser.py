"""A recogniser without a model: it is told beforehand what it will hear."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from handsfree.hearing.recogniser import RATE, Block, Hearer, Hypothesis


@dataclass
class ScriptedRecogniser:
    """Each utterance takes the next of ``scripts``: its readings, best first."""

    scripts: list[tuple[Hypothesis, ...]]
    known: Callable[[str], bool] = lambda word: word != "nacelle"
    begun: list[tuple[str, ...]] = field(default_factory=list[tuple[str, ...]])
    """The phrase list of each utterance so far."""
    fed: list[float] = field(default_factory=list[float])
    """Seconds that each utterance was fed."""

    def knows(self, word: str) -> bool:
        return self.known(word)

    def hearer(self, phrases: Sequence[str]) -> Hearer:
        self.begun.append(tuple(phrases))
        self.fed.append(0.0)
        return ScriptedHearer(self, self.scripts.pop(0))


@dataclass
class ScriptedHearer:
    recogniser: ScriptedRecogniser
    readings: tuple[Hypothesis, ...]

    def feed(self, block: Block) -> bool:
        self.recogniser.fed[-1] += len(block) / RATE
        return False

    def partial(self) -> str:
        return self.readings[0].words if self.readings else ""

    def finish(self) -> tuple[Hypothesis, ...]:
        return self.readings
