"""How the inspector's answers reach the ears: computed as fast as the machine can, or in real time by microphone."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from demo.inspector import Inspector, Line
from demo.synthetic_speech import Speech, speak
from demo.virtual_audio import VirtualAudio
from handsfree.hearing.ears import Ears
from handsfree.hearing.recogniser import RATE
from handsfree.language.vocabulary import Vocabulary
from handsfree.session import Listened, Listener
from handsfree.speaking.loudspeakers import Loudspeaker
from handsfree.walk.events import Expect

_BEFORE_S = 0.5
_AFTER_S = 1.6
"""Quiet around an answer: a person needs a moment to begin, and a recogniser one to be sure of the end."""
_REACTION_S = 0.2


class AtOnce:
    """A listener that gives each answer to the ears in no time, and to a recording as it would sound."""

    def __init__(self, inspector: Inspector, ears: Ears, recording: Loudspeaker) -> None:
        self._inspector = inspector
        self._ears = ears
        self._recording = recording
        self._background = ThreadPoolExecutor(1, thread_name_prefix="vocabulary")

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        """Load what the next answer needs meanwhile, as on a walk."""
        self._background.submit(lambda: self._ears.prepare(vocabulary()))

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        """Hear the inspector's answer."""
        sound = in_quiet(self._inspector.answer(expected))
        self._recording.play(sound, RATE, threading.Event())
        utterance = self._ears.listen(blocks(sound), vocabulary, patience_s=4.0)
        silent = utterance.heard.why == "silence"
        return Listened(None if silent else utterance.heard, utterance.clip.tobytes())


class InRealTime:
    """The tool's own listener, with an inspector who speaks into the microphone as soon as it begins to listen."""

    def __init__(self, inspector: Inspector, listener: Listener, card: VirtualAudio) -> None:
        self._inspector = inspector
        self._listener = listener
        self._card = card
        self._mouth = ThreadPoolExecutor(1, thread_name_prefix="inspector")

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        """As the listener does."""
        self._listener.get_ready(vocabulary)

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        """Hear the inspector's answer."""
        line = self._inspector.answer(expected)
        sound = speak(line.text, line.voice)
        speaking = self._mouth.submit(self._speak, sound)
        listened = self._listener.listen(vocabulary, expected)
        speaking.result()
        return listened

    def _speak(self, sound: Speech) -> None:
        time.sleep(_REACTION_S)
        self._card.speak_into_microphone(sound, RATE)


def in_quiet(line: Line) -> Speech:
    """The answer with the quiet before and after it that a microphone would hear."""
    sound = speak(line.text, line.voice)
    generator = np.random.default_rng(len(sound))
    before, after = (generator.standard_normal(round(seconds * RATE)) * 8 for seconds in (_BEFORE_S, _AFTER_S))
    return np.concatenate([before.astype(np.int16), sound, after.astype(np.int16)])


def blocks(sound: Speech) -> Iterator[Speech]:
    """In tenths of a second, as a microphone brings it."""
    for start in range(0, len(sound), RATE // 10):
        yield sound[start : start + RATE // 10]
