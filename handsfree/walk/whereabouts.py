"""Practice: the trainee says where they are, or asks for help."""

from __future__ import annotations

import re

from handsfree.checklist.models import Item
from handsfree.language.meaning import Meaning
from handsfree.walk import asking, practising, route, wording
from handsfree.walk.events import ReturnedNote
from handsfree.walk.turn import Turn

_SENTENCE = re.compile(r"(?<=[.!?])\s+")


def arrive(turn: Turn, meaning: Meaning) -> None:
    """The trainee names the item or the zone where they are."""
    due = turn.state.due
    named = meaning.get("at_item")
    if due:
        turn.change(due="")
        turn.note(ReturnedNote(named, due))
        if named != due and not practising.is_from_memory(turn):
            turn.say(turn.words.you_were_at(turn.checklist.item(due).name))
            named = due
    if named is None:
        _enter(turn, meaning.get("at_zone") or "")
    else:
        _arrive_at(turn, turn.checklist.item(named))


def _arrive_at(turn: Turn, item: Item) -> None:
    if item.needs is not None and item.needs not in turn.state.holds:
        turn.tone("not_heard")
        turn.say(turn.words.shut(item.name, turn.checklist.hold(item.needs).who))
        return
    standing = turn.state.standing_at(item.id)
    asking.go_to(turn, item, again=bool(standing), correcting=bool(standing) and route.is_answered(turn.state, item))


def _enter(turn: Turn, zone_id: str) -> None:
    zone = next(one for one in turn.checklist.zones if one.id == zone_id)
    turn.tone("heard")
    asking.enter(turn, zone)


def help_with(turn: Turn, control: str) -> bool:
    """Answer what only somebody who practises may ask; False when it is none of that."""
    match control:
        case "why" | "what_bad_looks_like" if turn.state.item is None:
            pass
        case "why":
            turn.say(turn.item.why or wording.NO_WHY)
        case "what_bad_looks_like":
            turn.say(_bad(turn.item.look_for))
        case "what_comes_next":
            following = route.next_item(turn.checklist, turn.state)
            turn.say(turn.words.comes_next(following.name if following else ""))
        case _:
            return False
    turn.repeat()
    return True


def _bad(look_for: str) -> str:
    """What a checklist says to look for, without what it says of the good."""
    bad = [one for one in _SENTENCE.split(look_for) if not one.startswith("Good ")]
    return " ".join(bad) or look_for
