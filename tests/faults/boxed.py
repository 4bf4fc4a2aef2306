"""A command in a child of its own, with a terminal to write to, little memory and little time."""

from __future__ import annotations

import gc
import os
import pty
import resource
import signal
import sys
import tempfile
import traceback
import tty
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

# What the commands load when they run is loaded here once, and not again in every child.
from handsfree import cli, listeners, mouths, steadfast
from handsfree.debrief import gathering, page, summary
from handsfree.journal import belonging, keys, privacy, writer
from handsfree.speaking import rendering
from handsfree.walk import machine

LOADED = (listeners, mouths, steadfast, summary, gathering, page, belonging, keys, privacy, writer, rendering, machine)

MOST_CPU_S = 5
"""Of a processor; the machine may be busy with something else."""
MOST_MEMORY = 500_000_000
"""Bytes, on top of what this program holds anyway."""
PATIENCE_S = 120
"""By the clock: who takes longer waits for something that never comes."""


@dataclass(frozen=True, slots=True)
class Ended:
    """How it went."""

    code: int
    """What it exited with; negative: the signal that ended it."""
    shown: str
    """All that reached the terminal."""
    cpu_s: float

    @property
    def acted(self) -> str:
        """What of it acts on a terminal, or cannot be seen there, each once."""
        return "".join(dict.fromkeys(one for one in self.shown if not (one.isprintable() or one in "\r\n")))

    @property
    def errors(self) -> list[str]:
        """The errors that were told."""
        return [line for line in self.shown.splitlines() if line.startswith("handsfree: ")]

    @property
    def broke(self) -> str:
        """How it ended badly: killed, or with a traceback; else nothing."""
        if self.code < 0:
            return f"killed by {signal.Signals(-self.code).name} after {self.cpu_s:.1f} s of work"
        if "Traceback" in self.shown:
            return f"a traceback: {self.shown.strip().splitlines()[-1][:200]}"
        return ""


def command(*arguments: str | Path, typed: bytes = b"", environment: Mapping[str, str] | None = None) -> Ended:
    """A command of the program, as it is typed in a terminal."""

    def run() -> None:
        sys.argv = ["handsfree", *map(str, arguments)]
        cli.main()

    return boxed(run, typed=typed, environment=environment)


def boxed(action: Callable[[], object], *, typed: bytes = b"", environment: Mapping[str, str] | None = None) -> Ended:
    """Anything in a child; what is typed comes from a file."""
    ours, theirs = pty.openpty()
    tty.setraw(theirs)
    with tempfile.TemporaryFile() as keyboard:
        keyboard.write(typed)
        keyboard.seek(0)
        gc.freeze()  # else the child's collector would look at, and so copy, all that this process holds
        child = os.fork()
        if child == 0:
            _inside(action, (keyboard.fileno(), theirs), environment or {})
        gc.unfreeze()
    os.close(theirs)
    shown = bytearray()
    with suppress(OSError):  # so ends a terminal whose last writer is gone
        while some := os.read(ours, 65_536):
            shown += some
    os.close(ours)
    _, status, used = os.wait4(child, 0)
    return Ended(os.waitstatus_to_exitcode(status), shown.decode("utf-8", "replace"), used.ru_utime + used.ru_stime)


def _inside(action: Callable[[], object], ends: tuple[int, int], environment: Mapping[str, str]) -> NoReturn:
    code = 1
    try:
        os.dup2(ends[0], 0)
        os.dup2(ends[1], 1)
        os.dup2(ends[1], 2)
        os.closerange(3, 256)
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115  # for the rest of this process
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stderr = open(2, "w", encoding="utf-8", errors="backslashreplace", closefd=False)  # noqa: SIM115
        os.environ |= {"TERM": "dumb", "COLUMNS": "200"} | dict(environment)  # no colours of our own
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        signal.setitimer(signal.ITIMER_REAL, PATIENCE_S)
        resource.setrlimit(resource.RLIMIT_CPU, (MOST_CPU_S, MOST_CPU_S + 1))
        held = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (held + MOST_MEMORY, held + MOST_MEMORY))
        action()
        code = 0
    except SystemExit as ended:
        code = ended.code if isinstance(ended.code, int) else 0
    except BaseException:  # noqa: BLE001  # it is told by its traceback
        traceback.print_exc()
    finally:
        with suppress(Exception):
            sys.stdout.flush()
            sys.stderr.flush()
        os._exit(code)
