"""Hours in which nobody answers: people who talk to others or read aloud, and noise without a word.

Whatever the ears take for an answer there is a mistake, a pass above all.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import cycle
from math import ceil
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from handsfree.bench.errors import BenchError
from handsfree.bench.figures import Figure
from handsfree.bench.noises import NOISES
from handsfree.bench.scene import FLOOR_DB
from handsfree.bench.speech_level import Sound, power_db, speech_level
from handsfree.bench.trial import BLOCK
from handsfree.hearing.ears import Ears
from handsfree.hearing.files import blocks_from_file
from handsfree.hearing.recogniser import RATE, Block
from handsfree.language.heard import HeardOutcome
from handsfree.language.vocabulary import Vocabulary

Kind = Literal["talk", "noise"]

STRETCH_S = 60.0
"""How long one vocabulary is listened for, and one noise lasts."""
READ_ALOUD = "read aloud"
"""One of the sources of talk: recordings of people, one after the other."""
TALK = (READ_ALOUD, READ_ALOUD, "babble")
NOISE = ("pink", "turbine", "rain", "wind", "propeller")
TALK_DB = (-20.0, -30.0, -40.0)
"""Active speech levels, in dB of full scale: at one's elbow, and further away."""
NOISE_DB = (-20.0, -30.0, -40.0, -50.0)
_PAUSES_S = (0.3, 2.5)
"""Between two recordings."""

_TELEPHONE = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
_BOOK = Path("/usr/share/pocketsphinx/test/data/librivox")
_SENTENCE_S = 2.0
"""Shorter recordings are single words, some of which are ours ("seven", "yes")."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A minute or less of sound in which nobody speaks to the tool."""

    kind: Kind
    source: str
    """`READ_ALOUD`, or a key of `NOISES`."""
    level_db: float
    """The active level of speech, or the power of the noise, in dB of full scale."""
    item: int
    """At which item of the checklist, counted from 0, in the order of the walk."""
    seed: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Taken:
    """Something that was taken for an answer, or asked about."""

    outcome: HeardOutcome
    said: str


@dataclass(frozen=True, slots=True)
class Overheard:
    """What the ears made of a stretch."""

    stretch: Stretch
    taken: tuple[Taken, ...]


class Chatter(Figure):
    """How often the ears took something for an answer that was none."""

    name: str
    hours: float
    distinct_hours: float
    """How much of it is different sound: recordings come again, at other levels and in another order.  Noise never
    does; babble is made of eighteen sentences, but each time of other moments of them."""
    passes: int
    findings: int
    values: int
    controls: int
    asks: int

    @property
    def accepted(self) -> int:
        """Phrases of any kind that the ears believed to have heard."""
        return self.passes + self.findings + self.values + self.controls

    def per_hour(self, count: int) -> float:
        """So many in an hour; 0 where nothing was listened to."""
        return count / self.hours if self.hours else 0.0


def stretches(seconds: float, items: int, seed: int) -> tuple[Stretch, ...]:
    """So many seconds of talk and as many of noise, each stretch at some item of the checklist."""
    return (
        *_in_turn("talk", TALK, TALK_DB, seconds, np.random.default_rng([seed, 0]), items),
        *_in_turn("noise", NOISE, NOISE_DB, seconds, np.random.default_rng([seed, 1]), items),
    )


def overhear(ears: Ears, vocabulary: Vocabulary, stretch: Stretch) -> Overheard:
    """Let fresh ears listen to a stretch.  Raises BenchError when the recordings are not installed, VoiceError."""
    sound = sound_of(stretch)
    source = (sound[start : start + BLOCK] for start in range(0, len(sound), BLOCK))
    return Overheard(stretch, tuple(_taken(ears, source, vocabulary)))


def sound_of(stretch: Stretch) -> NDArray[np.int16]:
    """The sound of a stretch: the same for the same stretch."""
    random, samples = np.random.default_rng(stretch.seed), round(stretch.seconds * RATE)
    if stretch.source == READ_ALOUD:
        sound = _read_aloud(samples, stretch.level_db, random)
    else:
        sound = _at(NOISES[stretch.source](samples, random), stretch.level_db, power_db)
    floor = random.standard_normal(samples, dtype=np.float32) * _gain(FLOOR_DB)
    return np.rint((sound + floor).clip(-1.0, 1.0) * 32767.0).astype(np.int16)


