"""The command ``handsfree bench``."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
import wave
from collections.abc import Iterator
from itertools import chain
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from typer.testing import CliRunner

from handsfree.bench import limits, running
from handsfree.bench.running import Job, Place
from handsfree.bench.scene import Condition, make_scene
from handsfree.bench.store import PAGE_NAME, REPORT_NAME, TRIALS_NAME
from handsfree.bench.table import BEGIN, END
from handsfree.bench.targets import RIGHT, Target
from handsfree.bench.trial import Trial
from handsfree.bench.voices import REPORTING_VOICES
from handsfree.cli import app
from handsfree.hearing.recogniser import RATE
from tests.bench.made import trial

CHECKLIST = str(Path(__file__).parents[1] / "data" / "three-items.yaml")


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Trials are made in no time, all right; gives the seeds of those that were made."""
    seeds: list[int] = []

    def at_once(_processes: int, _work: object, _place: Place, lots: list[list[Job]]) -> Iterator[Trial]:
        for job in chain.from_iterable(lots):
            seeds.append(job.seed)
            yield trial(seed=job.seed, condition=job.condition.name, voice=job.voice, wanted=job.task.wanted)

    monkeypatch.setattr(running, "run_here", at_once)
    return seeds


def run(*options: str | Path) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, ["bench", CHECKLIST, *map(str, options)])
    return done.exit_code, done.stdout, done.stderr


def test_it_leaves_trials_a_report_and_a_page(made: list[int], tmp_path: Path) -> None:
    code, shown, _ = run("--count", "20", "--out", tmp_path)
    assert code == 0
    assert {path.name for path in tmp_path.iterdir()} == {TRIALS_NAME, REPORT_NAME, PAGE_NAME}
    assert "right at first" in shown
    assert str(tmp_path / PAGE_NAME) in shown.replace("\n", "")


def test_json_is_the_report(made: list[int], tmp_path: Path) -> None:
    _, shown, _ = run("--count", "20", "--seed", "4", "--json", "--out", tmp_path)
    report = json.loads(shown)
    assert report["settings"]["seed"] == 4
    assert report == json.loads((tmp_path / REPORT_NAME).read_text(encoding="utf-8"))


def test_an_interrupted_bench_goes_on(made: list[int], tmp_path: Path) -> None:
    run("--count", "20", "--out", tmp_path)
    whole = list(made)
    trials = tmp_path / TRIALS_NAME
    trials.write_text("".join(trials.read_text(encoding="utf-8").splitlines(keepends=True)[:8]), encoding="utf-8")
    made.clear()
    code, _, _ = run("--count", "20", "--out", tmp_path)
    assert (code, sorted(made)) == (0, sorted(whole[7:]))


def test_an_interruption_leaves_a_report_and_says_how_to_go_on(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def interrupted(_processes: int, _work: object, _place: Place, lots: list[list[Job]]) -> Iterator[Trial]:
        yield trial(seed=lots[0][0].seed)
        raise KeyboardInterrupt

    monkeypatch.setattr(running, "run_here", interrupted)
    code, shown, said = run("--count", "20", "--out", tmp_path)
    assert code == 3
    assert "interrupted" in " ".join(shown.split())
    assert "Go on with:" in said


def test_a_short_bench_fails_when_it_got_worse(
    made: list[int], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(limits, "SHORT_LIMITS", (Target(RIGHT, "clean", 1.0),))
    assert run("--short", "--out", tmp_path)[0] == 0
    monkeypatch.setattr(limits, "SHORT_LIMITS", (Target(RIGHT, "clean", 1.01),))
    code, _, said = run("--short", "--out", tmp_path)
    assert code == 1
    assert "worse than it was: right at first, clean: 100.00 %" in said


def test_the_table_is_written_into_a_readme_without_measuring(made: list[int], tmp_path: Path) -> None:
    run("--count", "20", "--out", tmp_path)
    made.clear()
    readme = tmp_path / "README.md"
    readme.write_text(f"{BEGIN}\n{END}\n", encoding="utf-8")
    assert run("--out", tmp_path, "--readme", readme)[0] == 0
    assert made == []
    assert "| right at first | 100.0 % |" in readme.read_text(encoding="utf-8")


def handsfree(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", "from handsfree.cli import main; main()", "bench", *arguments]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_what_cannot_be_used_is_one_line(tmp_path: Path) -> None:
    for arguments in (("--readme", tmp_path / "README.md"), ("--readme", "x", "--out", tmp_path), ("no-checklist",)):
        done = handsfree(*arguments)
        assert done.returncode == 2, arguments
        assert "Traceback" not in done.stderr
        assert "what to do:" in done.stderr


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_the_ears_are_as_good_as_they_were(tmp_path: Path, model: Path) -> None:
    """The short bench on the shipped checklist, from the command to the page."""
    done = handsfree("--short", "--out", tmp_path, "--model", model)
    print(done.stdout)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / PAGE_NAME).exists()


@pytest.mark.slow
def test_a_real_interruption_is_no_traceback(tmp_path: Path, model: Path) -> None:
    program = "from handsfree.cli import main; main()"
    command = [sys.executable, "-c", program, "bench", "--count", "50", "--out", str(tmp_path), "--model", str(model)]
    command = ["env", "--default-signal=INT", *command]  # who runs the tests may have it ignored
    with subprocess.Popen(command, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as bench:
        trials = tmp_path / TRIALS_NAME
        while bench.poll() is None and not (trials.exists() and trials.read_bytes().count(b"\n") > 1):
            time.sleep(0.2)
        bench.send_signal(signal.SIGINT)
        _, said = bench.communicate(timeout=120)
    assert bench.returncode == 3, said
    assert "Go on with:" in said
    assert "Traceback" not in said


def write_wav(path: Path, sound: NDArray[np.int16]) -> None:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(sound.tobytes())


@pytest.mark.slow
def test_recordings_alone(tmp_path: Path, model: Path) -> None:
    """``--count 0``: nobody synthetic speaks."""
    folder = tmp_path / "recordings"
    folder.mkdir()
    write_wav(folder / "one.wav", make_scene("cut on tyre two", REPORTING_VOICES[0], Condition("clean", None), 1).sound)
    (folder / "manifest.csv").write_text("file,item,phrase\none.wav,tyres,cut on tyre two\n", encoding="utf-8")
    done = handsfree(CHECKLIST, "--count", "0", "--audio", folder, "--out", tmp_path / "out", "--model", model)
    assert done.returncode == 0, done.stderr
    report = json.loads((tmp_path / "out" / REPORT_NAME).read_text(encoding="utf-8"))
    assert (report["recorded"]["right"]["hits"], report["recorded"]["right"]["of"]) == (1, 1)
    assert "Recordings" in (tmp_path / "out" / PAGE_NAME).read_text(encoding="utf-8")
