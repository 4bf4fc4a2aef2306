"""A walk in real time: real voice, real loudspeaker and microphone, real recogniser, and PulseAudio between them."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from handsfree.journal import events as log
from handsfree.journal.reader import Journal, read
from handsfree.speaking.sound import read_wav
from tests.support import live_walk

pytestmark = [pytest.mark.slow, pytest.mark.timeout(120)]

ROOT = Path(__file__).parents[1]
LIMIT_S = 60.0
SILENT = 50.0
"""Root mean square of 50 ms (of 32768); the software card is quieter than 1 when nothing is played."""


@pytest.fixture(scope="module")
def left(model: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that the walk leaves behind."""
    folder = tmp_path_factory.mktemp("live") / "out"
    command = [sys.executable, live_walk.__file__, str(folder)]
    environment = os.environ | {"PYTHONPATH": str(ROOT), "HANDSFREE_MODEL": str(model)}
    began = time.monotonic()
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False, timeout=110)
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
    assert time.monotonic() - began < LIMIT_S
    return folder


@pytest.fixture(scope="module")
def journal(left: Path) -> Journal:
    return read(left / "walk")


def test_every_answer_is_heard_and_is_in_the_log(journal: Journal) -> None:
    heard = [(one.outcome, one.said) for one in journal.events if isinstance(one, log.HeardEvent)]
    assert heard == [
        ("control", "how do you read"),
        ("finding", "cut on tyre two"),
        ("control", "affirm"),
        ("pass", "red in place"),
        ("value", "one eight five"),
        ("control", "I do not accept"),
    ]


def test_the_walk_is_complete_with_its_finding_affirmed(journal: Journal) -> None:
    answers = {one.number: (one.item, one.kind) for one in journal.events if isinstance(one, log.AnswerEvent)}
    assert list(answers.values()) == [("tyres", "finding"), ("disc", "pass"), ("pressure", "value")]
    changed = [one for one in journal.events if isinstance(one, log.AnswerChanged)]
    assert [(one.number, one.confirmed, one.standing) for one in changed] == [(1, True, "stands")]
    (ended,) = (one for one in journal.events if isinstance(one, log.Ended))
    assert (ended.outcome, ended.open_items) == ("complete", ())


def test_every_answer_has_its_sound_beside_the_log(left: Path, journal: Journal) -> None:
    clips = [one.clip for one in journal.events if isinstance(one, log.HeardEvent)]
    for clip in clips:
        assert clip is not None
        assert loud_s(left / "walk" / clip.file) > 0.2


def test_the_prompts_came_out_of_the_loudspeaker(left: Path, journal: Journal) -> None:
    spoken_s = sum(one.seconds for one in journal.events if isinstance(one, log.Said))
    assert spoken_s > 20.0
    assert 0.75 * spoken_s < loud_s(left / "prompts.wav") < 1.15 * spoken_s  # pauses within sentences; tones


def loud_s(path: Path) -> float:
    """Seconds of a WAV file that are not silence."""
    sound = read_wav(path)
    frame = sound.rate // 20
    frames = sound.samples[: len(sound.samples) // frame * frame].astype(float).reshape(-1, frame)
    return float((np.sqrt(np.mean(frames**2, axis=1)) > SILENT).sum() / 20)
