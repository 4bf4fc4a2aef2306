"""How much memory a program used at its highest.

`ru_maxrss` will not do: Linux keeps it over fork and exec, so that a child of a large test process starts with its
parent's figure.  `VmHWM` belongs to the program alone.
"""

from __future__ import annotations

from pathlib import Path

PRINT_AT_EXIT = (
    "import atexit; from tests.support.memory import highest_kb; atexit.register(lambda: print(highest_kb()))"
)
"""Put before a program given as text: its last line is then the figure in kB."""


def highest_kb() -> int:
    """The most physical memory that this process has held, in kB."""
    line = next(one for one in Path("/proc/self/status").read_text().splitlines() if one.startswith("VmHWM:"))
    return int(line.split()[1])
