"""Whatever comes from outside may be hostile: each kind of it is refused with one clear error, or does no harm."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from itertools import islice
from multiprocessing import get_context
from pathlib import Path

from tests.faults import hostile_checklists, hostile_logs, hostile_sounds, hostile_texts
from tests.faults.attack import Attack
from tests.faults.boxed import MOST_CPU_S, MOST_MEMORY
from tests.faults.figures import Row

_ROOMS = (hostile_checklists, hostile_logs, hostile_texts, hostile_sounds)


def hostile(folder: Path, *, every: int = 1) -> Row:
    """Each ``every``-th of all attacks, some at a time."""
    row = Row("hostile checklists, phrases, logs, folders, words and recordings")
    workers = min(4, os.cpu_count() or 1)
    with ProcessPoolExecutor(workers, mp_context=get_context("fork")) as pool:
        for some in pool.map(partial(_every, folder, every * workers), [every * one for one in range(workers)]):
            for name, wrong in some:
                problem = f"{name}: {wrong}" if wrong else ""
                row.count(invented=int("invented" in wrong), problem=problem)
    row.figure = f"each in less than {MOST_CPU_S} s of work and {MOST_MEMORY // 1_000_000} MB of memory"
    return row


def _every(folder: Path, step: int, start: int) -> Sequence[tuple[str, str]]:
    """Each so many-th attack from one on: its name, and what went wrong."""
    return [(one.name, _outcome(one)) for one in islice(_attacks(folder / str(start)), start, None, step)]


def _outcome(attack: Attack) -> str:
    try:
        return attack.done()
    except Exception as error:  # noqa: BLE001  # what was attacked here in this process broke
        return f"{type(error).__name__}: {error}"


def _attacks(folder: Path) -> Iterator[Attack]:
    for room in _ROOMS:
        place = folder / room.__name__.rpartition(".")[2]
        place.mkdir(parents=True, exist_ok=True)
        yield from room.attacks(place)
