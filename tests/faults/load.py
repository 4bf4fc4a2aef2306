"""Long and large: a checklist of a thousand items walked for twelve hours, and a log of a hundred thousand events."""

from __future__ import annotations

import gc
import hashlib
import random
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np

from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.journal import events as log
from handsfree.journal.events import AnyEvent
from handsfree.journal.reader import read
from handsfree.journal.writer import JournalWriter
from handsfree.language.heard import Heard
from handsfree.language.meaning import overall_outcome
from handsfree.language.vocabulary import Vocabulary
from handsfree.replay import replay
from handsfree.session import Listened, Session
from handsfree.walk.events import Begin, Expect
from tests.faults.figures import Row
from tests.walk.conversation import small
from tests.walk.performance import Mouth, Screen, tell

HOURS = 12.0
GROWTH = 0.05
"""How much more memory, or time before an answer is answered, the end may need than the beginning."""
REPLAY_LIMIT_S = 5.0
_ZONE = 20
"""Items of a zone."""
_NUMBERS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_HEAD = """format: 1
id: large
title: A large invented aircraft, walk round before flight
notice: The manuals of the aircraft and licensed staff decide. This list is invented for tests.
aircraft:
  type: Test Giant
  operator: Nobody
  registration: {pattern: "Q7[A-Z]{3}", example: Q7KTA}
cautions: [Stay clear of the propellers.]
zones:
"""


def large_checklist(items: int) -> str:
    """A checklist of so many panels."""
    lines = [_HEAD]
    for number in range(items):
        spelled = _spelled(number)
        if number % _ZONE == 0:
            zone = number // _ZONE
            lines.append(
                f"  - id: zone-{zone}\n    name: Zone {zone}\n    spoken: [zone {_spelled(zone)}]\n"
                f"    at: [{zone}, 0]\n    items:\n"
            )
        lines.append(
            f"      - id: panel-{number}\n        name: panel {spelled}\n        prompt: Panel {spelled}?\n"
            f"        full: Check that panel {spelled} is whole and shut.\n        look_for: No damage.\n"
            f'        pass: ["panel [is] (good | secure)", "no damage"]\n'
            f"        findings:\n          - use: <findings.damage>\n          - use: <findings.loose>\n"
            f'        ata: "52"\n        source: common practice, no source\n'
        )
    return "".join(lines)


def _spelled(number: int) -> str:
    return " ".join(_NUMBERS[int(figure)] for figure in f"{number:04d}")


@dataclass
class Inspector:
    """Answers at a quick pace, and is interrupted, misheard and distracted as people are."""

    book: Book
    chance: random.Random
    turns: int = 0
    asked_at: float = 0.0
    """When the tool began to work on the last answer."""

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        vocabulary()

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        self.turns += 1
        kind = self.chance.random()
        self.asked_at = time.perf_counter()
        if kind < 0.35:
            return Listened(None)
        if kind < 0.5:
            return Listened(Heard("none", "boarding has begun"))
        words = {"decision": "no decision"}.get(expected.moment, "affirm")
        if expected.moment == "item":
            words = self.chance.choice(["panel good", "no damage", "say again", "say again", "damaged"])
        clauses = vocabulary.parse(words).clauses
        return Listened(Heard(overall_outcome(clauses), words, clauses))


@dataclass
class Watch(Mouth):
    """Notes how long the first word of an answer took, and the memory."""

    inspector: Inspector | None = None
    waits_ms: list[float] = field(default_factory=list[float])
    memory_kb: list[int] = field(default_factory=list[int])

    def say(self, text: str) -> float:
        if self.inspector is not None and self.inspector.asked_at:
            self.waits_ms.append((time.perf_counter() - self.inspector.asked_at) * 1000)
            self.inspector.asked_at = 0.0
            if len(self.waits_ms) % 20 == 0:
                gc.collect()
                self.memory_kb.append(resident_kb())
        return 0.1


