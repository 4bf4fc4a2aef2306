"""Questions and answers: what is asked can be answered, shortly and with a status."""

from __future__ import annotations

from collections.abc import Iterator

from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.models import Item
from handsfree.checklist.problems import Location, Problem
from handsfree.language.errors import GrammarError

LONGEST_PROMPT = 12
"""Words of a short prompt; ICAO Doc 9432 asks for at most 100 words a minute, so this takes seven seconds."""
_NO_STATUS = frozenset({"check", "checked", "ok", "okay", "done", "complete", "completed"})
"""Words that say that one has looked, and not what one has seen (NASA CR-177549, Degani and Wiener 1990)."""


def unanswerable_questions(subject: Subject) -> Iterator[Problem]:
    """Error ``part-not-covered``; warnings ``part-not-alone``, ``only-checked``, ``long-prompt``, ``no-noun``."""
    for where, item in subject.items:
        yield from _parts(where, item)
        words = len(item.prompt.split())
        if words > LONGEST_PROMPT:
            message = f"item '{item.id}': the short prompt has {words} words; {LONGEST_PROMPT} are enough"
            hint = "leave the rest to 'full'"
            yield Problem(message, (*where, "prompt"), code="long-prompt", hint=hint, level="warning")
        if item.passes and not item.checked_is_enough and _says_no_status(subject, item):
            message = f"item '{item.id}': every response only says that one has looked"
            hint = "let the answer state what is seen, or write 'checked_is_enough: true'"
            yield Problem(message, (*where, "pass"), code="only-checked", hint=hint, level="warning")
        axes = item.positions.side or item.positions.number or item.positions.radial
        if axes and item.called is None:
            message = f"item '{item.id}': positions without a noun: what is 'number two' here?"
            yield Problem(message, (*where, "positions"), code="no-noun", hint="add 'called: tyre'", level="warning")


def _parts(where: Location, item: Item) -> Iterator[Problem]:
    whole = any(not one.covers for one in item.passes)
    alone = {part for one in item.passes for part in one.covers}
    for part in item.parts:
        if part in alone:
            continue
        if whole:
            message = f"item '{item.id}': asked alone, the part '{part}' has no response of its own"
            hint = f"add a response with 'covers: [{part}]'"
            yield Problem(message, (*where, "parts", part), code="part-not-alone", hint=hint, level="warning")
        else:
            message = f"item '{item.id}': no response covers the part '{part}', so the item can never pass"
            yield Problem(message, (*where, "parts", part), code="part-not-covered")


def _says_no_status(subject: Subject, item: Item) -> bool:
    try:
        paths = [path for one in item.passes for path in subject.patterns.expansion(one.say).paths()]
    except GrammarError:
        return False
    return all(_NO_STATUS.issuperset(path.heard.split()) for path in paths)
