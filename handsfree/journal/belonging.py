"""Whether a log can be about the checklist that lies beside it: both may come from somebody else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from handsfree.checklist.models import Checklist
from handsfree.journal import events as log
from handsfree.journal.errors import JournalError
from handsfree.shown import shortened

_Named = tuple[str, Iterable[str | None]]
_LONGEST = 60


def refuse_what_is_not_in(checklist: Checklist, events: Iterable[log.AnyEvent], folder: Path) -> None:
    """Raise JournalError when an event names an item, a zone, a hold or a condition that the checklist does not have.

    The meaning of what was heard is not looked into: only a replay uses it.
    """
    known = {
        "item": {item.id for item in checklist.items()},
        "zone": {zone.id for zone in checklist.zones},
        "hold": {item.hold.id for item in checklist.items() if item.hold},
        "condition": {one.id for one in checklist.conditions},
    }
    for event in events:
        for kind, ids in _named(event):
            for one in ids:
                if one is not None and one not in known[kind]:
                    raise JournalError(
                        f"{folder}, event {event.seq}: its checklist has no {kind} '{shortened(one, _LONGEST)}'",
                        "put the checklist of this walk beside its log again, as checklist.yaml",
                    )


def _named(event: log.AnyEvent) -> Iterator[_Named]:
    yield "item", (event.item,)
    yield "zone", (event.zone,)
    match event:
        case log.Opened(conditions=conditions):
            yield "condition", conditions
        case log.HoldEvent(hold=hold):
            yield "hold", (hold,)
        case log.ConditionEvent(condition=condition):
            yield "condition", (condition,)
        case log.Servicing(items=items):
            yield "item", items
        case log.Ended(open_items=items, holds=holds):
            yield "item", items
            yield "hold", holds
        case _:
            pass
