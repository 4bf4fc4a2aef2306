"""A whole walk on disk, sealed, with clips."""

from __future__ import annotations

import shutil
from pathlib import Path

from handsfree.journal.keys import SigningKey, make_key
from handsfree.journal.writer import JournalWriter
from tests.walk.performance import tell


def sealed_walk(folder: Path, key: SigningKey | None = None) -> Path:
    """A walk to its end."""
    return tell(folder, key).folder


def new_key(folder: Path, name: str = "key.pem") -> SigningKey:
    return make_key(folder / name)


def copied(walk: Path, to: Path) -> Path:
    shutil.rmtree(to, ignore_errors=True)
    shutil.copytree(walk, to)
    return to


def reopened(walk: Path) -> JournalWriter:
    return JournalWriter.reopen(walk)[0]
