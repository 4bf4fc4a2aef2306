"""What the terminal shows of a walk; the walk does not need it."""

from __future__ import annotations

import math
import time

from rich.console import Console
from rich.text import Text

from handsfree.checklist.models import Checklist
from handsfree.language.heard import Heard
from handsfree.shown import harmless
from handsfree.walk import route
from handsfree.walk.state import WalkState

LEVEL_WIDTH = 30
LEVEL_RANGE_DB = 60.0
"""The meter's left end is this far below the loudest possible."""
LEVEL_EVERY_S = 0.1
LONGEST = 5000
"""Characters that are shown of anything."""
NOTHING = "no sound at all: is it muted?"
NOTHING_FOR_S = 1.5
"""Shown when nothing but zeros have come for so long.  Some headsets shut themselves between words."""


class TerminalScreen:
    """Prints the conversation as it goes, and after each turn zone, item, progress and time."""

    def __init__(self, checklist: Checklist, console: Console) -> None:
        self._checklist = checklist
        self._console = console
        self._began = time.monotonic()
        self._level_shown = 0.0
        self._last_sound = 0.0
        self._shown: tuple[str | None, str | None] = (None, None)

    def level(self, dbfs: float) -> None:
        """How loud the microphone is, on a line that the next words overwrite; only on a terminal."""
        if not self._console.is_terminal or time.monotonic() - self._level_shown < LEVEL_EVERY_S:
            return
        before, self._level_shown = self._level_shown, time.monotonic()
        if dbfs > -math.inf or not before:
            self._last_sound = self._level_shown
        if self._level_shown - self._last_sound > NOTHING_FOR_S:
            meter = f"{NOTHING:{LEVEL_WIDTH + 8}}"
        else:
            filled = round(max(0.0, min(1.0, 1 + dbfs / LEVEL_RANGE_DB)) * LEVEL_WIDTH)
            meter = f"{'|' * filled:{LEVEL_WIDTH}} {dbfs:4.0f} dB"
        self._console.file.write(f"\r    {meter}\r")
        self._console.file.flush()

    def said(self, text: str) -> None:
        """The tool speaks."""
        self._clear_level()
        self._print(Text(f"  {harmless(text)}"))

    def heard(self, heard: Heard) -> None:
        """What was heard, and how sure."""
        self._clear_level()
        said = harmless(heard.said or "...")
        if heard.outcome == "none":
            self._print(Text(f"      ({said}: not for me)", "dim"))
            return
        snr = "" if heard.snr_db is None else f", {heard.snr_db:.0f} dB over noise"
        noise = "" if heard.noise_dbfs is None else f", noise {heard.noise_dbfs:.0f} dB"
        loud = (", ", ("too loud", "bold red")) if heard.too_loud else ()
        why = f", {harmless(heard.why)}" if heard.why else ""
        sure = f"{heard.outcome}, {heard.confidence:.0%} sure{snr}{noise}"
        about = Text.assemble(sure, *loud, why, style="dim")
        self._print(Text.assemble((f"    > {said}", "bold"), "  ", about))

    def trouble(self, message: str, hint: str) -> None:
        """Something goes wrong, or is right again, and the walk is not over; it may be that nothing can be said."""
        self._clear_level()
        if self._console.is_terminal:
            self._console.bell()
        self._print(Text(f"    ! {harmless(message)}", "bold red"))
        if hint:
            self._print(Text(f"      what to do: {harmless(hint)}"))

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
        self._console.rule(Text(harmless(title), "cyan"), align="left")

    def _print(self, text: Text) -> None:
        """As it is: no markup is looked for in it."""
        text.truncate(LONGEST)
        self._console.print(text, soft_wrap=True)

    def _clear_level(self) -> None:
        if self._level_shown:
            self._level_shown = 0.0
            self._console.file.write("\r" + " " * (LEVEL_WIDTH + 12) + "\r")
