"""A walk that was walked at once, with the times that it takes in earnest: what is spoken takes its seconds."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Iterator
from datetime import timedelta
from pathlib import Path

from handsfree.journal import events as log
from handsfree.journal.lines import digest, line_of
from handsfree.journal.reader import CHECKLIST_NAME, CLIPS, EXERCISE_NAME, LOG_NAME, read
from handsfree.journal.seal import SEAL_NAME, seal_of

LOOKING_S = 2.5
"""Between a question and its answer: to look costs time."""


def paced(events: Iterable[log.AnyEvent], looking_s: float = LOOKING_S) -> Iterator[log.AnyEvent]:
    """The same events; each sentence takes its seconds, and each utterance its own and those of looking."""
    at, began = 0.0, None
    for event in events:
        began = began or event.time
        match event:
            case log.Said():
                at += event.seconds
            case log.HeardEvent():
                at += looking_s + (event.clip.seconds if event.clip else 1.0)
            case _:
                pass
        at = round(at, 3)
        yield event.model_copy(update={"offset_s": at, "time": began + timedelta(milliseconds=round(1000 * at))})


def write_again(walk: Path, folder: Path, events: Iterable[log.AnyEvent]) -> Path:
    """A log of these events in a new folder, chained and sealed, with what lies beside the log of ``walk``."""
    folder.mkdir(parents=True)
    for name in (CHECKLIST_NAME, EXERCISE_NAME):
        if (walk / name).exists():
            shutil.copy(walk / name, folder / name)
    if (walk / CLIPS).exists():
        shutil.copytree(walk / CLIPS, folder / CLIPS)
    chain, lines, last = digest(b""), list[bytes](), None
    for number, event in enumerate(events, start=1):
        last = event.model_copy(update={"seq": number, "prev": chain})
        lines.append(line_of(last))
        chain = digest(lines[-1])
    raw = b"".join(line + b"\n" for line in lines)
    (folder / LOG_NAME).write_bytes(raw)
    if last is not None:
        (folder / SEAL_NAME).write_bytes(seal_of(raw, len(lines), last.time, None).as_file())
    return folder


def in_real_time(walk: Path, folder: Path, looking_s: float = LOOKING_S) -> Path:
    """A walk once more, paced, in a new folder."""
    return write_again(walk, folder, paced(read(walk).events, looking_s))
