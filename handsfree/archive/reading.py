"""From files to rows, in as many processes as there are cores."""

from __future__ import annotations

import gc
import os
import signal
from collections.abc import Generator, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context

from handsfree.archive.columns import NOTHING, Packed, Rows
from handsfree.archive.errors import ArchiveError
from handsfree.archive.events import BrokenLogError, read_log
from handsfree.archive.logs import Damaged, LogFile, batches
from handsfree.archive.walks import Walk, walk_of
from handsfree.journal.disk import read_file
from handsfree.journal.reader import MOST_BYTES


@dataclass(frozen=True)
class Batch:
    """What some logs gave."""

    rows: Packed
    damaged: tuple[Damaged, ...]


@contextmanager
def reading(logs: Sequence[LogFile]) -> Generator[Iterator[Batch]]:
    """Begin to read logs; what is done comes as it is done, in any order.  Raises ArchiveError as they come."""
    lots = list(batches(logs))
    if len(lots) <= 1:  # to begin another process takes longer
        yield map(read_batch, lots)
        return
    # Fresh processes: what this one has opened is not theirs.
    processes = min(len(lots), os.cpu_count() or 1)
    pool = ProcessPoolExecutor(processes, mp_context=get_context("spawn"), initializer=_begin)
    try:
        yield _as_they_come([pool.submit(read_batch, lot) for lot in lots])
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _as_they_come(lots: Sequence[Future[Batch]]) -> Iterator[Batch]:
    try:
        for lot in as_completed(lots):
            yield lot.result()
    except BrokenProcessPool as error:
        raise ArchiveError(
            "a process that read logs was ended, perhaps for want of memory", "end other programs and try again"
        ) from error


def read_batch(logs: Sequence[LogFile]) -> Batch:
    """Read some logs, here and now."""
    rows, damaged = Rows(), list[Damaged]()
    for log in logs:
        try:
            walk = walk_of(read_log(read_file(log.file, MOST_BYTES)))
        except OSError as error:
            damaged.append(Damaged(log.folder, error.strerror or "it cannot be read"))
        except BrokenLogError as error:
            damaged.append(Damaged(log.folder, str(error)))
        else:
            _add(rows, log, walk)
    return Batch(rows.packed(), tuple(damaged))


def _add(rows: Rows, log: LogFile, walk: Walk) -> None:
    """A walk's rows, in the order of the tables' columns."""
    number, text = log.walk, rows.texts
    walks, visits, trials, heard = (rows.numbers[table] for table in ("walks", "visits", "trials", "heard"))
    walks += (
        number, text[log.folder], text[walk.who], text[walk.registration], text[walk.checklist], text[walk.practice],
        text[walk.exercise], walk.began.timestamp(), walk.seconds, text[walk.outcome], walk.events,
    )  # fmt: skip
    for item, one in walk.visits.items():
        seconds = NOTHING if one.seconds is None else one.seconds
        visits += (number, text[item], one.asked, one.asked_again, one.put_off, one.helped, seconds, one.answered)
    for item, zone, scene, truth, difficulty, outcome, named in walk.trials:
        trials += (number, text[item], text[zone], text[scene], text[truth], difficulty, text[outcome], named)
    for one in walk.heard:
        said = text[one.item or ""], text[one.moment], text[one.outcome], text[one.said]
        heard += (number, one.seq, *said, one.seq in walk.taken_back)


def _begin() -> None:
    """An interruption is the parent's to tell of; and what is read lives until the batch is done."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.disable()
