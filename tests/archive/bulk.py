"""Many logs of practice made of two real ones: ``python -m tests.archive.bulk FOLDER 10000``.

Two attempts at an exercise on the shipped aircraft go through a session, one in which all is passed and one in which
all is reported.  What they wrote of each item is then put together anew: passed, reported, asked again, called wrong,
left.  Every line is canonical and chained, as the writer would have written it.
"""

from __future__ import annotations

import hashlib
import random
import sys
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Any

import rfc8785

from handsfree.book import Book, course_of
from handsfree.checklist.loading import load
from handsfree.drill.composing import composed
from handsfree.drill.exercise import Exercise, exercise_as_file, load_stock
from handsfree.journal.events import rfc3339
from handsfree.journal.lines import digest
from handsfree.journal.reader import read
from handsfree.journal.writer import JournalWriter
from handsfree.language.heard import Alternative, Heard
from handsfree.listeners import understand
from handsfree.resources import find_checklist, find_stock
from handsfree.session import Practised, Session
from handsfree.walk.events import Begin
from handsfree.walk.machine import expect
from handsfree.walk.state import WalkState
from tests.drill.trainees import Ability, Trainee
from tests.walk.conversation import kept
from tests.walk.performance import Ears, Mouth, Screen

_Event = dict[str, Any]
PREV, TIME, WHO, EXERCISE = "@prev@", "@time@", "@who@", "@exercise@"
SEQ, NUMBER, OFFSET = 987_654_321, 123_456_789, 456_789_123
STEP_S = 1.5
"""Between two events."""
ATTEMPTS = 10
"""Of each trainee."""
TRUTHS = (*("sound",) * 7, "odd", "defect", "defect")
PASSES_ALL, REPORTS_ALL = Ability(misses=1.0, alarms=0.0), Ability(misses=0.0, alarms=1.0)


@cache
def practised() -> tuple[Book, Exercise]:
    """The shipped aircraft and an exercise on it, by night and in frost, so that all items are due."""
    checklist, stock = load(find_checklist("twin-turboprop")), find_stock("twin-turboprop")
    assert stock is not None
    exercise = composed(checklist, load_stock(stock, checklist), 1, 3)
    exercise = exercise.model_copy(update={"conditions": {one.id: True for one in checklist.conditions}})
    return kept(Book(checklist, course=course_of("scenes", exercise))), exercise


def attempted(ability: Ability) -> tuple[_Event, ...]:
    """The events of a whole attempt, as a session writes them."""
    book, exercise = practised()
    heard: list[Heard] = []

    def hear(words: str, state: WalkState) -> Heard:
        """As the ears would bring it."""
        plain = understand(words, book.listening.vocabulary(expect(state)))
        others = tuple(Alternative(f"{words} {one}", 0.1) for one in ("now", "there"))
        heard.append(
            replace(plain, alternatives=others, snr_db=17.25, noise_dbfs=-41.5, decided_after_s=0.31, confidence=0.97)
        )
        return heard[-1]

    Trainee(book, exercise, ability, random.Random(1), hear).go_through()
    written, text = exercise_as_file(exercise), find_checklist("twin-turboprop").read_bytes()
    with tempfile.TemporaryDirectory() as folder:
        writer = JournalWriter.create(Path(folder) / "walk", text, exercise_text=written)
        session = Session(book, writer, Mouth(), Ears(iter(heard)), Screen())
        begin = Begin("AB", "Q7KTA", level_check=False)
        assert session.begin(begin, digest(text), "synthetic", Practised(exercise.id, digest(written)))
        writer.close()
        return tuple(event.model_dump(mode="json") for event in read(writer.folder).events)


Piece = tuple[bytes, ...]
"""What one item, or the start or the end of an attempt, leaves in a log: lines with blanks in them."""


@dataclass(frozen=True)
class Course:
    """All that attempts are put together from."""

    start: Piece
    items: tuple[dict[tuple[str, str], Piece], ...]
    """For each item what can happen there, by truth and by what the trainee does."""
    end: Piece


@cache
def course() -> Course:
    """The pieces."""
    start, passed, end = _in_pieces(attempted(PASSES_ALL))
    _, reported, _ = _in_pieces(attempted(REPORTS_ALL))
    items = tuple(dict(_ways(*pair)) for pair in zip(passed, reported, strict=True))
    return Course(_piece(map(_of_another, start)), items, _piece(end))


def _in_pieces(events: Sequence[_Event]) -> tuple[list[_Event], list[list[_Event]], list[_Event]]:
    """Before the first item, at each item, and from the end of the walk on."""
    over = next(at for at, event in enumerate(events) if event["type"] == "ended")
    item = ""
    marked: list[tuple[str, _Event]] = []
    for event in events[:over]:
        item = event["item"] if event["type"] == "asked" else item
        marked.append((item, event))
    start, *items = [[event for _, event in group] for _, group in groupby(marked, key=lambda one: one[0])]
    return start, items, list(events[over:])


