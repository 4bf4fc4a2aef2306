"""One answer spoken in noise, and what the ears made of it.

Sound is fed as fast as it can be heard; the time that a listener in real time would have needed is worked out from the
length of the sound and from how long each block kept the ears busy.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray

from handsfree.bench.scene import Condition, Scene, make_scene
from handsfree.bench.tasks import Task
from handsfree.bench.voices import Voice
from handsfree.hearing.ears import Ears
from handsfree.hearing.recogniser import RATE, Block, VoskRecogniser
from handsfree.language.heard import Heard, HeardOutcome
from handsfree.language.meaning import Meaning, Outcome, overall_outcome
from handsfree.language.vocabulary import Vocabulary

BLOCK = 800
"""Samples that a microphone gives at once: 50 ms."""

Verdict = Literal["right", "asked", "missed", "wrong"]
"""Right = the same outcome and the same meanings; missed = nothing was understood, and nothing asked."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a listener made of a stretch of sound.  Times are in seconds from the beginning of the sound."""

    heard: Heard
    decided_s: float
    """When it was sure of it, in real time."""
    answered_s: float
    """When it said so: it may wait a moment whether more is said."""
    cost_s: float
    """How long it was busy."""
    audio_s: float
    """How much sound it took."""
    blocks_ms: tuple[float, ...]
    """How long it was busy with each block, in milliseconds."""


class Listener(Protocol):
    """Whoever is measured: the ears of a walk, or others for comparison."""

    def hear(self, sound: NDArray[np.int16], vocabulary: Vocabulary) -> Answer:
        """Listen until something was understood, or the sound ends."""
        ...


@dataclass(frozen=True, slots=True)
class Trial:
    """One answer that was tried.  Times are in seconds."""

    by: str
    """Who listened: "handsfree", or another for comparison."""
    item: str
    words: str
    voice: str
    condition: str
    seed: int
    wanted: tuple[Meaning, ...]
    outcome: HeardOutcome
    meanings: tuple[Meaning, ...]
    said: str
    confidence: float
    verdict: Verdict
    second: Verdict | None
    """When it was asked or missed: the same words said again in fresh noise."""
    defect: bool
    """A defect was spoken, by its name or by a number beyond its limits."""
    false_pass: bool
    """A defect was spoken, and one of the two tries made "nothing found" of it, or a number within the limits."""
    false_finding: bool
    """A pass was spoken, and one of the two tries made a defect of it."""
    decided_after_s: float | None
    """From the true end of speech to the decision; None where none was made."""
    answered_after_s: float | None
    """From the true end of speech to the answer."""
    cut_off: bool
    """Decided before the speech had ended."""
    cost_s: float
    audio_s: float
    blocks_ms: tuple[float, ...]
    memory_mb: float
    """The most memory that the process of the trial had needed until then, in MB."""

    @property
    def meant(self) -> Outcome:
        """What kind of answer was spoken: a pass beside a finding is a finding."""
        return overall_outcome(self.wanted)

    @property
    def right_within_two(self) -> bool:
        """Right at first, or when it was said again."""
        return "right" in {self.verdict, self.second}

    @property
    def early_and_wrong(self) -> bool:
        """Did not hear the answer out, and got it wrong."""
        return self.cut_off and self.verdict == "wrong"


class WalkEars:
    """The ears as on a walk, new for each sound: what is learnt of the noise in one must not change the next."""

    def __init__(self, model: Path) -> None:
        self._model = model
        self._load = cache(VoskRecogniser)  # but the model is loaded once

    def new(self) -> Ears:
        """Ears that have heard nothing yet."""
        return Ears(self._model, load=self._load)

    def hear(self, sound: NDArray[np.int16], vocabulary: Vocabulary) -> Answer:
        """Listen until something was understood, or the sound ends; talk to others is passed over, as on a walk."""
        ears = self.new()
        ears.prepare(vocabulary)
        microphone = Microphone(sound)
        frames = iter(microphone)
        decided_s: list[float] = []

        def note(_heard: Heard) -> None:
            decided_s.append(microphone.now_s())

        while True:
            utterance = ears.listen(frames, vocabulary, patience_s=None, on_decided=note)
            if utterance.ended or utterance.heard.outcome != "none":
                sure = bool(decided_s) and utterance.heard.outcome != "ask"
                return microphone.answer(utterance.heard, decided_s[-1] if sure else None)


