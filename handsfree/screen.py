"""What the terminal shows of a walk; the walk does not need it."""

from __future__ import annotations

import time

from rich.console import Console
from rich.markup import escape

from handsfree.checklist.models import Checklist
from handsfree.language.heard import Heard
from handsfree.walk import route
from handsfree.walk.state import WalkState

LEVEL_WIDTH = 30
LEVEL_RANGE_DB = 60.0
"""The meter's left end is this far below the loudest possible."""
LEVEL_EVERY_S = 0.1


class TerminalScreen:
    """Prints the conversation as it goes, and after each turn zone, item, progress and time."""

    def __init__(self, checklist: Checklist, console: Console) -> None:
        self._checklist = checklist
        self._console = console
        self._began = time.monotonic()
        self._level_shown = 0.0
        self._shown: tuple[str | None, str | None] = (None, None)

    def level(self, dbfs: float) -> None:
        """How loud the microphone is, on a line that the next words overwrite; only on a terminal."""
        if not self._console.is_terminal or time.monotonic() - self._level_shown < LEVEL_EVERY_S:
            return
        self._level_shown = time.monotonic()
        filled = round(max(0.0, min(1.0, 1 + dbfs / LEVEL_RANGE_DB)) * LEVEL_WIDTH)
        self._console.file.write(f"\r    {'|' * filled:{LEVEL_WIDTH}} {dbfs:4.0f} dB\r")
        self._console.file.flush()

    def said(self, text: str) -> None:
        """The tool speaks."""
        self._clear_level()
        self._console.print(f"  {escape(text)}", soft_wrap=True)

    def heard(self, heard: Heard) -> None:
        """What was heard, and how sure."""
        self._clear_level()
        said = escape(heard.said or "...")
        if heard.outcome == "none":
            self._console.print(f"[dim]      ({said}: not for me)[/dim]", soft_wrap=True)
            return
        snr = "" if heard.snr_db is None else f", {heard.snr_db:.0f} dB over noise"
        noise = "" if heard.noise_dbfs is None else f", noise {heard.noise_dbfs:.0f} dB"
        loud = ", [bold red]too loud[/bold red]" if heard.too_loud else ""
        why = f", {escape(heard.why)}" if heard.why else ""
        sure = f"{heard.outcome}, {heard.confidence:.0%} sure"
        self._console.print(f"[bold]    > {said}[/bold]  [dim]{sure}{snr}{noise}{loud}{why}[/dim]", soft_wrap=True)

    def state(self, state: WalkState) -> None:
        """A line when the walk comes to another item."""
        if state.item is None or (state.zone, state.item) == self._shown:
            return
        self._shown = (state.zone, state.item)
        due = [item for item in self._checklist.items() if route.status(state, item) != "not asked"]
        done = sum(route.is_answered(state, item) for item in due)
        minutes, seconds = divmod(int(time.monotonic() - self._began), 60)
        zone = self._checklist.zone_of(state.item)
        item = self._checklist.item(state.item)
        title = f"{zone.name} / {item.name}   {done} of {len(due)}   {minutes}:{seconds:02d}"
        self._console.rule(f"[cyan]{escape(title)}[/cyan]", align="left")

    def _clear_level(self) -> None:
        if self._level_shown:
            self._level_shown = 0.0
            self._console.file.write("\r" + " " * (LEVEL_WIDTH + 12) + "\r")
