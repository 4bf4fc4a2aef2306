"""The loudspeaker, with a sound card that does as it is told (the real one: test_live)."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import numpy as np
import pytest

from handsfree.portaudio import AudioDevice, AudioError, LoudspeakerError
from handsfree.speaking import portaudio_speaker as module
from handsfree.speaking.portaudio_speaker import PortAudioSpeaker
from handsfree.speaking.sound import Samples

CARD = AudioDevice(0, "Card", "ALSA", 0, 1, 16000, default_input=False, default_output=True)
SOUND = np.ones(16000 * 10, np.int16)


class Card:
    """Takes a piece of the sound, and then does what its class says."""

    def __init__(
        self,
        device: AudioDevice,
        rate: int,
        fill: Callable[[int], Samples],
        on_end: Callable[[Exception | None], None],
    ) -> None:
        fill(1600)
        self.go_on(on_end)

    def go_on(self, on_end: Callable[[Exception | None], None]) -> None:
        """Nothing more is ever wanted."""

    def __enter__(self) -> Card:
        return self

    def __exit__(self, *_: object) -> None:
        pass


class Unplugged(Card):
    def go_on(self, on_end: Callable[[Exception | None], None]) -> None:
        on_end(OSError("the device ended it"))


@pytest.fixture(autouse=True)
def card(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "find_device", lambda _name, _direction: CARD)  # pyright: ignore
    monkeypatch.setattr(module, "accepted_rate", lambda _device, _direction, rate: rate)  # pyright: ignore
    monkeypatch.setattr(module, "OutputStream", Card)


def test_a_loudspeaker_that_takes_no_more_sound_is_noticed_long_before_the_sound_would_end() -> None:
    began = time.monotonic()
    with pytest.raises(LoudspeakerError, match="takes no more sound"):
        PortAudioSpeaker().play(SOUND, 16000, threading.Event())
    assert time.monotonic() - began < 1.5


def test_a_sound_that_the_device_ended_is_not_taken_for_one_that_was_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "OutputStream", Unplugged)
    with pytest.raises(LoudspeakerError, match="the device ended it"):
        PortAudioSpeaker().play(SOUND, 16000, threading.Event())


def test_a_loudspeaker_that_cannot_be_opened_keeps_its_reason_and_hint(monkeypatch: pytest.MonkeyPatch) -> None:
    def busy(*_: object) -> Card:
        raise AudioError("busy", "close it")

    monkeypatch.setattr(module, "OutputStream", busy)
    with pytest.raises(LoudspeakerError, match="busy") as caught:
        PortAudioSpeaker().play(SOUND, 16000, threading.Event())
    assert caught.value.hint == "close it"
