"""A headset: the question is spoken with open ears, and stops for an answer."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import numpy as np
import pytest

from handsfree.headset import OpenEars
from handsfree.hearing.recogniser import RATE, Block
from tests.support.sounds import Sound, blocks, joined, pink_noise, speech


class Voice:
    """Speaks until it is stopped, or until the microphone has given all that it has."""

    def __init__(self) -> None:
        self.ended = threading.Event()
        self.said: list[str] = []
        self.stopped = False

    def say(self, text: str) -> float:
        self.said.append(text)
        assert self.ended.wait(10)
        return 9.9

    def stop(self) -> None:
        self.stopped = self.stopped or not self.ended.is_set()
        self.ended.set()


class Microphone:
    """Gives one sound a question as fast as it is taken, then silence for ever; the voice ends with the sound."""

    def __init__(self, voice: Voice, *sounds: Sound) -> None:
        self._sounds = iter(sounds)
        self._blocks = blocks(np.zeros(0, np.int16))
        self._voice = voice
        self.given_s = 0.0
        """Until the voice ended."""

    def resume(self) -> None:
        self._blocks = blocks(next(self._sounds))

    def __next__(self) -> Block:
        block = next(self._blocks, None)
        if block is None:
            self._voice.ended.set()
            return np.zeros(1600, np.int16)
        self.given_s += 0.0 if self._voice.ended.is_set() else len(block) / RATE
        return block


NOISE = pink_noise(3.0, 40.0)
ANSWER = speech("no leaks", "slt")


def ask(*sounds: Sound) -> tuple[Voice, Microphone, OpenEars]:
    voice = Voice()
    microphone = Microphone(voice, *sounds)
    ears = OpenEars(voice, microphone)
    ears.ask("Nose gear?")
    return voice, microphone, ears


def kept(ears: OpenEars, seconds: float) -> Sound:
    return np.concatenate([next(ears) for _ in range(round(seconds * 10))])


def test_an_answer_stops_the_question_at_once() -> None:
    voice, microphone, _ = ask(joined(NOISE, ANSWER, pink_noise(2.0, 40.0, seed=2)))
    assert voice.stopped
    first_word = 3.0 + np.flatnonzero(np.abs(ANSWER) > 500)[0] / RATE
    assert first_word < microphone.given_s < first_word + 0.5


def test_no_word_of_the_answer_is_lost() -> None:
    _, _, ears = ask(joined(NOISE, ANSWER, pink_noise(2.0, 40.0, seed=2)))
    heard = kept(ears, 1.0 + len(ANSWER) / RATE)
    match = np.correlate(heard.astype(float), ANSWER.astype(float)).max()
    assert match == pytest.approx(np.sum(ANSWER.astype(float) ** 2), rel=0.02)


@pytest.mark.parametrize(
    "sound",
    [
        NOISE,
        joined(NOISE, np.full(320, 8000, np.int16), pink_noise(2.0, 40.0, seed=3)),
        pink_noise(6.0, 3000.0),
    ],
    ids=["quiet", "a click", "a loud place"],
)
def test_nothing_but_speech_stops_it(sound: Sound) -> None:
    voice, _, _ = ask(sound)
    assert not voice.stopped
    assert voice.said == ["Nose gear?"]


def test_what_was_heard_before_the_question_is_no_answer_to_it() -> None:
    voice, _, ears = ask(joined(NOISE, ANSWER, NOISE), NOISE)
    voice.ended.clear()
    ears.ask("Tyres?")
    assert np.abs(kept(ears, 1.0)).max() < 300 < np.abs(ANSWER).max()


def test_sound_kept_while_nobody_speaks_is_short() -> None:
    _, _, ears = ask(pink_noise(20.0, 40.0))
    with_sound = [bool(block.any()) for block in first(ears, 30)]
    assert sum(with_sound) <= 11


def first(ears: OpenEars, count: int) -> Iterator[Block]:
    return (next(ears) for _ in range(count))


def test_what_goes_wrong_with_the_voice_passes_through() -> None:
    class Broken(Voice):
        def say(self, text: str) -> float:
            raise OSError("unplugged")

    voice = Broken()
    with pytest.raises(OSError, match="unplugged"):
        OpenEars(voice, Microphone(voice, NOISE)).ask("Nose gear?")


def test_a_microphone_that_breaks_off_stops_the_question_before_that_is_told() -> None:
    class Unplugged(Microphone):
        def __next__(self) -> Block:
            raise OSError("unplugged")

    voice = Voice()
    with pytest.raises(OSError, match="unplugged"):
        OpenEars(voice, Unplugged(voice, NOISE)).ask("Nose gear?")
    assert voice.said == ["Nose gear?"]
    assert voice.stopped
