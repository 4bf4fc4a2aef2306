"""Every trial of a bench: planned, then made on all cores."""

from __future__ import annotations

import hashlib
import signal
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import cache, lru_cache
from multiprocessing import get_context
from operator import itemgetter
from pathlib import Path
from typing import Protocol, TypeVar

import numpy as np

from handsfree.bench.chatter import Overheard, Stretch, overhear
from handsfree.bench.errors import BenchError
from handsfree.bench.peers import PEERS
from handsfree.bench.plan import Settings
from handsfree.bench.recordings import Recording, try_recording
from handsfree.bench.scene import Condition
from handsfree.bench.tasks import Task, choose, vocabulary_at
from handsfree.bench.trial import Listener, Trial, WalkEars, try_one
from handsfree.bench.voices import REPORTING_VOICES, TUNING_VOICES, VOICES
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.resources import find_checklist
from handsfree.speech_model import locate

_One = TypeVar("_One")
_Done = TypeVar("_Done")
_LOT = 8  # trials
_COMPARED = 20  # each twentieth sound of a condition is heard by the others too: one of them is slow

OURS = "handsfree"
"""The ears of this program, among all who are measured."""


@dataclass(frozen=True, slots=True)
class Job:
    """A trial to be made."""

    by: str
    task: Task
    voice: str
    condition: Condition
    seed: int

    @property
    def key(self) -> tuple[str, int]:
        """No other job of a bench has the same."""
        return self.by, self.seed


@dataclass(frozen=True, slots=True)
class Place:
    """What a worker needs to find on its own machine."""

    checklist: str
    """The name of a shipped checklist, or a path."""
    model: Path | None = None
    """The folder of the speech model; None = the usual one."""


def jobs(settings: Settings, book: Book) -> tuple[Job, ...]:
    """Every trial, in an order without meaning, so that the first hundred give a first impression of the whole."""
    voices = REPORTING_VOICES if settings.voices == "reporting" else TUNING_VOICES
    planned = [
        Job(
            by,
            task,
            voices[(number + turn) % len(voices)].name,
            line.condition,
            _seed(settings.seed, line.condition, number),
        )
        for turn, line in enumerate(settings.lines)
        for number, task in enumerate(choose(book, line.count, _seed(settings.seed, line.condition)))
        for by in (OURS, *(PEERS if settings.compare and number % _COMPARED == 0 else ()))
    ]
    order = np.random.default_rng(settings.seed).permutation(len(planned))
    return tuple(planned[int(index)] for index in order)


def left(planned: Sequence[Job], done: Collection[Trial]) -> tuple[Job, ...]:
    """The jobs that are not done yet."""
    known = {(trial.by, trial.seed) for trial in done}
    return tuple(job for job in planned if job.key not in known)


def batches(due: Sequence[Job]) -> list[list[Job]]:
    """The jobs in small lots of one item each, because ears that turn to another item must load its phrases first.

    Every item has its first lot before any has its second; others come last, so that what they need of the memory is
    not taken for ours.
    """
    together: dict[tuple[bool, str, str], list[Job]] = defaultdict(list)
    for job in due:
        together[job.by != OURS, job.by, job.task.item].append(job)
    lots = [
        (others, start, one[start : start + _LOT])
        for (others, _, _), one in together.items()
        for start in range(0, len(one), _LOT)
    ]
    return [lot for _, _, lot in sorted(lots, key=itemgetter(0, 1))]


def attempt(place: Place, lot: Sequence[Job]) -> list[Trial]:
    """Make some trials; the model is loaded once in each process.  Raises Mendable, which survives the way back."""
    bench = _bench(place)
    return [bench.attempt(job) for job in lot]


def hear(place: Place, lot: Sequence[Recording]) -> list[Trial]:
    """Hear some recordings.  Raises Mendable."""
    bench = _bench(place)
    return [bench.hear(recording) for recording in lot]


def listen_in(place: Place, lot: Sequence[Stretch]) -> list[Overheard]:
    """Hear some stretches in which nobody answers.  Raises Mendable."""
    bench = _bench(place)
    return [bench.listen_in(stretch) for stretch in lot]


def run_here(
    processes: int, work: Callable[[Place, Sequence[_One]], list[_Done]], place: Place, lots: Sequence[Sequence[_One]]
) -> Iterator[_Done]:
    """Do the work on each lot in processes of this machine; what is done comes as it is done.  Raises Mendable."""
    # Fresh processes: a copy of this one would carry its memory, and vosk does not survive being copied.
    pool = ProcessPoolExecutor(processes, mp_context=get_context("spawn"), initializer=_leave_interrupts_to_the_parent)
    try:
        for future in as_completed([pool.submit(work, place, lot) for lot in lots]):
            yield from future.result()
    except BrokenProcessPool as error:
        raise BenchError(
            "a process of the bench was ended, perhaps for want of memory",
            "go on with the same command and the folder of this run as --out, with fewer --jobs",
        ) from error
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


class Runner(Protocol):
    """Where work is done: here, or on a cluster."""

    def __call__(
        self, work: Callable[[Place, Sequence[_One]], list[_Done]], place: Place, lots: Sequence[Sequence[_One]]
    ) -> Iterator[_Done]:
        """Do the work on each lot; what is done comes as it is done."""
        ...


class _Bench:
    """What a process keeps from one trial to the next."""

    def __init__(self, place: Place) -> None:
        self._model = locate(place.model).path
        self._ears = WalkEars(self._model)
        self._book = Book(load(find_checklist(place.checklist)))
        self._voices = {voice.name: voice for voice in VOICES}
        self._listener = cache(self._new_listener)

    def attempt(self, job: Job) -> Trial:
        """Make one trial."""
        vocabulary = vocabulary_at(self._book, job.task.item)
        voice, listener = self._voices[job.voice], self._listener(job.by)
        return try_one(listener, vocabulary, job.task, voice, job.condition, job.seed, by=job.by)

    def _new_listener(self, by: str) -> Listener:
        return self._ears if by == OURS else PEERS[by](self._model)

    def hear(self, recording: Recording) -> Trial:
        """Hear a recording."""
        return try_recording(self._ears, recording, self._book)

    def listen_in(self, stretch: Stretch) -> Overheard:
        """Hear a stretch in which nobody answers, at some item."""
        items = tuple(self._book.checklist.items())
        return overhear(self._ears.new(), vocabulary_at(self._book, items[stretch.item].id), stretch)


@lru_cache(maxsize=1)
def _bench(place: Place) -> _Bench:
    return _Bench(place)


def _leave_interrupts_to_the_parent() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _seed(seed: int, condition: Condition, number: int | None = None) -> int:
    """A seed of its own for each condition, and for each trial in it."""
    return int.from_bytes(hashlib.sha256(f"{seed}/{condition.name}/{number}".encode()).digest()[:6])
