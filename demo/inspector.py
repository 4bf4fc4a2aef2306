"""A synthesised inspector, who answers the prompts of the demo in voices other than the tool's own."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from demo.synthetic_speech import speak
from handsfree.checklist.phrases import Phrasebook
from handsfree.hearing.ears import Ears
from handsfree.language.vocabulary import Vocabulary
from handsfree.session import Book, Listened
from handsfree.walk.events import Expect

RATE = 16_000
VOICE = "flite/slt"
CHATTER_VOICE = "flite/rms"

STORY: dict[str, tuple[str, ...]] = {
    "ground": ("say again", "puddle", "affirm"),
    "nose-tyres": ("tyres good", "correction", "cut on left tyre two", "affirm"),
    "right-front-skin": ("stand by", "#did you get the fuel sheet from the office", "carry on", "affirm", "<pass>"),
    "right-blades": ("#we are boarding at gate four in ten minutes", "<pass>"),
    "right-leading-edge": ("leave for later", "<pass>"),
    "right-surfaces": ("fuel leak left wing", "affirm", "<pass>"),
    "right-tyre-pressure": ("one five zero", "affirm"),
    "left-tyre-pressure": ("one eight five",),
    "rear-skin": ("dent", "affirm"),
}
"""What is said at some items, in order; ``<pass>`` is the item's first good answer, and ``#`` marks chatter that is not
meant for the tool.  All other items get their first good answer."""

_ANSWERS = {
    "level": "how do you read",
    "who": "lima mike",
    "registration": "quebec seven kilo tango alfa",
    "condition": "negative",
    "decision": "I do not accept",
}


class Inspector:
    """Listens to nothing: knows from the walk what is asked, and speaks the answer into the real ears."""

    def __init__(self, book: Book, ears: Ears) -> None:
        self._phrasebook: Phrasebook = book.phrasebook
        self._checklist = book.checklist
        self._ears = ears
        self._waiting = {item: list(lines) for item, lines in STORY.items()}
        self._item: str | None = None

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        """Answer what is expected, by voice, through the recogniser."""
        self._item = expected.item or self._item
        said = self._next(expected)
        sound = speak(said.removeprefix("#"), CHATTER_VOICE if said.startswith("#") else VOICE)
        utterance = self._ears.listen(_with_silence(sound), vocabulary, patience_s=4.0)
        silent = utterance.heard.why == "silence"
        return Listened(None if silent else utterance.heard, utterance.clip.tobytes())

    def _next(self, expected: Expect) -> str:
        story = self._waiting.get(self._item or "")
        if story and expected.moment not in ("decision", "end_check"):
            line = story.pop(0)
        elif expected.moment == "item":
            line = "<pass>"
        else:
            line = _ANSWERS.get(expected.moment, "affirm")
        return self._good_answer() if line == "<pass>" else line

    def _good_answer(self) -> str:
        item = self._checklist.item(self._item or "")
        if item.count is not None:
            return _spoken(item.count.expect)
        if item.quantity is not None and item.quantity.form == "fraction":
            return "three quarters"
        if item.quantity is not None:
            return _spoken(round(((item.quantity.low or 0) + (item.quantity.high or 0)) / 2))
        return next(one.text for one in self._phrasebook.own_phrases(item) if one.meaning.outcome == "pass")


def _spoken(number: int) -> str:
    names = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
    return " ".join(names[int(figure)] for figure in str(number))


def _with_silence(sound: NDArray[np.int16]) -> Iterator[NDArray[np.int16]]:
    """Blocks of 100 ms, with the quiet before and after that a microphone would hear."""
    generator = np.random.default_rng(len(sound))
    quiet = (generator.standard_normal(round(1.6 * RATE)) * 8).astype(np.int16)
    whole = np.concatenate([quiet[: RATE // 2], sound.astype(np.int16), quiet])
    for start in range(0, len(whole), RATE // 10):
        yield whole[start : start + RATE // 10]
