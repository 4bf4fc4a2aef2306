"""Walks and attempts to be debriefed: told by real sessions, paced as in earnest, and read back."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from demo.inspector import Inspector
from demo.pacing import in_real_time, write_again
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.debrief.gathering import Debrief, gather
from handsfree.journal.events import AnyEvent
from handsfree.journal.reader import read
from handsfree.journal.writer import JournalWriter
from handsfree.language.vocabulary import Vocabulary
from handsfree.listeners import understand
from handsfree.resources import find_checklist
from handsfree.session import Listened, Session
from handsfree.walk.events import Begin, Expect
from tests.drill.practised import practise
from tests.support.sounds import pink_noise, speech
from tests.walk.conversation import GOLDEN, kept, read_scene, small
from tests.walk.performance import Mouth, Screen, perform, tell

HOSTILE = "</script><img src=x onerror=alert(1)> & \"quoted\" 'single' \u202egnol"
ROUND = (
    "negative", "what do I look for", "covers off", "cut on tyre two", "affirm", "fuel leak left wing", "affirm",
    "pressure on", "pins proud", "fire bottle disc", "lines dry", "one five zero", "affirm", "disc red", "pump off",
    "caps locked", "covers in hand", "four", "I do not accept",
)  # fmt: skip
"""A practised round with a miss, a false alarm, a help, a return to the wrong place, and servicing not reported."""


def golden(name: str, folder: Path) -> Debrief:
    """One of the golden conversations."""
    return gather(perform(read_scene(GOLDEN / f"{name}.txt"), small(), folder / name).folder)


def story(folder: Path) -> Debrief:
    """A whole walk round the small aircraft, with a clip to each utterance."""
    return gather(tell(folder / "story").folder)


def attempt(folder: Path, *lines: str) -> Debrief:
    """An attempt at the small exercise."""
    practise(folder, "scenes", *(lines or ROUND))
    return gather(folder)


def changed(walk: Debrief, folder: Path, change: Callable[[AnyEvent], AnyEvent]) -> Debrief:
    """The same walk with other events in it, well chained."""
    return gather(write_again(walk.folder, folder, map(change, read(walk.folder).events)))


@cache
def _book() -> Book:
    return kept(Book(load(find_checklist("twin-turboprop"))))


@cache
def _clips() -> tuple[bytes, ...]:
    """Three seconds each of somebody speaking on an apron."""
    words = ("cut on left tyre two", "smooth and straight", "say again please", "fuel leak under the left wing")
    made: list[bytes] = []
    for seed in range(40):
        said = speech(words[seed % len(words)])
        sound = pink_noise(3.0, 150.0, seed)
        room = said[: len(sound)]
        sound[: len(room)] = np.clip(sound[: len(room)].astype(np.int32) + room, -32768, 32767)
        made.append(sound.tobytes())
    return tuple(made)


@dataclass
class Slow:
    """Asks again and again before each answer, as beginners do."""

    book: Book
    inspector: Inspector
    waiting: list[str]
    clips: Iterator[bytes]
    item: str | None = None

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        pass

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        if expected.moment == "item" and expected.item != self.item:
            self.item = expected.item
            self.waiting[:] = ["say again", "where are we", "what do I look for", "what is left", "say again"]
        words = self.waiting.pop(0) if self.waiting and expected.moment == "item" else ""
        heard = understand(words or self.inspector.answer(expected).text, vocabulary)
        return Listened(heard, next(self.clips))


def _at_once(_: int) -> None:
    """Nothing here has to outlive a power cut."""


def beginner(folder: Path) -> Path:
    """A walk of more than three quarters of an hour round the Quillon 24, with more than 400 clips of three seconds."""
    book, clips = _book(), _clips()
    text = find_checklist("twin-turboprop").read_bytes()
    endless = (clips[at % len(clips)] for at in range(10**6))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", _at_once)
        writer = JournalWriter.create(folder / "at-once", text)
        story: dict[str, Sequence[str]] = {
            "nose-tyres": ("cut on left tyre two", "affirm"),
            "ground": ("puddle", "affirm"),
        }
        slow = Slow(book, Inspector(book, story), [], endless)
        session = Session(book, writer, SpeakingMouth(), slow, Screen())
        begin = Begin(who="LM", registration="Q7KTA", level_check=False)
        assert session.begin(begin, hashlib.sha256(text).hexdigest(), "synthetic")
        writer.close()
    return in_real_time(folder / "at-once", folder / "beginner", looking_s=1.5)


class SpeakingMouth(Mouth):
    """Says as slowly as one speaks."""

    def say(self, text: str) -> float:
        super().say(text)
        return 0.25 * len(text.split())
