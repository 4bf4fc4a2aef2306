"""What the terminal shows of the microphone's level, and of hostile words."""

from __future__ import annotations

import io
import math
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from rich.console import Console

from handsfree.checklist.loading import load
from handsfree.language.heard import Heard
from handsfree.screen import LEVEL_WIDTH, LONGEST, NOTHING, TerminalScreen

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


HOSTILE = "\x1b[2J\x9b31m\a\r\n\u202e\u200b"


@pytest.mark.parametrize("text", ["[bold]x[/bold] [/] [link=file:///x]y[/link]", ":warning:", "x\\\\", "x\\", "[red"])
def test_every_text_is_shown_as_it_is(text: str) -> None:
    ways: list[Callable[[TerminalScreen], None]] = [
        lambda shown: shown.said(text),
        lambda shown: shown.heard(Heard("ask", text)),
        lambda shown: shown.heard(Heard("none", text)),
        lambda shown: shown.heard(Heard("ask", "x", why=text)),
        lambda shown: shown.trouble(text, "x"),
        lambda shown: shown.trouble("x", text),
    ]
    for show in ways:
        shown, written = screen(terminal=False)
        show(shown)
        assert text in written.getvalue()


def test_nothing_of_a_text_acts_on_the_terminal() -> None:
    shown, written = screen(terminal=False)
    shown.said(HOSTILE)
    shown.heard(Heard("ask", HOSTILE, why=HOSTILE))
    shown.heard(Heard("none", HOSTILE))
    shown.trouble(HOSTILE, HOSTILE)
    lines = written.getvalue().split("\n")
    assert all(line.isprintable() for line in lines)
    assert len(lines) == 6  # no line that the text would have begun


def test_a_long_text_is_shown_up_to_a_length() -> None:
    shown, written = screen(terminal=False)
    shown.said("word " * 100_000)
    assert len(written.getvalue()) < 2 * LONGEST


def test_trouble_rings_a_bell_on_a_terminal_because_it_may_be_that_nothing_can_be_said() -> None:
    for terminal in (True, False):
        shown, written = screen(terminal=terminal)
        shown.trouble("I cannot speak.", "plug it in")
        assert written.getvalue().count("\a") == terminal


def test_nothing_but_zeros_are_shown_after_a_while_until_there_is_sound(monkeypatch: pytest.MonkeyPatch) -> None:
    now = 100.0
    monkeypatch.setattr(time, "monotonic", lambda: now)
    shown, written = screen(terminal=True)
    complaints: list[bool] = []
    for dbfs in [-math.inf] * 20 + [-40.0]:
        written.truncate(0)
        shown.level(dbfs)
        complaints.append(NOTHING in written.getvalue())
        now += 0.125
    first = complaints.index(True)
    assert first == 13  # 1.625 s
    assert complaints == [False] * first + [True] * (20 - first) + [False]