class Microphone:
    """Gives sound in blocks, and keeps the clock of a listener who gets them in real time."""

    def __init__(self, sound: NDArray[np.int16]) -> None:
        self._sound = sound
        self._arrived_s = self._now_s = 0.0
        self._given_at: tuple[float, float] | None = None
        self._blocks_ms: list[float] = []

    def __iter__(self) -> Iterator[Block]:
        """The blocks; a block arrives when its last sample has been spoken, or later if the listener is behind."""
        for start in range(0, len(self._sound), BLOCK):
            block = self._sound[start : start + BLOCK]
            self._taken()
            self._arrived_s += len(block) / RATE
            self._now_s = max(self._now_s, self._arrived_s)
            self._given_at = _clocks()
            yield block
        self._taken()

    def now_s(self) -> float:
        """The listener's time, from the beginning of the sound."""
        return self._now_s + self._busy_s()

    def answer(self, heard: Heard, decided_s: float | None = None) -> Answer:
        """The answer that is given now; decided now too, if not before."""
        now_s = self.now_s()
        self._taken()
        return Answer(
            heard,
            decided_s=now_s if decided_s is None else decided_s,
            answered_s=now_s,
            cost_s=sum(self._blocks_ms) / 1000,
            audio_s=self._arrived_s,
            blocks_ms=tuple(self._blocks_ms),
        )

    def _taken(self) -> None:
        if self._given_at is not None:
            busy_s = self._busy_s()
            self._now_s += busy_s
            self._blocks_ms.append(round(busy_s * 1000, 1))
            self._given_at = None

    def _busy_s(self) -> float:
        """How long the listener has worked on the last block; what other programs took meanwhile does not count."""
        if self._given_at is None:
            return 0.0
        return min(now - then for now, then in zip(_clocks(), self._given_at, strict=True))


def _clocks() -> tuple[float, float]:
    """The time, and the time that this process has worked, in seconds."""
    return time.perf_counter(), time.process_time()


def try_one(  # noqa: PLR0913, PLR0917  # who hears what of whom, and where
    listener: Listener,
    vocabulary: Vocabulary,
    task: Task,
    voice: Voice,
    condition: Condition,
    seed: int,
    *,
    by: str = "handsfree",
) -> Trial:
    """Let a voice give an answer in noise; when it is not understood, once more in fresh noise."""

    def asked(number: int) -> tuple[Scene, Answer]:
        scene = make_scene(task.words, voice, condition, seed + number)
        return scene, listener.hear(scene.sound, vocabulary)

    scene, first = asked(0)
    again = asked(1)[1] if verdict_of(first.heard, task.wanted) in {"asked", "missed"} else None
    return made(by, task, voice.name, condition.name, seed, (scene.speech_end_s, first), again)


def made(  # noqa: PLR0913, PLR0917  # what a trial is made of
    by: str,
    task: Task,
    voice: str,
    condition: str,
    seed: int,
    first: tuple[float, Answer],
    again: Answer | None,
) -> Trial:
    """The record of a trial, from the end of its speech (seconds) with the answer, and from a second answer."""
    end_s, answer = first
    heard = answer.heard
    verdict = verdict_of(heard, task.wanted)
    heards = [heard, *([again.heard] if again else [])]
    sure = [one.meanings for one in heards if one.outcome not in {"ask", "none"}]
    return Trial(
        by=by,
        item=task.item,
        words=task.words,
        voice=voice,
        condition=condition,
        seed=seed,
        wanted=task.wanted,
        outcome=heard.outcome,
        meanings=heard.meanings,
        said=heard.said,
        confidence=heard.confidence,
        verdict=verdict,
        second=verdict_of(again.heard, task.wanted) if again else None,
        defect=task.is_defect,
        false_pass=task.is_defect and any(map(task.passes, sure)),
        false_finding=overall_outcome(task.wanted) == "pass" and any(one.outcome == "finding" for one in heards),
        decided_after_s=None if verdict == "missed" else round(answer.decided_s - end_s, 3),
        answered_after_s=None if verdict == "missed" else round(answer.answered_s - end_s, 3),
        cut_off=verdict != "missed" and answer.decided_s < end_s,
        cost_s=round(answer.cost_s, 4),
        audio_s=round(answer.audio_s, 4),
        blocks_ms=answer.blocks_ms,
        memory_mb=highest_mb(),
    )


def verdict_of(heard: Heard, wanted: tuple[Meaning, ...]) -> Verdict:
    """What to think of an answer, when this was meant."""
    if heard.outcome == "none":
        return "missed"
    if heard.outcome == "ask":
        return "asked"
    same = heard.outcome == overall_outcome(wanted) and set(heard.meanings) == set(wanted)
    return "right" if same else "wrong"


def highest_mb() -> float:
    """The most memory that this process has held, in MB."""
    status = Path("/proc/self/status")
    if status.exists():  # getrusage would count what the parent held: Linux keeps its figure over fork and exec
        line = next(one for one in status.read_text(encoding="ascii").splitlines() if one.startswith("VmHWM:"))
        return round(int(line.split()[1]) / 1024, 1)
    import resource  # noqa: PLC0415  # not on every system

    return round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, 1)