def _of_another(event: _Event) -> _Event:
    match event["type"]:
        case "opened":
            return {**event, "exercise": EXERCISE, "who": WHO}
        case "identity":
            return {**event, "who": WHO}
        case _:
            return event


def _ways(passed: Sequence[_Event], reported: Sequence[_Event]) -> Iterator[tuple[tuple[str, str], Piece]]:
    at = next(at for at, event in enumerate(passed) if event["type"] == "heard")
    shown, heard, after = passed[:at], passed[at], passed[at + 1 :]
    correction = {**heard, "outcome": "control", "said": "correction",
                  "meanings": [{"outcome": "control", "slots": {"control": "correction"}}]}  # fmt: skip
    unclear: _Event = {**heard, "outcome": "ask", "meanings": [], "why": "it may have been something else"}
    withdrawn = {**_bare(heard), "type": "answer_changed", "standing": "withdrawn", "confirmed": None}
    left = {**_bare(heard), "type": "left", "reason": "asked"}
    ways: dict[str, Sequence[_Event]] = {
        "passed": passed,
        "reported": reported,
        "asked again": [*shown, unclear, *shown[-1:], heard, *after],
        "corrected": [*passed, correction, withdrawn, *shown, heard, *after],
        "left": [*shown, {**correction, "said": "leave for later"}, left],
    }
    for truth in ("sound", "odd", "defect"):
        for way, events in ways.items():
            yield (truth, way), _piece(_with_truth(one, truth) for one in events)


def _with_truth(event: _Event, truth: str) -> _Event:
    """Another truth of a sight, and a number to be given to an answer."""
    match event["type"]:
        case "sight" if event["item"] is not None:
            return {**event, "truth": truth, "scene": f"{event['item']}-{truth}", "findings": []}
        case "answer" | "answer_changed":
            return {**event, "number": NUMBER}
        case _:
            return event


def _bare(event: _Event) -> _Event:
    return {name: event[name] for name in ("v", "prev", "seq", "time", "offset_s", "zone", "item")}


def _piece(events: Iterable[_Event]) -> Piece:
    return tuple(map(_template, events))


def _template(event: _Event) -> bytes:
    """A line with blanks for what differs between logs."""
    text = rfc8785.dumps({**event, "prev": PREV, "time": TIME, "seq": SEQ, "offset_s": OFFSET}).replace(b"%", b"%%")
    for blank, name in ((PREV, b"prev"), (TIME, b"time"), (WHO, b"who"), (EXERCISE, b"exercise"),
                        (SEQ, b"seq"), (NUMBER, b"number"), (OFFSET, b"offset")):  # fmt: skip
        text = text.replace(str(blank).encode(), b"%(" + name + b")b")
    return text


def write_class(folder: Path, count: int, seed: int = 1) -> None:
    """So many logs below a folder; the later an attempt, the fewer defects are passed."""
    pieces, chance = course(), random.Random(seed)
    began = datetime(2026, 3, 2, 8, tzinfo=UTC)
    for number in range(count):
        trainee, attempt = divmod(number, ATTEMPTS)
        at = began + timedelta(days=attempt, minutes=trainee % 600)
        walk = folder / f"{at:%Y%m%dT%H%M%SZ}-{number:05d}"
        walk.mkdir(parents=True)
        ways = [ways[_way(trainee, attempt, chance)] for ways in pieces.items]
        (walk / "log.jsonl").write_bytes(_log([pieces.start, *ways, pieces.end], trainee, attempt, at))


def _way(trainee: int, attempt: int, chance: random.Random) -> tuple[str, str]:
    truth, rare = chance.choice(TRUTHS), chance.random()
    for way, most in (("asked again", 0.05), ("corrected", 0.07), ("left", 0.08)):
        if rare < most:
            return truth, way
    reports = 0.45 + 0.04 * attempt + 0.02 * (trainee % 5) if truth == "defect" else 0.15 - 0.01 * attempt
    return truth, "reported" if chance.random() < reports else "passed"


def _log(pieces: Sequence[Piece], trainee: int, attempt: int, at: datetime) -> bytes:
    lines: list[bytes] = []
    prev, number = hashlib.sha256(b"").hexdigest().encode(), 0
    blanks: dict[bytes, bytes] = {b"who": b"T%d" % trainee, b"exercise": b"round-%d" % attempt}
    for seq, template in enumerate((line for piece in pieces for line in piece), start=1):
        number += b'"type":"answer",' in template
        seconds = STEP_S * seq
        blanks |= {
            b"prev": prev,
            b"seq": str(seq).encode(),
            b"offset": f"{seconds:g}".encode(),
            b"time": rfc3339(at + timedelta(seconds=seconds)).encode(),
            b"number": str(number).encode(),
        }
        line = template % blanks
        prev = hashlib.sha256(line).hexdigest().encode()
        lines.append(line)
    return b"\n".join([*lines, b""])


if __name__ == "__main__":
    write_class(Path(sys.argv[1]), int(sys.argv[2]))
