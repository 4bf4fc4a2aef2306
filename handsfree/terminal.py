"""What commands print: rows for people or machines, and errors that say what to do."""

from __future__ import annotations

import sys
from typing import Any, NoReturn

import typer

from handsfree.shown import harmless, json_line

BAD_INPUT, INTERRUPTED = 2, 3
"""Exit codes beside 0 (done) and 1 (``check`` found errors): something given is unusable; the walk did not end."""


def row_out(row: dict[str, Any], as_json: bool, *lines: str) -> None:
    """One row: for machines a JSON object on a line, for people the lines."""
    typer.echo(json_line(row) if as_json else "\n".join(map(harmless, lines)))


def complain(message: str, hint: str, *more: str) -> None:
    """Say what is wrong, and what to do about it."""
    for line in (f"handsfree: {message}", *more, *([f"  what to do: {hint}"] if hint else [])):
        typer.echo(harmless(line), err=True)


def fail(message: str, hint: str, *more: str) -> NoReturn:
    """The same, and end."""
    complain(message, hint, *more)
    sys.exit(BAD_INPUT)
