"""What can lie where a file is expected."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

KINDS = ("a pipe", "an endless device", "a folder", "a link to itself", "a terabyte")


def put(file: Path, kind: str) -> Path:
    """One of `KINDS` in the place of a file."""
    remove(file)
    match kind:
        case "a pipe":
            os.mkfifo(file)
        case "an endless device":
            file.symlink_to("/dev/zero")
        case "a folder":
            file.mkdir()
        case "a link to itself":
            file.symlink_to(file)
        case "a terabyte":
            file.touch()
            os.truncate(file, 1 << 40)
        case _:
            raise ValueError(kind)
    return file


def remove(file: Path) -> None:
    """Whatever lies there."""
    if file.is_dir() and not file.is_symlink():
        shutil.rmtree(file)
    elif file.exists() or file.is_symlink():
        file.unlink()
