"""The microphone, with a sound card that does as it is told."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable

import numpy as np
import pytest

from handsfree.hearing import microphone as module
from handsfree.hearing.microphone import Microphone
from handsfree.hearing.vital_signs import Limits
from handsfree.portaudio import AudioDevice, AudioError, MicrophoneError, Samples, SilentMicrophoneError
from tests.support.sounds import quiet, tone

CARD = AudioDevice(0, "Card", "ALSA", 1, 0, 48000, default_input=True, default_output=False)


class Card:
    """Stands in for the sound card's stream."""

    rate = 16000
    opened: Card

    def __init__(
        self,
        device: AudioDevice,
        rate: int,
        on_block: Callable[[Samples, bool], None],
        on_end: Callable[[Exception | None], None],
    ) -> None:
        self.device, self.block, self.end, self.closed = device, on_block, on_end, 0
        Card.opened = self

    def close(self) -> None:
        self.closed += 1


@pytest.fixture(autouse=True)
def card(monkeypatch: pytest.MonkeyPatch) -> None:
    def find(_name: str | None, _direction: str) -> AudioDevice:
        return CARD

    monkeypatch.setattr(module, "InputStream", Card)
    monkeypatch.setattr(module, "find_device", find)


def test_blocks_come_as_the_card_gives_them() -> None:
    with Microphone() as microphone:
        Card.opened.block(tone(0.1, 3276.8), False)
        Card.opened.block(quiet(0.05), True)
        assert len(next(microphone)) == 1600
        assert len(next(microphone)) == 800
        assert microphone.overflows == 1
        assert microphone.device == CARD
    assert Card.opened.closed == 1


def test_sound_lost_while_the_tool_speaks_is_none_of_an_answer() -> None:
    with Microphone() as microphone:
        microphone.pause()
        Card.opened.block(quiet(0.1), True)
        microphone.resume()
        Card.opened.block(quiet(0.1), False)
        next(microphone)
        assert microphone.overflows == 0


def test_the_level_is_that_of_the_last_block() -> None:
    with Microphone() as microphone:
        Card.opened.block(tone(0.1, 3276.8), False)
        assert microphone.level_dbfs == pytest.approx(-20.0, abs=0.1)


def test_a_card_that_insists_on_its_own_rate_is_resampled(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Card, "rate", 48000)
    with Microphone() as microphone:
        for _ in range(20):
            Card.opened.block(tone(0.3, 100), False)  # 4800 samples: 0.1 s at 48 kHz
        heard = sum(len(next(microphone)) for _ in range(15))
        assert 15 * 1600 * 0.8 < heard < 15 * 1600 * 1.2


def test_while_paused_nothing_is_kept() -> None:
    with Microphone() as microphone:
        Card.opened.block(tone(0.1, 100), False)
        microphone.pause()
        Card.opened.block(tone(0.1, 2000), False)
        microphone.resume()
        Card.opened.block(np.full(1600, 7, dtype=np.int16), False)
        assert set(next(microphone)) == {7}


def test_a_microphone_that_falls_silent_for_good_is_noticed() -> None:
    limits = Limits(gap_s=0.2)
    with Microphone(limits=limits) as microphone, pytest.raises(MicrophoneError, match="no sound has come") as caught:
        next(microphone)
    assert "plugged in" in caught.value.hint


def test_while_paused_a_living_card_is_not_taken_for_dead() -> None:
    with Microphone(limits=Limits(gap_s=0.3)) as microphone:
        microphone.pause()
        alive = [threading.Timer(0.1 * step, Card.opened.block, (quiet(0.1), False)) for step in range(1, 7)]
        last = threading.Timer(0.65, microphone.resume)
        after = threading.Timer(0.75, Card.opened.block, (tone(0.1, 50), False))
        for timer in (*alive, last, after):
            timer.start()
        assert len(next(microphone)) == 1600
        for timer in (*alive, last, after):
            timer.join()


def test_a_stream_that_breaks_is_told_with_its_reason_after_what_was_heard() -> None:
    with Microphone() as microphone:
        Card.opened.block(tone(0.1, 100), False)
        Card.opened.end(ValueError("the cable"))
        assert len(next(microphone)) == 1600
        with pytest.raises(AudioError, match="the cable"):
            next(microphone)


def test_closing_ends_the_reading() -> None:
    microphone = Microphone()
    with microphone:
        threading.Timer(0.1, microphone.close).start()
        assert list(microphone) == []
    microphone.close()


# ---- a microphone that dies and comes back


def test_it_opens_again_and_what_comes_late_from_before_is_nothing() -> None:
    with Microphone() as microphone:
        before = Card.opened
        before.block(tone(0.1, 100), False)
        before.end(None)
        next(microphone)
        with pytest.raises(MicrophoneError):
            next(microphone)
        sounding = threading.Timer(0.1, lambda: Card.opened.block(tone(0.1, 200), False))
        sounding.start()
        microphone.reopen()
        sounding.join()
        before.block(tone(0.1, 300), False)
        before.end(OSError("late"))
        assert len(next(microphone)) == 1600
        Card.opened.block(tone(0.05, 200), False)
        assert len(next(microphone)) == 800


def test_a_device_that_opens_and_gives_nothing_is_not_back() -> None:
    with Microphone(limits=Limits(gap_s=0.2)) as microphone:
        with pytest.raises(MicrophoneError):
            microphone.reopen()
        assert Card.opened.closed


def test_a_device_that_another_program_has_is_not_back(monkeypatch: pytest.MonkeyPatch) -> None:
    def busy(*_: object) -> Card:
        raise AudioError("busy", "close it")

    with Microphone() as microphone:
        monkeypatch.setattr(module, "InputStream", busy)
        with pytest.raises(MicrophoneError, match="busy") as caught:
            microphone.reopen()
        assert caught.value.hint == "close it"


def test_nothing_but_zeros_since_it_was_opened_are_told_once() -> None:
    with Microphone() as microphone:
        for _ in range(40):
            Card.opened.block(quiet(0.1), False)
        heard_s, told = 0.0, 0
        while told == 0 or heard_s < 2.0:
            try:
                heard_s += len(next(microphone)) / 16000
            except SilentMicrophoneError:
                told += 1
                assert 1.3 < heard_s < 1.6
        assert told == 1


def test_zeros_between_words_are_how_some_headsets_are() -> None:
    with Microphone() as microphone:
        Card.opened.block(tone(0.1, 1000), False)
        for _ in range(40):
            Card.opened.block(quiet(0.1), False)
        assert sum(len(next(microphone)) for _ in range(41)) == 41 * 1600


def test_the_level_of_zeros_is_no_level() -> None:
    with Microphone() as microphone:
        Card.opened.block(quiet(0.1), False)
        assert microphone.level_dbfs == -math.inf
