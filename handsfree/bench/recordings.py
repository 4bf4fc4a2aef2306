"""Recordings of one's own: a folder with a list of what is said in them, heard as the trials of the bench are."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from handsfree.bench.errors import BenchError
from handsfree.bench.speech_level import Sound
from handsfree.bench.tasks import Task, task_at, vocabulary_at
from handsfree.bench.trial import Listener, Trial, made
from handsfree.book import Book
from handsfree.hearing.files import blocks_from_file
from handsfree.hearing.recogniser import RATE

MANIFEST = "manifest.csv"
"""In the folder; its heading is ``file,item,phrase``: a file beside it, the id of an item, and the words spoken."""
CONDITION = "recorded"
"""What trials with recordings have for the name of a condition."""

_COLUMNS = ("file", "item", "phrase")
_QUIET_S = 3.0
"""Silence that follows each recording, for a listener who decides by a pause."""
_FRAME = RATE // 100
_SPEECH_DB = -25.0
"""Frames of 10 ms that lie further below the loudest are no speech: the true end of speech is only estimated."""
_SHOWN = 10


@dataclass(frozen=True, slots=True)
class Recording:
    """One line of the list."""

    path: Path
    task: Task


def recordings(folder: Path, book: Book) -> tuple[Recording, ...]:
    """The list of a folder, each line checked against the checklist.

    Raises BenchError, which names the lines that are wrong: no such file or item, or words that mean nothing there or
    more than one thing.
    """
    path = folder / MANIFEST
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            reader = csv.DictReader(file)
            if tuple(reader.fieldnames or ()) != _COLUMNS:
                raise BenchError(f"{path} has another heading", f"its first line must be {','.join(_COLUMNS)}")
            read = [(reader.line_num, _read(folder, line, book)) for line in reader]
    except OSError as error:
        raise BenchError(
            f"{path} cannot be read ({error.strerror})", f"list what is said there, below {','.join(_COLUMNS)}"
        ) from error
    except (UnicodeDecodeError, csv.Error) as error:
        raise BenchError(f"{path} is no list of values parted by commas", "write it anew, as UTF-8 text") from error
    wrong = [f"line {number}: {problem}" for number, problem in read if isinstance(problem, str)]
    if wrong or not read:
        raise BenchError(f"{path} cannot be used", "; ".join(wrong[:_SHOWN]) or "it lists no recording")
    return tuple(recording for _, recording in read if isinstance(recording, Recording))


def try_recording(listener: Listener, recording: Recording, book: Book, *, by: str = "handsfree") -> Trial:
    """Let a recording be heard, once.  The voice of the trial is the name of the file.  Raises AudioError."""
    task = recording.task
    sound = np.concatenate(list(blocks_from_file(recording.path)))
    quiet = np.zeros(round(_QUIET_S * RATE), dtype=np.int16)
    answer = listener.hear(np.concatenate([sound, quiet]), vocabulary_at(book, task.item))
    return made(by, task, recording.path.name, CONDITION, 0, (speech_end_s(sound), answer), None)


def speech_end_s(sound: NDArray[np.int16]) -> float:
    """Where the last loud frame ends, in seconds: good for clear recordings, too late in noise."""
    frames: Sound = sound[: len(sound) // _FRAME * _FRAME].astype(np.float32).reshape(-1, _FRAME)
    power = np.mean(np.square(frames), axis=1)
    loud = np.flatnonzero(power > power.max(initial=0.0) * 10.0 ** (_SPEECH_DB / 10.0))
    return float(loud[-1] + 1) * _FRAME / RATE if len(loud) else len(sound) / RATE


def _read(folder: Path, line: dict[str, str], book: Book) -> Recording | str:
    """The recording of a line, or what is wrong with it."""
    name, item, phrase = (str(line.get(column) or "").strip() for column in _COLUMNS)
    if not (folder / name).is_file():
        return f'there is no file "{name}"'
    if item not in {one.id for one in book.checklist.items()}:
        return f'there is no item "{item}"'
    parse = vocabulary_at(book, item).parse(phrase)
    if not parse.clauses or parse.ambiguous:
        return f'"{phrase}" means {"several things" if parse.ambiguous else "nothing"} at {item}'
    return Recording(folder / name, task_at(book, item, phrase, parse.clauses))
