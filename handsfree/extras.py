"""The extras of this program, and the command that brings one to where the program runs."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path
from typing import Final, Literal

Extra = Literal["authoring", "bench", "class", "debrief"]
_NAME: Final = "handsfree-walkaround"
_ABOVE: Final = Path(__file__).parents[1]
"""A source tree, where the program was installed from one to be edited."""


def how_to_install(extra: Extra, above: Path = _ABOVE) -> str:
    """A command as a shell takes it: pip of this very Python, and the source tree where there is one ``above``."""
    wanted = ["-e", f"{above}[{extra}]"] if (above / "pyproject.toml").is_file() else [f"{_NAME}[{extra}]"]
    return shlex.join([sys.executable, "-m", "pip", "install", *wanted])