def figures(overheard: Iterable[Overheard]) -> tuple[Chatter, ...]:
    """One for all talk and one for all noise, each with its sources behind it."""
    ordered = sorted(overheard, key=lambda one: (one.stretch.kind == "noise", one.stretch.source))
    groups: dict[str, list[Overheard]] = {}
    for one in ordered:
        for name in (f"all {one.stretch.kind}", one.stretch.source):
            groups.setdefault(name, []).append(one)
    return tuple(_figure(name, group) for name, group in groups.items())


def _in_turn(  # noqa: PLR0913, PLR0917  # what, how loud, how long and where
    kind: Kind, sources: Sequence[str], levels: Sequence[float], seconds: float, random: Generator, items: int
) -> Iterator[Stretch]:
    """Each source at the first level, then each at the next."""
    turns = cycle((source, level) for level in levels for source in sources)
    for number, (source, level) in zip(range(ceil(seconds / STRETCH_S)), turns, strict=False):
        item, own_seed = int(random.integers(items)), int(random.integers(1 << 32))
        yield Stretch(kind, source, level, item, own_seed, min(STRETCH_S, seconds - number * STRETCH_S))


def _taken(ears: Ears, frames: Iterator[Block], vocabulary: Vocabulary) -> Iterator[Taken]:
    """Everything that was not passed over, down to the end of the sound."""
    ended = False
    while not ended:
        utterance = ears.listen(frames, vocabulary, patience_s=None)
        ended = utterance.ended
        if utterance.heard.outcome != "none":
            yield Taken(utterance.heard.outcome, utterance.heard.said)


def _figure(name: str, group: Sequence[Overheard]) -> Chatter:
    counts = Counter(taken.outcome for one in group for taken in one.taken)
    read_s = sum(one.stretch.seconds for one in group if one.stretch.source == READ_ALOUD)
    seconds = sum(one.stretch.seconds for one in group)
    again_s = max(0.0, read_s - recorded_s()) if read_s else 0.0
    return Chatter(
        name=name, hours=seconds / 3600, distinct_hours=(seconds - again_s) / 3600,
        passes=counts["pass"], findings=counts["finding"], values=counts["value"], controls=counts["control"],
        asks=counts["ask"],
    )  # fmt: skip


def recorded_s() -> float:
    """How many seconds of people there are.  Raises BenchError when the recordings are not installed."""
    return sum(len(recording) for recording in _recordings()) / RATE


def _read_aloud(samples: int, level_db: float, random: Generator) -> Sound:
    """Recordings in any order with pauses between them."""
    sound, at = np.zeros(samples, dtype=np.float32), 0
    recordings = _recordings()
    order: list[int] = random.permutation(len(recordings)).tolist()
    for index in cycle(order):
        at += round(random.uniform(*_PAUSES_S) * RATE)
        if at >= samples:
            return sound
        part = _at(recordings[index], level_db, lambda one: speech_level(one).active_db)[: samples - at]
        sound[at : at + len(part)] = part
        at += len(part)
    raise AssertionError("a circle has no end")


@cache
def _recordings() -> tuple[Sound, ...]:
    """Sentences that people say: a telephone system's prompts by one woman, a book read aloud by another."""
    sentences = [*_all(_TELEPHONE, "asterisk-core-sounds-en-wav"), *_all(_BOOK, "pocketsphinx-testdata")]
    return tuple(sentence for sentence in sentences if len(sentence) >= _SENTENCE_S * RATE)


def _all(folder: Path, package: str) -> Iterator[Sound]:
    paths = sorted(folder.glob("*.wav"))
    if not paths:
        raise BenchError(f"there are no recordings in {folder}", f"on Debian or Ubuntu: apt install {package}")
    for path in paths:
        yield np.concatenate(list(blocks_from_file(path))).astype(np.float32) / np.float32(32768.0)


def _at(sound: Sound, level_db: float, meter: Callable[[Sound], float]) -> Sound:
    return sound * _gain(level_db - meter(sound))


def _gain(decibels: float) -> np.float32:
    return np.float32(10.0 ** (decibels / 20.0))