def resident_kb() -> int:
    """The memory that this process holds now."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(next(line for line in status.splitlines() if line.startswith("VmRSS:")).split()[1])


class TimedWriter(JournalWriter):
    """Notes how long each append took."""

    appended_ms: list[float]

    def append(self, events: object) -> tuple[AnyEvent, ...]:  # pyright: ignore
        began = time.perf_counter()
        try:
            return super().append(events)  # pyright: ignore
        finally:
            self.appended_ms.append((time.perf_counter() - began) * 1000)


def long_walk(folder: Path, items: int) -> Row:
    """A walk of so many items that takes twelve hours of its own time."""
    row = Row(f"{items:,} items, {HOURS:.0f} hours at a quick pace")
    folder.mkdir()
    file = folder / "large.yaml"
    file.write_text(large_checklist(items), encoding="utf-8")
    book = Book(load(file))
    inspector = Inspector(book, random.Random(12))
    watch = Watch(inspector=inspector)
    pace = timedelta(hours=HOURS) / (items * 6)
    ticks = 0

    def clock() -> datetime:
        nonlocal ticks
        ticks += 1
        return datetime(2026, 1, 1, 6, tzinfo=UTC) + ticks * pace

    TimedWriter.appended_ms = []
    writer = TimedWriter.create(folder / "walk", file.read_bytes(), clock)
    session = Session(book, writer, watch, inspector, Screen())
    begin = Begin(who="AB", registration="Q7KTA", level_check=False)
    ended = session.begin(begin, hashlib.sha256(file.read_bytes()).hexdigest(), "synthetic")
    writer.close()
    events = read(folder / "walk").events
    tenth = max(1, len(watch.waits_ms) // 10)
    first, last = np.median(watch.waits_ms[tenth : 2 * tenth]), np.median(watch.waits_ms[-tenth:])
    memory = watch.memory_kb[len(watch.memory_kb) // 10 :] or [resident_kb()]
    growth = max(abs(one / memory[0] - 1) for one in memory)
    checks = {
        "it did not come to its end": ended and session.state.outcome == "complete",
        "it does not lead to the same walk": replay(book, events) == (session.state, []),
        f"memory changed by {growth:.0%}": growth <= GROWTH,
        f"an answer took {last:.1f} ms at the end, {first:.1f} at first": last <= first * (1 + GROWTH) + 1.0,
    }
    row.count(problem="; ".join(problem for problem, fine in checks.items() if not fine))
    appended = np.percentile(TimedWriter.appended_ms, 99)
    row.figure = (
        f"{inspector.turns:,} turns, memory {memory[0] / 1024:.0f} MB ± {growth:.1%}, answered after {first:.0f} ms at "
        f"first and {last:.0f} ms at the end, an append with its sync takes {appended:.1f} ms (99 of 100)"
    )
    return row


def long_log(folder: Path, events: int) -> Row:
    """A log of so many events is read and replayed."""
    row = Row(f"{events:,} events are replayed")
    told = tell(folder / "story")
    before = read(told.folder).events
    cut = next(at for at, one in enumerate(before) if isinstance(one, log.Asked)) + 2
    walk = folder / "walk"
    writer = JournalWriter.create(walk, (told.folder / "checklist.yaml").read_bytes())
    writer.append(before[:cut])
    again = next(one for one in before if isinstance(one, log.HeardEvent) and one.said == "say again")
    said = log.Said(text="Pitot covers?", seconds=0.5)
    for _ in range(cut, events, 1000):
        writer.append([one for _ in range(500) for one in (again, said)])
    writer.close()
    began = time.process_time()  # other tests may run meanwhile
    journal = read(walk)
    state, missing = replay(small(), journal.events)
    took = time.process_time() - began
    checks = {
        "it does not lead to where it was": state.item == "pitot-covers" and not missing,
        "events are missing": len(journal.events) >= events,
        "numbers are not in order": all(a.seq + 1 == b.seq for a, b in pairwise(journal.events)),
        f"it took {took:.1f} s": took < max(2.0, REPLAY_LIMIT_S * events / 100_000),
    }
    row.count(problem="; ".join(problem for problem, fine in checks.items() if not fine))
    row.figure = f"{took:.1f} s of work"
    return row
