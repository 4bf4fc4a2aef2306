"""How long prompts take, and whether numbers in them can be made out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import Final

from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.problems import Location, Problem

Lasts = Callable[[Sequence[str]], Sequence[float | None]]
"""How many seconds each text takes when it is spoken at the tool's usual pace; None = not known."""

LONGEST_SHORT_S: Final = 2.5
WORDS_A_MINUTE: Final = 100
"""The most at which ICAO Doc 9432 wants to be spoken to."""
LONGEST_FULL_S: Final = 20
"""Our own: nobody keeps more in mind outdoors."""
_DIGIT: Final = "(?:zero|one|two|three|four|five|six|seven|eight|niner?)"
_NUMBER: Final = re.compile(rf"\b(?:\d[\d.,]*\d|\d|{_DIGIT}(?: {_DIGIT})+)\b", re.IGNORECASE)
"""Figures, or digits spoken one after the other."""
_BEFORE: Final = re.compile(r"(?:^|[,.:;?!])\s*$")
_BEHIND: Final = re.compile(r"^\s*(?:$|[,.:;?!])")


def slow_prompts(subject: Subject, lasts: Lasts) -> Iterator[Problem]:
    """Warnings ``slow-prompt``, ``slow-full`` and ``number-not-apart``."""
    spoken = lasts([item.prompt for _, item in subject.items])
    for (where, item), seconds in zip(subject.items, spoken, strict=True):
        if seconds is not None and seconds > LONGEST_SHORT_S:
            message = f"item '{item.id}': the short prompt takes {seconds:.1f} s; {LONGEST_SHORT_S:g} are enough"
            hint = "leave the rest to 'full'"
            yield Problem(message, (*where, "prompt"), code="slow-prompt", hint=hint, level="warning")
        words = len(item.full.split())
        if words * 60 > LONGEST_FULL_S * WORDS_A_MINUTE:
            message = f"item '{item.id}': the full prompt has {words} words, at {WORDS_A_MINUTE} a minute more than "
            message += f"{LONGEST_FULL_S} s"
            hint = "leave the rest to 'look_for'"
            yield Problem(message, (*where, "full"), code="slow-full", hint=hint, level="warning")
        for field, text in (("prompt", item.prompt), ("full", item.full)):
            yield from _numbers((*where, field), text)
        if item.hold is not None:
            yield from _numbers((*where, "hold", "ask"), item.hold.ask)
    for at, condition in enumerate(subject.checklist.conditions):
        yield from _numbers(("conditions", at, "ask"), condition.ask)


def _numbers(where: Location, text: str) -> Iterator[Problem]:
    for found in _NUMBER.finditer(text):
        if not (_BEFORE.search(text[: found.start()]) and _BEHIND.search(text[found.end() :])):
            message = f"the number '{found.group()}' runs into the words around it"
            hint = "set it apart with commas, and write what is counted behind the second"
            yield Problem(message, where, code="number-not-apart", hint=hint, level="warning")
