"""The helpers themselves: a helper that quietly does nothing would make other tests pass."""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np
import pytest

from demo.synthetic_speech import VOICES, speak
from demo.virtual_audio import EAR_RATE, VirtualAudio
from tests.support.no_network import without_network
from tests.support.sounds import tone

CONNECT = "import socket; socket.create_connection(('192.0.2.1', 80), timeout=5)"
"""RFC 5737 reserves 192.0.2.0/24 for examples: nobody answers there."""


def test_there_is_no_network_where_there_should_be_none() -> None:
    done = subprocess.run(without_network([sys.executable, "-c", CONNECT]), capture_output=True, text=True, check=False)
    assert "Network is unreachable" in done.stderr


def test_there_are_enough_voices_and_each_has_its_own_sound() -> None:
    spoken = {voice: speak("cut on tyre two", voice) for voice in VOICES}
    assert len({speech.tobytes() for speech in spoken.values()}) == len(VOICES) >= 8
    for voice, speech in spoken.items():
        assert 0.7 < len(speech) / 16000 < 3.0, voice


def test_a_sentence_is_rendered_once(monkeypatch: pytest.MonkeyPatch) -> None:
    first = speak("no leak", "espeak/en-us")
    monkeypatch.setenv("PATH", "")
    assert np.array_equal(speak("no leak", "espeak/en-us"), first)


def test_what_goes_to_the_ear_can_be_recorded(virtual_audio: VirtualAudio) -> None:
    sound = tone(0.5, 8000.0)
    with virtual_audio.listening() as recording:
        subprocess.run(
            ["pacat", "--raw", "--format=s16le", "--channels=1", "--rate=16000"],
            input=sound.tobytes(),
            env=os.environ | virtual_audio.environment,
            check=True,
        )
    loud = np.flatnonzero(np.abs(recording.samples.astype(int)) > 1000)
    assert (loud[-1] - loud[0]) / EAR_RATE == pytest.approx(0.5, abs=0.01)
