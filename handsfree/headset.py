"""Speaking with open ears, for those who wear a headset: an answer stops the question, and no word of it is lost."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor, wait
from typing import Protocol

from handsfree.hearing.endpoint import Activity
from handsfree.hearing.front_end import FrontEnd
from handsfree.hearing.recogniser import RATE, Block
from handsfree.hearing.settings import EndpointSettings

ENOUGH_S = 0.2
"""So much speech stops the question; a click or a breath does not."""
KNOWN_S = 1.0
"""So much must have been heard before anything can be told from the noise around."""
KEPT_S = 1.0
"""Sound from before the speech that is kept for the recogniser."""
_STOPPING_S = 0.01
"""A voice that has not begun cannot be stopped: it is tried so often."""


class StoppableVoice(Protocol):
    """A voice that another thread can stop."""

    def say(self, text: str) -> float:
        """Speak a text until its end, or until it is stopped."""
        ...

    def stop(self) -> None:
        """Stop speaking; nothing happens in silence."""
        ...


class OpenMicrophone(Protocol):
    """A live source of sound."""

    def resume(self) -> None:
        """Hear again, beginning with now."""
        ...

    def __next__(self) -> Block:
        """The next sound; waits for it."""
        ...


class OpenEars:
    """Asks, and listens meanwhile; afterwards it yields the blocks of sound, beginning with those heard meanwhile.

    Only for questions: what comes before one (a caution, a number read back) is spoken whole and with shut ears, so
    that nothing said into it can be taken for the answer to a question that was not put yet.
    """

    def __init__(self, voice: StoppableVoice, microphone: OpenMicrophone) -> None:
        self._voice = voice
        self._microphone = microphone
        self._activity = Activity(EndpointSettings())
        self._front_end = FrontEnd()
        self._known_s = 0.0
        self._meanwhile: deque[Block] = deque()
        self._thread = ThreadPoolExecutor(1, thread_name_prefix="question")

    def ask(self, text: str) -> float:
        """Speak the question until its end or until somebody speaks; the seconds that it took.

        Errors of the voice and of the microphone pass through.
        """
        self._microphone.resume()
        self._meanwhile.clear()
        self._activity.restart()
        began = time.monotonic()
        speaking = self._thread.submit(self._voice.say, text)
        answered = False  # from then on nothing is forgotten, however long the voice takes to fall silent
        try:
            while not speaking.done():
                self._meanwhile.append(self._next())
                if not answered and self._somebody_speaks():
                    answered = True
                    self._voice.stop()
        finally:
            while not speaking.done():  # nor may it speak on when the microphone is gone
                self._voice.stop()
                wait([speaking], _STOPPING_S)
        speaking.result()
        return time.monotonic() - began

    def __iter__(self) -> Iterator[Block]:
        return self

    def __next__(self) -> Block:
        if self._meanwhile:
            return self._meanwhile.popleft()
        block = self._next()
        self._activity.forget()
        return block

    def _next(self) -> Block:
        block = next(self._microphone)
        self._known_s += len(block) / RATE
        self._activity.add(self._front_end.take(block).levels)
        return block

    def _somebody_speaks(self) -> bool:
        if self._known_s >= KNOWN_S and self._activity.speaking:
            return self._activity.active_s >= ENOUGH_S
        if self._activity.silent_s > ENOUGH_S:
            self._activity.forget()
            self._forget_all_but(KEPT_S)
        return False

    def _forget_all_but(self, seconds: float) -> None:
        kept = sum(map(len, self._meanwhile))
        while kept - len(self._meanwhile[0]) >= seconds * RATE:
            kept -= len(self._meanwhile.popleft())
