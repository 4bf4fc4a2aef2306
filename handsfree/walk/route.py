"""Which item comes next: the order of the walk, with holds, conditions, items left for later and repeats."""

from __future__ import annotations

from typing import Literal

from handsfree.checklist.models import Checklist, Item
from handsfree.walk.state import WalkState

Status = Literal["passed", "finding", "left", "open", "shut", "not asked"]
"""``shut`` = its hold is not confirmed; ``not asked`` = its condition does not hold, or there is nothing to undo."""


def status(state: WalkState, item: Item) -> Status:
    """How an item stands.  A pass beside a finding is a finding."""
    standing = state.standing_at(item.id)
    if any(one.kind == "finding" for one in standing):
        return "finding"
    if _answered_here(item, state):
        return "passed"
    if not applies(state, item) or (item.undoes is not None and item.undoes not in state.holds):
        return "not asked"
    if item.id in state.left:
        return "left"
    if item.needs is not None and item.needs not in state.holds:
        return "shut"
    return "open"


def applies(state: WalkState, item: Item) -> bool:
    """Whether the item's condition holds; a condition not yet decided counts as holding."""
    return item.only_if is None or dict(state.conditions).get(item.only_if, True)


def is_answered(state: WalkState, item: Item) -> bool:
    """Whether the item's own question was answered; a report from elsewhere does not, nor a finding before a repeat."""
    own_finding = item.id not in state.reopened and any(
        one.kind == "finding" and not one.elsewhere for one in state.standing_at(item.id)
    )
    return own_finding or _answered_here(item, state)


def unanswered(checklist: Checklist, state: WalkState) -> tuple[Item, ...]:
    """Items that are due and not answered, in walking order: open, left for later, or shut."""
    return tuple(
        item for item in checklist.items() if not is_answered(state, item) and status(state, item) != "not asked"
    )


def is_all_named(checklist: Checklist, state: WalkState) -> bool:
    """Whether each of them was named to the inspector, at the question that ends a walk incomplete."""
    return {item.id for item in unanswered(checklist, state)} <= state.named


def next_item(checklist: Checklist, state: WalkState) -> Item | None:
    """The item to ask now.

    First the next open one in walking order, then open ones behind, then those left for later; an item left twice is
    asked no more.  None = only shut items, items left twice, or nothing at all remain.
    """
    items = checklist.items()
    here = next((index for index, item in enumerate(items) if item.id == state.item), -1)
    ahead = (*items[here + 1 :], *items[: here + 1])
    askable = [
        item
        for item in ahead
        if not is_answered(state, item)
        and status(state, item) not in ("shut", "not asked")
        and item.id not in state.left_again
        and not _is_shut(state, item)
    ]
    fresh = [item for item in askable if item.id not in state.left]
    # An undo ends what the items of its hold still need, so those left for later come before it.
    for item in fresh:
        if item.kind == "undo":
            waiting = [one for one in askable if one.needs == item.undoes]
            return waiting[0] if waiting else item
        return item
    by_age = {item_id: age for age, item_id in enumerate(state.left)}
    return min(askable, key=lambda item: by_age[item.id], default=None)


def previous_item(checklist: Checklist, state: WalkState) -> Item | None:
    """The item asked before the present one: the nearest answered or left one behind it that is not shut."""
    items = checklist.items()
    here = next((index for index, item in enumerate(items) if item.id == state.item), 0)
    for item in reversed(items[:here]):
        if (is_answered(state, item) or item.id in state.left) and not _is_shut(state, item):
            return item
    return None


def _answered_here(item: Item, state: WalkState) -> bool:
    """Whether standing passes or values cover the whole item."""
    passes = [one for one in state.standing_at(item.id) if one.kind != "finding"]
    covered: set[str] = set()
    for one in passes:
        covers = one.meaning.get("covers")
        if covers is None:
            return True
        covered.update(covers.split(","))
    return bool(passes) and covered >= set(item.parts)


def _is_shut(state: WalkState, item: Item) -> bool:
    return item.needs is not None and item.needs not in state.holds
