"""Asking items: going to one, prompting it, and leaving it."""

from __future__ import annotations

from typing import Literal

from handsfree.checklist.models import Hold, Item, Zone
from handsfree.walk import practising, route
from handsfree.walk.events import AskedNote, LeftNote, ZoneNote
from handsfree.walk.turn import Turn


def advance(turn: Turn) -> bool:
    """Go to the next item; False when there is none to ask."""
    item = route.next_item(turn.checklist, turn.state)
    if item is None:
        return False
    go_to(turn, item, again=item.id in turn.state.left)
    return True


def go_to(turn: Turn, item: Item, *, again: bool = False, correcting: bool = False) -> None:
    """Make an item the present one and prompt it; ``again`` = it was asked before."""
    zone = turn.checklist.zone_of(item.id)
    if zone.id != turn.state.zone:
        enter(turn, zone)
    move_to(turn, item, correcting=correcting)
    if item.caution:
        turn.say(turn.words.caution(item.caution))
    practising.note_sight(turn, item)
    ask(turn, again=again)
    practising.interrupt(turn)


def enter(turn: Turn, zone: Zone) -> None:
    """Come into a zone: name it, warn, and tell what practice has to be seen there."""
    if zone.id != turn.state.zone:
        turn.change(zone=zone.id)
        turn.note(ZoneNote(zone.id))
    if not practising.is_from_memory(turn):
        turn.say(turn.words.zone_entry(zone.name))
    if zone.caution:
        turn.say(turn.words.caution(zone.caution))
    practising.tell_zone(turn, zone.id)


def move_to(turn: Turn, item: Item, *, correcting: bool) -> None:
    """Make an item the present one without a word: its answer has come already."""
    zone = turn.checklist.zone_of(item.id)
    if zone.id != turn.state.zone:
        turn.change(zone=zone.id)
        turn.note(ZoneNote(zone.id))
    turn.change(item=item.id, correcting=correcting)
    turn.wait("item")
    turn.note(AskedNote(item.id))


def ask(turn: Turn, *, again: bool = False) -> None:
    """Prompt the present item, or the part of it that is not yet answered."""
    turn.change(moment="item")
    item = turn.item
    missing = missing_parts(turn, item)
    begun = bool(missing) and len(missing) < len(item.parts)
    if practising.is_from_memory(turn):
        sight = practising.sight_at(turn, item)
        turn.tone("heard")
        turn.prompt(sight.text if sight and not begun else "")
        return
    if begun:
        turn.prompt(turn.words.part_prompt(item.parts[missing[0]]))
        return
    reported = [
        turn.words.describe(turn.checklist, one.meaning)
        for one in turn.state.standing_at(item.id)
        if one.kind == "finding" and (one.elsewhere or item.id in turn.state.reopened)
    ]
    words = turn.words.item_prompt(item, full=turn.state.full_prompts, reported=reported, again=again)
    taught = practising.teaching(turn, item)
    sight = practising.sight_at(turn, item)
    shown = " ".join(one for one in (words, sight.text if sight else "") if one)
    turn.prompt(" ".join(one for one in (words, taught, sight.text if sight else "") if one), shown if taught else "")


def missing_parts(turn: Turn, item: Item) -> list[str]:
    """Parts of an item that no standing pass covers."""
    covered: set[str] = set()
    for one in turn.state.standing_at(item.id):
        if one.kind != "finding":
            covers = one.meaning.get("covers")
            covered.update(item.parts if covers is None else covers.split(","))
    return [part for part in item.parts if part not in covered]


def leave(turn: Turn, item: Item, reason: Literal["asked", "not understood", "unable", "next zone"]) -> None:
    """Leave an item for later, or, the second time, until the end is named."""
    if item.id in turn.state.left:
        turn.change(left_again=turn.state.left_again | {item.id})
    else:
        turn.change(left=(*turn.state.left, item.id))
    turn.note(LeftNote(item.id, reason))
    if reason != "next zone":
        turn.say(turn.words.left_words(item.name))
    if item.hold is not None:
        say_what_stays_shut(turn, item.hold)


def say_what_stays_shut(turn: Turn, hold: Hold) -> None:
    """Name the items that a hold which is not confirmed keeps shut."""
    shut = [one.name for one in turn.checklist.items() if one.needs == hold.id]
    turn.say(turn.words.holds_lost(shut, hold.who))
