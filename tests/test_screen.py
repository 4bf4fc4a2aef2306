"""What the terminal shows of the microphone's level, and of hostile words."""

from __future__ import annotations

import io
from pathlib import Path

from rich.console import Console

from handsfree.checklist.loading import load
from handsfree.language.heard import Heard
from handsfree.screen import LEVEL_WIDTH, TerminalScreen

SMALL = load(Path(__file__).parent / "data" / "small.yaml")


def screen(*, terminal: bool) -> tuple[TerminalScreen, io.StringIO]:
    written = io.StringIO()
    return TerminalScreen(SMALL, Console(file=written, force_terminal=terminal, highlight=False)), written


def test_the_level_is_a_bar_that_grows_with_the_sound() -> None:
    bars: list[int] = []
    for dbfs in (-90.0, -60.0, -30.0, 0.0):
        shown, written = screen(terminal=True)
        shown.level(dbfs)
        bars.append(written.getvalue().count("|"))
    assert bars == [0, 0, LEVEL_WIDTH // 2, LEVEL_WIDTH]


def test_the_next_words_stand_on_a_clean_line() -> None:
    shown, written = screen(terminal=True)
    shown.level(-10.0)
    shown.said("Nose tyres.")
    assert written.getvalue().rpartition("\r")[2].strip() == "Nose tyres."


def test_without_a_terminal_there_is_no_meter() -> None:
    shown, written = screen(terminal=False)
    shown.level(-10.0)
    assert written.getvalue() == ""


def test_the_noise_stands_beside_the_speech_over_it() -> None:
    shown, written = screen(terminal=False)
    shown.heard(Heard("ask", "mumble", confidence=0.5, snr_db=4.2, noise_dbfs=-32.4, too_loud=True, why="unclear"))
    assert "ask, 50% sure, 4 dB over noise, noise -32 dB, too loud, unclear" in written.getvalue()


def test_words_are_shown_as_words_and_not_as_markup() -> None:
    shown, written = screen(terminal=False)
    shown.heard(Heard("ask", "[bold]tyres[/bold]", why="[red]"))
    assert "[bold]tyres[/bold]" in written.getvalue()
    assert "[red]" in written.getvalue()
