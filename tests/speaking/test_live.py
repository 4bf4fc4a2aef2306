"""The real loudspeaker, through PortAudio, ALSA and PulseAudio into an ear that records."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from demo.virtual_audio import EAR_RATE, VirtualAudio
from handsfree.speaking.rendering import render
from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.tones import make_tone
from tests.speaking.live_speaker import STOP_AFTER_S, TEXT

SPEAKER = Path(__file__).with_name("live_speaker.py")
LOUD = 300


class Listener:
    """Runs the speaker program and says what the ear heard."""

    def __init__(self, card: VirtualAudio, cache: Path) -> None:
        self._card = card
        self._cache = cache
        self.report: dict[str, float] = {}
        self.heard_s = 0.0
        """From the first to the last sound."""
        self.last_heard = 0.0
        """When the last sound came in, on the monotonic clock."""
        self.samples = np.zeros(0)

    def listen_to(self, what: str) -> None:
        command = [sys.executable, str(SPEAKER), what, str(self._cache)]
        environment = os.environ | self._card.environment | {"PYTHONPATH": str(Path(__file__).parents[2])}
        with self._card.listening() as recording:
            done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False, timeout=60)
        assert done.returncode == 0, done.stderr
        self.report = json.loads(done.stdout)
        loud = np.flatnonzero(np.abs(recording.samples.astype(int)) > LOUD)
        assert len(loud), "the ear heard nothing"
        self.heard_s = (loud[-1] - loud[0]) / EAR_RATE
        self.last_heard = recording.started + loud[-1] / EAR_RATE
        self.samples = recording.samples[loud[0] : loud[-1]].astype(float)


@pytest.fixture
def listener(virtual_audio: VirtualAudio, tmp_path: Path) -> Listener:
    return Listener(virtual_audio, tmp_path)


def test_a_prompt_arrives_whole_and_say_waits_for_its_end(listener: Listener) -> None:
    listener.listen_to("say")
    expected = render(TEXT, VoiceSettings())
    loud = np.flatnonzero(np.abs(expected.samples.astype(int)) > LOUD)
    assert listener.heard_s == pytest.approx((loud[-1] - loud[0]) / expected.rate, abs=0.03)
    assert listener.report["sound_s"] == pytest.approx(expected.seconds)
    assert -0.05 < listener.report["ended"] - listener.last_heard < 0.3


def test_the_shortest_tone_arrives_whole_and_at_its_pitch(listener: Listener) -> None:
    """A stream that ends with its last sample loses up to 70 ms, most of this tone."""
    listener.listen_to("tone")
    assert listener.heard_s == pytest.approx(make_tone("heard").seconds, abs=0.015)
    size = 8 * len(listener.samples)
    assert np.abs(np.fft.rfft(listener.samples, size)).argmax() * EAR_RATE / size == pytest.approx(880, abs=10)


def test_stop_cuts_a_prompt_short_at_once(listener: Listener) -> None:
    listener.listen_to("stop")
    assert listener.report["sound_s"] > 3.0
    assert 0.2 < listener.heard_s < STOP_AFTER_S + 0.2
    assert listener.report["ended"] - listener.report["stopped"] < 0.2
    assert abs(listener.last_heard - listener.report["stopped"]) < 0.2
