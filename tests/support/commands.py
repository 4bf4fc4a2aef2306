"""Commands run in this process, and what they printed."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from handsfree import cli

SMALL = str(Path(__file__).parents[1] / "data" / "small.yaml")
BAD_INPUT, INTERRUPTED = 2, 3
TO_THE_END = ("negative", "covers off", "nose gear serviceable", "pressure on", "pins proud", "lines dry",
              "one eight five", "disc red", "pump off", "all caps closed", "four", "I accept")  # fmt: skip


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str

    @property
    def rows(self) -> list[dict[str, Any]]:
        return [json.loads(line) for line in self.out.splitlines()]

    def failed(self, message: str) -> None:
        """It ended with one line that says what is wrong, and one that says what to do."""
        assert self.code == BAD_INPUT, (self.out, self.err)
        lines = self.err.splitlines()
        assert message in lines[0], self.err
        assert lines[0].startswith("handsfree: ")
        assert [line for line in lines[1:] if line.startswith("  what to do: ")], self.err
        assert "Traceback" not in self.err


class Commands:
    """Runs a command in this process."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self._monkeypatch = monkeypatch
        self._capsys = capsys

    def __call__(self, *arguments: str | Path, typed: Sequence[str] = ()) -> Ran:
        self._capsys.readouterr()
        self._monkeypatch.setattr(sys, "argv", ["handsfree", *map(str, arguments)])
        self._monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in typed)))
        with pytest.raises(SystemExit) as ended:
            cli.main()
        captured = self._capsys.readouterr()
        return Ran(int(ended.value.code or 0), captured.out, captured.err)

    def walk(self, log: Path, typed: Sequence[str], *more: str | Path) -> Ran:
        known = ["--who", "AB", "--registration", "Q7KTA"] if "--resume" not in more else []
        return self("walk", SMALL, "--typed", "--log", log, *known, *more, typed=typed)
