"""The clock of the day jumps: order comes from the numbers, and times from the clock that never jumps."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

from handsfree.journal import events as log
from handsfree.journal.errors import JournalError
from handsfree.journal.reader import AlteredError, read
from handsfree.journal.timing import elapsed_s
from handsfree.journal.verification import verify
from handsfree.journal.writer import JournalWriter
from handsfree.language.heard import Heard
from handsfree.replay import replay
from handsfree.session import Session
from handsfree.walk.events import Begin
from tests.faults.figures import Row
from tests.walk.conversation import SMALL, small
from tests.walk.performance import Ears, Mouth, Screen, story_as_heard

_START = datetime(2026, 3, 29, 0, 59, 59, 900_000, tzinfo=UTC)
_FAR = timezone(timedelta(hours=14))
JUMPS: dict[str, Callable[[datetime], datetime]] = {
    "set back an hour": lambda now: now - timedelta(hours=1),
    "set back twenty years": lambda now: now.replace(year=now.year - 20),
    "set forward a year": lambda now: now + timedelta(days=365),
    "another time zone": lambda now: now.astimezone(_FAR),
}
_LONGEST_S = 60.0


def clock_jumps(folder: Path, *, every: int = 1) -> Row:
    """At each ``every``-th look at the clock it jumps in each way; and a leap second stands in a log."""
    row = Row("the clock is set back, forward, to another zone; a leap second")
    heard = story_as_heard()
    looks = _looks(folder / "counted", heard)
    for at in range(1, looks + 1, every):
        for name, jump in JUMPS.items():
            walk = folder / f"{at}-{name.replace(' ', '-')}"
            state = _walk(walk, heard, _jumping(at, jump))
            row.count(problem="; ".join(f"look {at}, {name}: {one}" for one in _problems(walk, heard, state)))
    row.count(problem=_leap_second(folder / "counted"))
    return row


def _jumping(at: int, jump: Callable[[datetime], datetime]) -> Callable[[], datetime]:
    looked = 0

    def clock() -> datetime:
        nonlocal looked
        looked += 1
        now = _START + timedelta(milliseconds=looked)
        return now if looked < at else jump(now)

    return clock


def _looks(folder: Path, heard: tuple[Heard, ...]) -> int:
    looked = 0

    def clock() -> datetime:
        nonlocal looked
        looked += 1
        return _START

    _walk(folder, heard, clock)
    return looked


def _walk(folder: Path, heard: tuple[Heard, ...], clock: Callable[[], datetime]) -> Session:
    text = SMALL.read_bytes()
    writer = JournalWriter.create(folder, text, clock)
    session = Session(small(), writer, Mouth(), Ears(iter(heard)), Screen())
    session.begin(Begin(level_check=False), hashlib.sha256(text).hexdigest(), "synthetic")
    writer.close()
    return session


def _problems(walk: Path, heard: tuple[Heard, ...], session: Session) -> list[str]:
    events = read(walk).events
    logged = [one.said for one in events if isinstance(one, log.HeardEvent)]
    offsets = [one.offset_s for one in events]
    checks = {
        f"the log is {verify(walk).state}": verify(walk).state == "intact",
        "answers are out of order": logged == [one.said for one in heard],
        "the steady clock went back": offsets == sorted(offsets),
        "it does not lead to the same walk": replay(small(), events) == (session.state, []),
        "the walk's length follows the jump": 0 <= elapsed_s(events) < _LONGEST_S,
    }
    return [problem for problem, fine in checks.items() if not fine]


def _leap_second(walk: Path) -> str:
    """Our clocks never show one; a log that does is refused, at that line, and stays as it is."""
    file = walk / "log.jsonl"
    before = file.read_bytes()
    first, rest = before.split(b"\n", 1)
    file.write_bytes(first.replace(b":59.900Z", b":60.900Z") + b"\n" + rest)
    try:
        read(walk)
    except AlteredError as error:
        return "" if error.event == 1 else f"it is noticed at event {error.event}"
    except JournalError as error:
        return error.message
    return "a leap second is taken for a time"
