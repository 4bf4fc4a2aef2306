"""Every fault in full, as one table: ``python -m tests.faults`` (see tests/faults.sh).

Exit code 0 when nothing was lost or invented and everything survived, else 1.
"""

from __future__ import annotations

import argparse
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.faults.clock import clock_jumps
from tests.faults.conversations import conversations
from tests.faults.devices import devices
from tests.faults.disk import disk_faults
from tests.faults.figures import Row, as_table
from tests.faults.fuzzing import fuzz
from tests.faults.hostile import hostile
from tests.faults.kills import cuts, kills
from tests.faults.load import long_log, long_walk
from tests.faults.tampering import tampering
from tests.journal.recorded import new_key, sealed_walk

BEGIN, END = "<!-- faults: written by tests/faults.sh -->", "<!-- faults: end -->"
_MEMORY = Path("/dev/shm")
"""Where thousands of small logs are quick; what is timed is timed on the real disk."""


def rows(fast: Path, disk: Path) -> dict[str, Callable[[], Row]]:
    """By name; each makes its row when it is called."""
    key = new_key(fast)
    walk = sealed_walk(fast / "sealed", key)
    return {
        "disk": lambda: disk_faults(fast / "disk"),
        "kills": lambda: kills(fast / "kills", 1000),
        "cuts": lambda: cuts(walk, fast / "cut"),
        "tampering": lambda: tampering(walk, random.Random(1)),
        "devices": lambda: devices(disk / "devices"),
        "clock": lambda: clock_jumps(fast / "clock"),
        "load": lambda: long_walk(disk / "load", 1000),
        "replay": lambda: long_log(fast / "replay", 100_000),
        "conversations": lambda: conversations(10_000),
        "fuzz": fuzz,
        "hostile": lambda: hostile(fast / "hostile"),
    }


def main() -> int:
    """Make the faults that were asked for, all if none was; print the table, and write it into a document."""
    parser = argparse.ArgumentParser(prog="tests/faults.sh", description=__doc__)
    parser.add_argument("only", nargs="*", help="disk, kills, cuts, tampering, devices, clock, load, ...; else all")
    parser.add_argument("--readme", type=Path, help="a document with the two marks between which the table belongs")
    given = parser.parse_args()
    made: list[Row] = []
    with (
        tempfile.TemporaryDirectory(prefix="faults-", dir=_MEMORY if _MEMORY.is_dir() else None) as fast,
        tempfile.TemporaryDirectory(prefix="faults-") as disk,
    ):
        for name, make in rows(Path(fast), Path(disk)).items():
            if given.only and name not in given.only:
                continue
            began = time.monotonic()
            folder = Path(fast) / name
            folder.mkdir(exist_ok=True)
            row = make()
            shutil.rmtree(folder, ignore_errors=True)
            print(
                f"{name}: {row.injected:,} made, {row.survived:,} survived, {time.monotonic() - began:.0f} s",
                flush=True,
            )
            print(*(f"  {problem}" for problem in row.problems), sep="\n", end="\n" if row.problems else "", flush=True)
            made.append(row)
    table = as_table(made)
    print(f"\n{table}")
    if given.readme:
        _write(given.readme, table)
    return 0 if all(row.good for row in made) else 1


def _write(document: Path, table: str) -> None:
    text = document.read_text(encoding="utf-8")
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not (begin and end):
        sys.exit(f"{document} has not the marks {BEGIN} and {END}")
    document.write_text(f"{before}{BEGIN}\n{table}\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
