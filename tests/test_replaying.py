"""`handsfree replay`: the walk as lines, from any place, and through a real terminal and loudspeaker."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from demo.virtual_audio import EAR_RATE, VirtualAudio
from tests.support.commands import TO_THE_END, Commands
from tests.support.spoken_walk import spoken_walk

ROOT = Path(__file__).parents[1]
SAID = ("negative", "covers off", "cut on tyre two", "affirm", "pressure on", "fuel leak left wing", "affirm")


@pytest.fixture(scope="module")
def walk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return spoken_walk(tmp_path_factory.mktemp("spoken") / "walk", SAID)


def test_the_whole_walk_is_shown_at_once(run: Commands, walk: Path) -> None:
    ran = run("replay", walk, "--silent")
    assert ran.code == 0, ran.err
    lines = [line[14:] for line in ran.out.splitlines()]
    start = lines.index("Nose gear, tyres and leaks?")
    assert lines[start - 5 : start + 5] == [
        "==== zone nose: Nose",
        "Nose.",
        "Pitot covers?",
        "    > covers off  (pass, 100% sure)",
        "Caution: Stay out of the line of the wheels.",
        "Nose gear, tyres and leaks?",
        "    > cut on tyre two  (finding, 100% sure)",
        "==== finding 1: nose gear: cut, tyre two (major, ATA 32)",
        "Finding: cut, tyre two. Affirm?",
        "    > affirm  (control, 100% sure)",
    ]
    assert ran.out.splitlines()[0].startswith("  0:00     3  Small test aircraft")


@pytest.mark.parametrize(
    ("place", "first"),
    [
        ("zone:left-wing", "==== zone left-wing: Left wing"),
        ("zone left-wing", "==== zone left-wing: Left wing"),
        ("finding:2", "Brake wear pins?"),
        ("1", "Small test aircraft, walk round before flight."),
    ],
)
def test_from_a_place(run: Commands, walk: Path, place: str, first: str) -> None:
    assert run("replay", walk, "--silent", "--from", place).out.splitlines()[0][14:].startswith(first)


def test_from_an_event(run: Commands, walk: Path) -> None:
    rows = run("replay", walk, "--json").rows
    event = next(row["event"] for row in rows if row.get("words") == "cut on tyre two")
    assert run("replay", walk, "--json", "--from", str(event)).rows == [row for row in rows if row["event"] >= event]


def test_only_findings(run: Commands, walk: Path) -> None:
    ran = run("replay", walk, "--silent", "--only", "findings")
    assert "covers off" not in ran.out
    assert [line[14:] for line in ran.out.splitlines() if "====" in line] == [
        "==== finding 1: nose gear: cut, tyre two (major, ATA 32)",
        "==== finding 2: fuel leak, left wing (major, ATA --)",
    ]
    second = run("replay", walk, "--silent", "--only", "findings", "--from", "finding:2")
    assert "finding 1:" not in second.out
    assert second.out in ran.out


def test_for_machines_each_cue_is_a_row(run: Commands, walk: Path) -> None:
    rows = run("replay", walk, "--json").rows
    assert {row["cue"] for row in rows} >= {"prompt", "answer", "mark", "remark"}
    answer = next(row for row in rows if row.get("words") == "covers off")
    assert (answer["outcome"], answer["clip_state"], answer["item"]) == ("pass", "kept", "pitot-covers")
    assert answer["clip"]["file"].startswith("clips/")


def test_a_removed_clip_is_shown_with_its_words(run: Commands, tmp_path: Path) -> None:
    walk = spoken_walk(tmp_path / "walk", SAID[:2])
    run("forget", walk)
    assert "> covers off  (pass, 100% sure)  [clip removed]" in run("replay", walk, "--silent").out


def test_a_typed_walk_never_had_clips(run: Commands, tmp_path: Path) -> None:
    run.walk(tmp_path / "walk", TO_THE_END)
    ran = run("replay", tmp_path / "walk", "--silent")
    assert "> covers off  (pass, 100% sure)\n" in ran.out
    assert "the walk is over: complete" in ran.out
    run("replay", tmp_path / "walk", "--rehear").failed("no clip in")
    run("replay", tmp_path / "walk", "--only", "findings").failed("there is no finding")


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--from", "zone:attic"), "'zone:attic' is not in this log"),
        (("--from", "finding:9"), "'finding:9' is not in this log"),
        (("--from", "99999"), "'99999' is not in this log"),
        (("--from", "the end"), "'the end' is no place in a log"),
        (("--only", "passes"), "--only knows nothing of 'passes'"),
        (("--speed", "9"), "a speed of 9 cannot be followed"),
        (("--speed", "nan"), "a speed of nan cannot be followed"),
        (("--rehear", "--from", "2"), "--rehear plays nothing"),
    ],
)
def test_what_cannot_be_is_one_clear_error(run: Commands, walk: Path, options: tuple[str, ...], message: str) -> None:
    run("replay", walk, *options).failed(message)


def test_nothing_in_a_log_acts_on_the_terminal(run: Commands, tmp_path: Path) -> None:
    run.walk(tmp_path / "walk", ("negative", "\x1b[2J\x1b]0;title\x07 covers"))
    ran = run("replay", tmp_path / "walk", "--silent")
    assert ran.code == 0
    assert all(line.isprintable() for line in ran.out.splitlines())


def test_in_a_terminal_it_is_heard_and_keys_lead_through_it(walk: Path, virtual_audio: VirtualAudio) -> None:
    """The whole program: the first finding is jumped to, its clip is heard, and then it is ended."""
    ours, theirs = pty.openpty()
    command = [sys.executable, "-c", "from handsfree.cli import main; main()", "replay", str(walk), "--speed", "2"]
    environment = os.environ | virtual_audio.environment | {"PYTHONPATH": str(ROOT), "PULSE_SINK": "ear"}
    with virtual_audio.listening() as heard:
        program = subprocess.Popen(command, cwd=ROOT, env=environment, stdin=theirs, stdout=theirs, stderr=theirs)
        os.close(theirs)
        shown = until(ours, "Small test aircraft")
        os.write(ours, b"f")
        shown += until(ours, "Finding: cut, tyre two. Affirm?")
        os.write(ours, b"q")
        assert program.wait(timeout=20) == 0
    os.close(ours)
    assert "space pauses" in shown
    assert "cut on tyre two" in shown
    assert "Pitot covers?" not in shown
    loud = np.abs(heard.samples.astype(int)) > 500
    assert loud.sum() / EAR_RATE > 0.2, "nothing was heard"


def until(terminal: int, text: str) -> str:
    """What comes onto the terminal, up to this text."""
    came, limit = "", time.monotonic() + 30
    while text not in came:
        assert time.monotonic() < limit, came
        came += os.read(terminal, 4096).decode(errors="replace")
    return came
