"""From files to rows, in as many processes as there are cores."""

from __future__ import annotations

import gc
import os
import signal
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from multiprocessing import get_context

from handsfree.archive.columns import NOTHING, Rows
from handsfree.archive.errors import ArchiveError
from handsfree.archive.events import BrokenLogError, read_log
from handsfree.archive.logs import Damaged, LogFile, batches
from handsfree.archive.walks import Walk, walk_of
from handsfree.journal.disk import read_file
from handsfree.journal.reader import MOST_BYTES


@dataclass
class Batch:
    """What some logs gave."""

    rows: Rows = field(default_factory=Rows)
    damaged: list[Damaged] = field(default_factory=list[Damaged])


def read_all(logs: Sequence[LogFile]) -> Iterator[Batch]:
    """Read logs; what is done comes as it is done, in any order.  Raises ArchiveError when a process is ended."""
    lots = list(batches(logs))
    if len(lots) == 1:  # to begin another process takes longer
        yield read_batch(lots[0])
        return
    # Fresh processes: what this one has opened is not theirs.
    processes = min(len(lots), os.cpu_count() or 1)
    pool = ProcessPoolExecutor(processes, mp_context=get_context("spawn"), initializer=_begin)
    try:
        for future in as_completed([pool.submit(read_batch, lot) for lot in lots]):
            yield future.result()
    except BrokenProcessPool as error:
        raise ArchiveError(
            "a process that read logs was ended, perhaps for want of memory", "end other programs and try again"
        ) from error
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def read_batch(logs: Sequence[LogFile]) -> Batch:
    """Read some logs, here and now."""
    batch = Batch()
    for log in logs:
        try:
            walk = walk_of(read_log(read_file(log.file, MOST_BYTES)))
        except OSError as error:
            batch.damaged.append(Damaged(log.folder, error.strerror or "it cannot be read"))
        except BrokenLogError as error:
            batch.damaged.append(Damaged(log.folder, str(error)))
        else:
            _add(batch.rows, log, walk)
    return batch


def _add(rows: Rows, log: LogFile, walk: Walk) -> None:
    """A walk's rows, in the order of the tables' columns."""
    number, text = log.walk, rows.texts
    rows.numbers["walks"].extend(
        (number, text[log.folder], text[walk.who], text[walk.registration], text[walk.checklist], text[walk.practice],
         text[walk.exercise], walk.began.timestamp(), walk.seconds, text[walk.outcome], walk.events)
    )  # fmt: skip
    visits, trials, heard = rows.numbers["visits"], rows.numbers["trials"], rows.numbers["heard"]
    for item, one in walk.visits.items():
        seconds = NOTHING if one.seconds is None else one.seconds
        visits.extend(
            (number, text[item], one.asked, one.asked_again, one.put_off, one.helped, seconds, one.answered)
        )
    for item, zone, scene, truth, difficulty, result, named in walk.trials:
        trials.extend((number, text[item], text[zone], text[scene], text[truth], difficulty, text[result], named))
    for one in walk.heard:
        heard.extend(
            (number, one.seq, text[one.item], text[one.moment], text[one.outcome], text[one.said], one.taken_back)
        )


def _begin() -> None:
    """An interruption is the parent's to tell of; and what is read lives until the batch is done."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.disable()
