"""A synthesised inspector, who knows from the walk what is asked, and what to answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from handsfree.book import Book
from handsfree.walk.events import Expect

Story = Mapping[str, Sequence[str]]
"""What is said at some items, in order.  ``<pass>`` is the item's first good answer, and ``#`` marks chatter that is
not meant for the tool.  All other items get their first good answer."""

STORY: Story = {
    "ground": ("say again", "puddle", "affirm"),
    "left-front-skin": ("scratch", "affirm"),
    "nose-latches": ("latches flush",),
    "nose-strut": ("one two centimetres",),
    "nose-tyres": ("tyres good", "cut on left tyre two", "affirm"),
    "steering-pin": ("correction", "<pass>"),
    "right-front-skin": ("stand by", "#did you get the fuel sheet from the office", "carry on", "affirm", "<pass>"),
    "right-blades": ("#we are boarding in ten minutes or so", "<pass>"),
    "right-leading-edge": ("leave for later", "<pass>"),
    "right-surfaces": ("fuel leak left wing", "affirm", "<pass>"),
    "right-tyre-pressure": ("one five zero", "affirm"),
    "left-tyre-pressure": ("one eight five",),
    "rear-skin": ("dent", "affirm"),
}
"""The demo's: the correction at the steering pin speaks of the nose tyres, which are then asked again."""

_ANSWERS = {
    "level": "how do you read",
    "who": "lima mike",
    "registration": "quebec seven kilo tango alfa",
    "condition": "negative",
    "decision": "I do not accept",
}
_VOICE = "flite/slt"
_CHATTER_VOICE = "flite/rms"


@dataclass(frozen=True, slots=True)
class Line:
    """Something said aloud."""

    text: str
    voice: str
    """One of `demo.synthetic_speech.VOICES`; never the voice of the prompts."""


class Inspector:
    """Answers what is asked, as a story tells."""

    def __init__(self, book: Book, story: Story, zones: int | None = None) -> None:
        """``zones`` = how many of the zones to walk before ending the walk; None = all."""
        self._phrasebook = book.phrasebook
        self._checklist = book.checklist
        self._waiting = {item: list(lines) for item, lines in story.items()}
        self._zones = {zone.id for zone in book.checklist.zones[:zones]}
        self._item: str | None = None

    def answer(self, expected: Expect) -> Line:
        """What is said next."""
        self._item = expected.item or self._item
        text = self._next(expected)
        return Line(text.removeprefix("#"), _CHATTER_VOICE if text.startswith("#") else _VOICE)

    def _next(self, expected: Expect) -> str:
        if expected.moment == "item" and self._zone() not in self._zones:
            return "end the walk"
        story = self._waiting.get(self._item or "")
        if story and expected.moment not in ("decision", "end_check"):
            line = story.pop(0)
        elif expected.moment == "item":
            line = "<pass>"
        else:
            line = _ANSWERS.get(expected.moment, "affirm")
        return self._good_answer() if line == "<pass>" else line

    def _zone(self) -> str:
        return self._checklist.zone_of(self._item or "").id

    def _good_answer(self) -> str:
        item = self._checklist.item(self._item or "")
        if item.count is not None:
            return f"{_spoken(item.count.expect)} {item.count.of}"
        if item.quantity is not None and item.quantity.form == "fraction":
            return "three quarters"
        if item.quantity is not None:
            return _spoken(round(((item.quantity.low or 0) + (item.quantity.high or 0)) / 2))
        return next(one.text for one in self._phrasebook.own_phrases(item) if one.meaning.outcome == "pass")


def _spoken(number: int) -> str:
    names = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
    return " ".join(names[int(figure)] for figure in str(number))
