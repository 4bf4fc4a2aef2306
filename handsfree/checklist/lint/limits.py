"""Numbers: limits have a source, and everything on either side of them can be spoken."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.models import Count, Quantity
from handsfree.checklist.problems import Location, Problem


def unsound_limits(subject: Subject) -> Iterator[Problem]:
    """Errors ``limit-without-source`` and ``limit-not-sayable``; warnings ``no-room-beyond-limit``."""
    for where, item in subject.items:
        if item.quantity is not None:
            yield from _quantity((*where, "quantity"), item.id, item.quantity)
        if item.count is not None:
            yield from _count((*where, "count"), item.id, item.count)


def unsayable_units(subject: Subject) -> Iterator[Problem]:
    """Note ``unit-not-sayable``."""
    for where, item in subject.items:
        quantity = item.quantity
        if quantity is not None and quantity.form == "number" and quantity.spoken_unit is None:
            message = f"item '{item.id}': '{quantity.unit}' cannot be said behind the number"
            hint = f"people do say it: add 'spoken_unit: {quantity.unit}'"
            yield Problem(message, (*where, "quantity"), code="unit-not-sayable", hint=hint, level="note")


def _quantity(where: Location, item: str, quantity: Quantity) -> Iterator[Problem]:
    least, most = quantity.sayable
    if (quantity.low is not None or quantity.high is not None) and not quantity.source:
        yield _no_source(where, item)
    if least > most or least < 0 or (quantity.form == "fraction" and most > 1):
        message = f"item '{item}': {least:g} to {most:g} cannot be spoken"
        hint = "from 0 to 1 for a fraction of full" if quantity.form == "fraction" else "the lower number first, from 0"
        yield Problem(message, (*where, "sayable"), code="limit-not-sayable", hint=hint)
        return
    if quantity.low is not None and quantity.high is not None and quantity.low > quantity.high:
        message = f"item '{item}': the low limit {quantity.low:g} lies above the high limit {quantity.high:g}"
        yield Problem(message, (*where, "low"), code="limit-not-sayable")
    for name, limit in (("low", quantity.low), ("high", quantity.high)):
        if limit is not None and not least <= limit <= most:
            message = f"item '{item}': the limit {limit:g} lies outside what can be spoken, {least:g} to {most:g}"
            yield Problem(message, (*where, name), code="limit-not-sayable", hint="widen 'sayable'")
        elif limit is not None and quantity.form == "number" and not _on_a_step(limit, least, quantity.step):
            message = f"item '{item}': the limit {limit:g} lies between two numbers that can be spoken"
            hint = f"numbers go from {least:g} in steps of {quantity.step:g}: give a finer 'step', as 'step: 0.5'"
            yield Problem(message, (*where, name), code="limit-not-sayable", hint=hint)
    if quantity.low is not None and least == quantity.low > 0:
        yield _no_room(where, item, f"less than {quantity.low:g}", "sayable")
    if quantity.high is not None and most == quantity.high and quantity.form == "number":
        yield _no_room(where, item, f"more than {quantity.high:g}", "sayable")


def _on_a_step(limit: float, least: float, step: float) -> bool:
    beyond, start, width = (Decimal(str(one)) for one in (limit, least, step))
    return (beyond - start) % width == 0


def _count(where: Location, item: str, count: Count) -> Iterator[Problem]:
    if not count.source:
        yield _no_source(where, item)
    if count.expect > count.most:
        message = f"item '{item}': {count.expect} {count.of} are expected and at most {count.most} can be spoken"
        yield Problem(message, (*where, "most"), code="limit-not-sayable", hint="raise 'most'")
    elif count.expect == count.most:
        yield _no_room(where, item, f"more than {count.expect}", "most")


def _no_source(where: Location, item: str) -> Problem:
    message = f"item '{item}': a limit without its source"
    hint = "name the manual it comes from under 'source'; without a source there is no limit"
    return Problem(message, where, code="limit-without-source", hint=hint)


def _no_room(where: Location, item: str, what: str, field: str) -> Problem:
    message = f"item '{item}': {what} cannot be spoken, so nobody can report it"
    return Problem(message, (*where, field), code="no-room-beyond-limit", hint=f"widen '{field}'", level="warning")
