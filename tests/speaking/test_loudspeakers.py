"""Loudspeakers that need no sound card."""

from __future__ import annotations

import threading
from pathlib import Path

import numpy as np
import pytest

from handsfree.speaking.loudspeakers import FileSpeaker
from handsfree.speaking.sound import read_wav


def test_the_file_is_valid_after_every_sound(tmp_path: Path) -> None:
    path = tmp_path / "said.wav"
    with FileSpeaker(path, rate=1000) as speaker:
        for count in (1, 2, 3):
            speaker.play(np.full(500, count, np.int16), 1000, threading.Event())
            assert read_wav(path).seconds == count * 0.5
    assert read_wav(path).samples[::500].tolist() == [1, 2, 3]


def test_sounds_of_another_rate_keep_their_length(tmp_path: Path) -> None:
    with FileSpeaker(tmp_path / "said.wav", rate=22050) as speaker:
        speaker.play(np.ones(16000, np.int16), 16000, threading.Event())
    assert read_wav(tmp_path / "said.wav").seconds == pytest.approx(1.0, abs=0.001)
