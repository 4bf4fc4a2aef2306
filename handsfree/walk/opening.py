"""The start of a walk: cautions, level check, who, which aircraft, and the questions that decide conditional items."""

from __future__ import annotations

import re

from handsfree.language.heard import Heard
from handsfree.walk import practising, wording
from handsfree.walk.events import Begin, ConditionNote, IdentityNote
from handsfree.walk.turn import Turn

NOT_GIVEN = "not given"
TRIES = 3
"""Failed hearings before the walk goes on without the answer, and says so."""


def begin(turn: Turn, event: Begin) -> None:
    """Speak the cautions and ask the first question."""
    turn.change(who=event.who, registration=event.registration, full_prompts=event.full_prompts, given=event.given)
    turn.say(turn.words.opening(turn.checklist))
    turn.say(wording.ON_TRIAL if turn.words.on_trial else "")
    turn.say(turn.words.given_beforehand(event.given))
    practising.open_course(turn)
    if event.level_check:
        turn.wait("level")
        turn.prompt(wording.LEVEL)
    else:
        ask_next(turn)


def ask_next(turn: Turn) -> None:
    """Ask the next thing that is not yet known; when all is known the walk goes to its first item."""
    state = turn.state
    asked = len(state.conditions)
    if not state.who:
        turn.wait("who")
        turn.prompt(wording.WHO)
    elif not state.registration:
        turn.wait("registration")
        turn.prompt(wording.REGISTRATION)
    elif asked < len(turn.checklist.conditions):
        if asked == 0:
            _note_identity(turn)
        one = turn.checklist.conditions[asked]
        given = dict(state.given).get(one.id)
        if given is None:
            turn.wait("condition")
            turn.prompt(one.ask)
        else:
            condition(turn, holds=given)
    else:
        if not turn.checklist.conditions:
            _note_identity(turn)
        turn.go_on()


def level(turn: Turn, heard: Heard) -> None:
    """Answer the level check."""
    turn.say(turn.words.level_report(heard.snr_db))
    ask_next(turn)


def letters(turn: Turn, text: str) -> None:
    """Initials or a registration were spelled: read them back."""
    if turn.state.moment == "who":
        turn.change(draft=text)
        turn.wait("who_check")
        turn.prompt(turn.words.check_spelling("Initials", text))
        return
    if not re.fullmatch(turn.checklist.aircraft.registration.pattern, text):
        turn.say(turn.words.another_registration(text, turn.checklist.aircraft.registration.example))
        turn.tone("not_heard")
        miss(turn)
        return
    turn.change(draft=text)
    turn.wait("registration_check")
    turn.prompt(turn.words.check_spelling("Registration", text))


def spelling_checked(turn: Turn, *, right: bool) -> None:
    """The read-back of initials or registration was affirmed or refused."""
    field = "who" if turn.state.moment == "who_check" else "registration"
    turn.change(**{field: turn.state.draft if right else "", "draft": ""})
    ask_next(turn)


def condition(turn: Turn, *, holds: bool, assumed: bool = False) -> None:
    """A question at the start is answered."""
    one = turn.checklist.conditions[len(turn.state.conditions)]
    turn.change(conditions=(*turn.state.conditions, (one.id, holds)))
    turn.note(ConditionNote(one.id, holds, assumed))
    ask_next(turn)


def miss(turn: Turn) -> None:
    """Something was said and not understood; the third time the walk goes on without it, and says so."""
    turn.change(misses=turn.state.misses + 1)
    if turn.state.misses < TRIES:
        turn.say(wording.AGAIN)
        turn.repeat()
        if turn.state.moment == "registration" and turn.state.misses == TRIES - 1:
            turn.say(turn.words.such_as(turn.checklist.aircraft.registration.example))
        return
    moment = turn.state.moment
    if moment == "level":
        turn.say(turn.words.level_report(0.0))
        ask_next(turn)
    elif moment == "condition":
        turn.say(wording.CAREFUL)
        condition(turn, holds=True, assumed=True)
    else:
        is_name = moment in ("who", "who_check")
        turn.say(turn.words.going_on_without("Initials" if is_name else "Registration"))
        turn.change(**{"who" if is_name else "registration": NOT_GIVEN, "draft": ""})
        ask_next(turn)


def _note_identity(turn: Turn) -> None:
    turn.note(IdentityNote(turn.state.who, turn.state.registration))
