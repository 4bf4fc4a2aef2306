"""A sealed log with one thing changed, in every way that a single change can be made: none may look intact."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from handsfree.journal.seal import SEAL_NAME
from handsfree.journal.verification import verify
from tests.faults.figures import Row


@dataclass
class Tampered:
    """How often, and what was taken for intact."""

    tried: int = 0
    missed: list[str] = field(default_factory=list[str])


def tampering(walk: Path, chance: random.Random) -> Row:
    """All of them, as a row of the table: what is found has survived."""
    row = Row("a byte of a sealed log changed, left out or put in; events swapped, removed, repeated")
    found = tamper(walk, chance)
    row.injected, row.survived, row.invented = found.tried, found.tried - len(found.missed), len(found.missed)
    row.problems = found.missed
    return row


def tamper(walk: Path, chance: random.Random, *, every: int = 1) -> Tampered:
    """Each ``every``-th of all changes of a byte, and of all swaps, removals and repetitions of events."""
    found = Tampered()
    for file, forgeries in ((walk / "log.jsonl", _log_changes), (walk / SEAL_NAME, _byte_changes)):
        raw = file.read_bytes()
        for number, (what, changed) in enumerate(forgeries(raw, chance)):
            if number % every == 0:
                file.write_bytes(changed)
                found.tried += 1
                if verify(walk).state not in ("altered", "cut short", "wrongly signed"):
                    found.missed.append(f"{file.name}: {what}")
        file.write_bytes(raw)
    return found


def _log_changes(raw: bytes, chance: random.Random) -> Iterator[tuple[str, bytes]]:
    yield from _byte_changes(raw, chance)
    lines = raw.splitlines(keepends=True)
    for one in range(len(lines)):
        yield f"event {one + 1} removed", b"".join(lines[:one] + lines[one + 1 :])
        for other in range(one):
            swapped = [*lines]
            swapped[one], swapped[other] = swapped[other], swapped[one]
            yield f"events {other + 1} and {one + 1} swapped", b"".join(swapped)
        for at in range(len(lines) + 1):
            yield f"event {one + 1} repeated at {at + 1}", b"".join([*lines[:at], lines[one], *lines[at:]])


def _byte_changes(raw: bytes, chance: random.Random) -> Iterator[tuple[str, bytes]]:
    """Each byte with one bit turned, each time another, by chance; left out; and one put in before it."""
    for at, byte in enumerate(raw):
        turned = byte ^ 1 << chance.randrange(8)
        yield f"byte {at} changed", raw[:at] + bytes([turned]) + raw[at + 1 :]
        yield f"byte {at} left out", raw[:at] + raw[at + 1 :]
        yield f"a byte put in at {at}", raw[:at] + bytes([chance.randrange(256)]) + raw[at:]
