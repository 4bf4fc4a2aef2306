"""The size of zones, and the order within them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.problems import Problem

LONGEST_ZONE: Final = 12
"""Items that are always asked; our own number for a chunk that is walked without a pause."""
_LATE: Final = 2 / 3


def long_zones(subject: Subject) -> Iterator[Problem]:
    """Warning ``long-zone``."""
    for at, zone in enumerate(subject.checklist.zones):
        always = sum(item.only_if is None for item in zone.items)
        if always > LONGEST_ZONE:
            message = f"zone '{zone.id}' has {always} items; {LONGEST_ZONE} are enough to be kept in mind"
            hint = "make two zones of it, where one stops between them"
            yield Problem(message, ("zones", at), code="long-zone", hint=hint, level="warning")


def late_criticals(subject: Subject) -> Iterator[Problem]:
    """Note ``critical-late``: the first critical item of a zone stands in its last third."""
    for at, zone in enumerate(subject.checklist.zones):
        critical = [place for place, item in enumerate(zone.items) if item.critical]
        if critical and critical[0] > _LATE * len(zone.items):
            name = zone.items[critical[0]].id
            message = f"the first critical item of zone '{zone.id}' is '{name}', number {critical[0] + 1} of it"
            where = ("zones", at, "items", critical[0])
            yield Problem(message, where, code="critical-late", hint="ask it earlier if the way allows", level="note")
