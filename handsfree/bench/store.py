"""The trials of a bench on disk, each written as soon as it is made: an interrupted run can go on."""

from __future__ import annotations

import os
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from handsfree import __version__
from handsfree.bench.errors import BenchError
from handsfree.bench.plan import Settings
from handsfree.bench.trial import Trial

TRIALS_NAME = "trials.jsonl"
REPORT_NAME = "report.json"
PAGE_NAME = "report.html"
_TRIAL: TypeAdapter[Trial] = TypeAdapter(Trial)


class Header(Settings):
    """The first line: what the trials are trials of."""

    version: str = __version__


def trials_in(folder: Path) -> list[Trial]:
    """The trials of a bench that was run.  Raises OSError, and ValueError when they are of another version."""
    _, *lines = (folder / TRIALS_NAME).read_bytes().splitlines()
    return [_TRIAL.validate_json(line) for line in lines]


class Store:
    """A folder of trials."""

    def __init__(self, folder: Path, settings: Settings) -> None:
        """Open a folder, new or of an interrupted run.  Raises BenchError when it holds a run of another kind."""
        self._path = folder / TRIALS_NAME
        header = Header(**settings.model_dump())
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self.trials: list[Trial] = self._kept(header) if self._path.exists() else self._begun(header)
        except OSError as error:
            raise BenchError(f"{folder} cannot be used ({error.strerror})", "name another folder with --out") from error

    def add(self, trial: Trial) -> None:
        """Keep one more."""
        with self._path.open("ab") as file:
            file.write(_TRIAL.dump_json(trial) + b"\n")
        self.trials.append(trial)

    def _begun(self, header: Header) -> list[Trial]:
        self._path.write_text(header.model_dump_json() + "\n", encoding="utf-8")
        return []

    def _kept(self, header: Header) -> list[Trial]:
        data = self._path.read_bytes()
        whole = data.rfind(b"\n") + 1
        if whole < len(data):  # the last line was cut off
            os.truncate(self._path, whole)
        first, *rest = data[:whole].splitlines() or [b""]
        try:
            if Header.model_validate_json(first) == header:
                return [_TRIAL.validate_json(line) for line in rest]
        except ValidationError as error:
            raise BenchError(f"{self._path} is damaged", "name another folder with --out") from error
        raise BenchError(
            f"{self._path.parent} holds a bench with other settings, or of another version",
            "give the settings that it began with, or name another folder with --out",
        )
