"""Phrases in earshot of each other whose words are the same, or hold each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.models import Item
from handsfree.checklist.problems import Location, Problem
from handsfree.language.phrase import Phrase

_NEGATIONS = frozenset({"no", "not"})


def confusable_phrases(subject: Subject) -> Iterator[Problem]:
    """Errors ``ambiguous``; warnings ``good-inside-bad`` and ``pass-shadows-defect``."""
    for where, item in subject.items:
        phrases = subject.phrases(item)
        yield from _ambiguous(where, item, phrases, subject.controls)
        yield from _good_inside_bad(where, item, phrases)
        yield from _shadowed_defects(subject, where, item, phrases)


def _ambiguous(where: Location, item: Item, phrases: Sequence[Phrase], controls: Sequence[Phrase]) -> Iterator[Problem]:
    first: dict[str, Phrase] = {}
    # A bare "checked" that passes is both, on purpose.
    for phrase in (*phrases, *(one for one in controls if one.meaning.get("control") != "checked")):
        other = first.setdefault(phrase.heard_as, phrase)
        if other.meaning != phrase.meaning:
            message = f"item '{item.id}': '{phrase.text}' means both {_meant(other)} and {_meant(phrase)}"
            yield Problem(message, where, code="ambiguous", hint="say one of them in other words")


def _good_inside_bad(where: Location, item: Item, phrases: Sequence[Phrase]) -> Iterator[Problem]:
    """The good words inside bad ones: "in place" in "hardly in place"; in noise a piece is heard alone."""
    if item.kind != "indicator":
        return
    own = [phrase for phrase in phrases if phrase.meaning.get("item") == item.id]
    good = [phrase for phrase in own if phrase.meaning.get("state")]
    states = {state.id for state in item.states}
    bad = [phrase for phrase in own if phrase.meaning.get("finding") in states]
    for one in good:
        for other in bad:
            if _inside(one.heard_as, other.heard_as):
                message = f"item '{item.id}': the good '{one.text}' is heard inside the bad '{other.text}'"
                hint = "say one of the two states in words of its own"
                yield Problem(message, where, code="good-inside-bad", hint=hint, level="warning")


def _inside(good: str, bad: str) -> bool:
    """Whether the bad words are the good ones and more than a plain denial."""
    before, found, after = f" {bad} ".partition(f" {good} ")
    return bool(found) and not _NEGATIONS.issuperset((before + " " + after).split())


def _shadowed_defects(subject: Subject, where: Location, item: Item, phrases: Sequence[Phrase]) -> Iterator[Problem]:
    """A response that passes in the very words of an everyday defect, where no indicator declares it good."""
    if item.kind == "indicator" or not phrases:
        return
    defects = {path.heard for path in subject.patterns.expansion("<findings.any>").paths()}
    for phrase in phrases:
        if phrase.meaning.outcome == "pass" and phrase.heard_as in defects:
            message = f"item '{item.id}': '{phrase.text}' passes, and is a defect everywhere else"
            hint = "declare it as the good state of an indicator, or choose other words"
            yield Problem(message, where, code="pass-shadows-defect", hint=hint, level="warning")


def _meant(phrase: Phrase) -> str:
    slots = ", ".join(f"{name} {value}" for name, value in phrase.meaning.slots if name != "item")
    return f"{phrase.meaning.outcome} ({slots})" if slots else phrase.meaning.outcome
