"""Holds, their undoing, and conditions: items that can never be asked, and pressure that stays on."""

from __future__ import annotations

from collections.abc import Iterator

from handsfree.checklist.lint.subject import Spot, Subject
from handsfree.checklist.problems import Problem


def unreachable_items(subject: Subject) -> Iterator[Problem]:
    """Errors ``hold-too-late``, ``after-undo``, ``hold-not-always``; warnings ``hold-not-undone`` and ``not-used``."""
    order = {item.id: at for at, (_, item) in enumerate(subject.items)}
    holds = {spot.item.hold.id: spot for spot in subject.items if spot.item.hold}
    undoes = {spot.item.undoes: spot for spot in subject.items if spot.item.undoes}
    for spot in subject.items:
        where, item = spot
        hold = holds.get(item.needs or item.undoes or "")
        undo = undoes.get(item.needs or "")
        field = "needs" if item.needs else "undoes"
        if hold and order[hold.item.id] > order[item.id]:
            message = f"item '{item.id}' comes before the hold '{hold.item.id}' that it {field}"
            yield Problem(message, (*where, field), code="hold-too-late", hint="move the hold before it")
        if undo and order[undo.item.id] < order[item.id]:
            message = f"item '{item.id}' needs a hold that '{undo.item.id}' has ended before"
            yield Problem(message, (*where, "needs"), code="after-undo", hint="move the undo behind it")
        if hold and hold.item.only_if and hold.item.only_if != item.only_if:
            yield _not_always(spot, hold, field)
    yield from _not_undone(subject, set(undoes))
    yield from _not_used(subject)


def _not_always(spot: Spot, hold: Spot, field: str) -> Problem:
    message = f"item '{spot.item.id}' {field} a hold that is asked only if '{hold.item.only_if}'"
    hint = f"write 'only_if: {hold.item.only_if}' here too, or take it away from '{hold.item.id}'"
    return Problem(message, (*spot.where, field), code="hold-not-always", hint=hint)


def _not_undone(subject: Subject, undone: set[str | None]) -> Iterator[Problem]:
    for where, item in subject.items:
        if item.hold and item.hold.id not in undone:
            message = f"nothing ends the hold '{item.hold.id}' of item '{item.id}'"
            hint = f"add an item of kind 'undo' with 'undoes: {item.hold.id}'"
            yield Problem(message, (*where, "hold"), code="hold-not-undone", hint=hint, level="warning")


def _not_used(subject: Subject) -> Iterator[Problem]:
    needed = {spot.item.needs for spot in subject.items}
    conditions = {spot.item.only_if for spot in subject.items}
    for where, item in subject.items:
        if item.hold and item.hold.id not in needed:
            message = f"no item needs the hold '{item.hold.id}'"
            yield Problem(message, (*where, "hold"), code="not-used", level="warning")
    for at, condition in enumerate(subject.checklist.conditions):
        if condition.id not in conditions:
            message = f"no item depends on the condition '{condition.id}'"
            hint = "remove the question, or write 'only_if' at an item"
            yield Problem(message, ("conditions", at), code="not-used", hint=hint, level="warning")
