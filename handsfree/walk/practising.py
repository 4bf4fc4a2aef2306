"""Practice on a walk: what is to be seen is told, help is given and noted, and the place is lost on purpose.

Without a course nothing here does anything: a walk round a real aircraft knows no scenes and no planted interruptions.
"""

from __future__ import annotations

from typing import Literal

from handsfree.checklist.models import Item
from handsfree.walk import wording
from handsfree.walk.course import Sight
from handsfree.walk.events import HelpedNote, InterruptedNote, SightNote
from handsfree.walk.turn import Turn

Help = Literal[
    "why", "what bad looks like", "what to look for", "what comes next", "what is left", "where", "what was left out"
]
HELPS: dict[str, Help] = {
    "why": "why",
    "what_bad_looks_like": "what bad looks like",
    "what_to_look_for": "what to look for",
    "what_comes_next": "what comes next",
    "what_is_left": "what is left",
    "where_are_we": "where",
}
"""Control words that are help, when somebody practises."""


def is_from_memory(turn: Turn) -> bool:
    """Whether nothing is prompted: the trainee says where they are."""
    return turn.course is not None and not turn.course.is_prompted


def open_course(turn: Turn) -> None:
    """Say that this is practice, how it goes, and what the situation is."""
    if turn.course is not None:
        turn.say(wording.PRACTICE[turn.course.practice])
        turn.say(turn.course.setting)


def go_on_from_memory(turn: Turn) -> None:
    """Wait for the trainee to go on: with more about the present item, or by naming another."""
    turn.wait("where" if turn.state.item is None else "item")
    turn.prompt(wording.WHERE if turn.state.item is None else "", again="")


def tell_zone(turn: Turn, zone_id: str) -> None:
    """What is to be seen in a zone where no item asks, once."""
    if turn.course is None or zone_id in turn.state.told:
        return
    turn.change(told=turn.state.told | {zone_id})
    for sight in turn.course.in_zones.get(zone_id, ()):
        _tell(turn, sight, None, zone_id)


def sight_at(turn: Turn, item: Item) -> Sight | None:
    """What is to be seen at an item."""
    return None if turn.course is None else turn.course.at_items.get(item.id)


def teaching(turn: Turn, item: Item) -> str:
    """What a guided trainee is told with the question, while prompts are full: what to look for, and why."""
    if turn.course is None or turn.course.practice != "guided" or not turn.state.full_prompts:
        return ""
    return " ".join(one for one in (item.look_for, item.why) if one)


def note_sight(turn: Turn, item: Item) -> None:
    """What the prompt tells is in the log with its truth, once for each time that the item is asked."""
    sight = sight_at(turn, item)
    if sight is not None:
        turn.note(_note(sight, item.id, turn.checklist.zone_of(item.id).id))


def interrupt(turn: Turn) -> None:
    """The interruption that is planted at the present item, once, in place of its answer."""
    planted = None if turn.course is None else turn.course.interruptions.get(turn.item.id)
    if planted is None or turn.item.id in turn.state.interrupted or turn.state.moment != "item":
        return
    turn.change(interrupted=turn.state.interrupted | {turn.item.id}, due=turn.item.id)
    turn.note(InterruptedNote(turn.item.id, planted.kind, planted.text))
    turn.wait("where")
    turn.say(planted.text)
    turn.prompt(wording.WHERE_ON)


def note_help(turn: Turn, control: str) -> None:
    """Each help counts; on a walk round a real aircraft nothing is counted."""
    if turn.course is not None and control in HELPS:
        turn.note(HelpedNote(turn.state.item, HELPS[control]))


def note_omissions(turn: Turn) -> None:
    """The end names what was left out: what is answered after that was not remembered."""
    if turn.course is not None:
        turn.note(HelpedNote(turn.state.item, "what was left out"))


def _tell(turn: Turn, sight: Sight, item: str | None, zone: str) -> None:
    turn.say(sight.text)
    turn.note(_note(sight, item, zone))


def _note(sight: Sight, item: str | None, zone: str) -> SightNote:
    return SightNote(item, zone, sight.scene, sight.text, sight.truth, sight.findings, sight.difficulty)
