"""Control phrases: what "say again", "stand by", "leave for later" and the rest do."""

from __future__ import annotations

from handsfree.walk import answering, asking, closing, route, wording
from handsfree.walk.events import ServicingNote, StandByNote
from handsfree.walk.state import Answer
from handsfree.walk.turn import Turn

TALKED_OVER = frozenset({"roger", "wilco"})
"""Received, will comply: never an answer (ICAO Doc 9432), and nothing to do."""


def common(turn: Turn, control: str, snr_db: float | None) -> bool:
    """Controls that work at every moment; False when this is none of them."""
    match control:
        case "say_again":
            turn.say_again()
        case "stand_by":
            stand_by(turn)
        case "speak_slower":
            turn.pace(slow=not turn.state.slow)
            turn.say_again()
        case "full_prompts" | "short_prompts":
            turn.change(full_prompts=control == "full_prompts")
            turn.say(turn.words.pace_of_prompts(full=turn.state.full_prompts))
            turn.repeat()
        case "how_do_you_read":
            turn.say(turn.words.level_report(snr_db))
            turn.repeat()
        case "where_are_we":
            _where(turn)
            turn.repeat()
        case "what_is_left":
            _what_is_left(turn)
            turn.repeat()
        case "voice_note":
            suspend(turn)
            turn.wait("note")
            turn.say(wording.NOTE_STARTS)
        case "servicing_done":
            servicing(turn)
        case _ if control in TALKED_OVER:
            pass
        case _:
            return False
    return True


def at_item(turn: Turn, control: str) -> None:
    """Controls while an item is asked."""
    match control:
        case "what_to_look_for":
            turn.say(turn.item.look_for)
            turn.repeat()
        case "leave_for_later" | "unable":
            _leave(turn, unable=control == "unable")
        case "next_zone":
            next_zone(turn)
        case "previous_item":
            previous(turn)
        case "correction" | "disregard":
            correct_last(turn)
        case "read_back":
            last = turn.state.last_answer()
            turn.say(f"{_words_of(turn, last)}." if last else wording.NOTHING_ANSWERED)
            turn.repeat()
        case "end_walk":
            closing.ask_to_end(turn)
        case "carry_on":
            if route.is_answered(turn.state, turn.item):
                turn.change(correcting=False)
                turn.go_on()
            else:
                turn.repeat()
        case _:
            _no_answer(turn, control)


def _leave(turn: Turn, *, unable: bool) -> None:
    if turn.state.correcting:  # it is to be mended, or was gone back to: its answer is not to stand
        answering.reopen(turn, turn.item)
    if not route.is_answered(turn.state, turn.item):
        asking.leave(turn, turn.item, "unable" if unable else "asked")
    turn.go_on()


def _no_answer(turn: Turn, control: str) -> None:
    """Affirm, negative, a bare "checked": no answer to "what do you see"."""
    if control == "negative":
        answering.doubt(turn)
    turn.tone("not_heard")
    turn.say(wording.NOT_AN_ANSWER)
    turn.say(turn.words.choices(turn.choices(turn.item)))


def suspend(turn: Turn) -> None:
    """Remember what is going on.  A check of the place or a note is itself an interruption of what was before it."""
    if turn.state.moment not in ("stand_by", "place_check", "note"):
        turn.change(suspended=turn.state.moment)


def stand_by(turn: Turn) -> None:
    """Stop listening for answers until "carry on"."""
    suspend(turn)
    turn.wait("stand_by")
    turn.note(StandByNote(active=True))
    turn.prompt(wording.STANDING_BY)


def carry_on(turn: Turn) -> None:
    """Come back from a stand by: the last answer is read back first, since the place is easily lost.

    NASA ASRS report 239002: an exterior check was interrupted; on resuming, the pitot area was skipped.
    """
    turn.note(StandByNote(active=False))
    if turn.state.unheeded:
        turn.say(wording.UNHEEDED)
    turn.change(unheeded=False)
    find_place(turn)


def find_place(turn: Turn) -> None:
    """Read the last answer back and have it confirmed, then go on where the walk was."""
    last = turn.state.last_on_the_way()
    in_question = turn.state.pending or turn.state.guess or turn.state.withdrawing
    if in_question or last is None or turn.state.suspended in ("end_check", "decision", "level"):
        back_to(turn)
        return
    turn.wait("place_check")
    turn.prompt(turn.words.affirm(_words_of(turn, last)))


def back_to(turn: Turn) -> None:
    """Take up what was suspended, and ask it again."""
    match turn.state.suspended:
        case "item":
            turn.wait("item")
            if route.is_answered(turn.state, turn.item) and not turn.state.correcting:
                turn.go_on()
            else:
                asking.ask(turn, again=True)
        case "read_back" | "which":
            answering.read_back(turn)
        case "end_check":
            closing.ask_to_end(turn)
        case "decision":
            closing.ask_decision(turn)
        case moment:
            turn.wait(moment)
            _ask_moment(turn)


def after_report(turn: Turn) -> None:
    """Put the question again that a report has interrupted."""
    moment = turn.state.returning
    turn.change(returning="item")
    match moment:
        case "end_check":
            closing.ask_to_end(turn, again=True)
        case "decision":
            closing.ask_decision_again(turn)
        case "place_check":
            turn.change(suspended="item")  # the place is checked only at an item
            find_place(turn)
        case _:
            turn.wait(moment)
            _ask_moment(turn)


def servicing(turn: Turn) -> None:
    """Servicing was reported: items marked for it are asked again; findings stay."""
    again = [
        item
        for item in turn.checklist.items()
        if item.repeat_after_servicing and not all(one.elsewhere for one in turn.state.standing_at(item.id))
    ]
    for item in again:
        answering.reopen(turn, item)
    if again and turn.state.outcome:  # reported while the decision is awaited: the walk goes on
        suspended = "item" if turn.state.suspended == "decision" else turn.state.suspended
        turn.change(outcome="", suspended=suspended, returning="item")
    turn.note(ServicingNote(tuple(item.id for item in again)))
    turn.say(turn.words.servicing([item.name for item in again]))
    if turn.state.moment == "item" and turn.item in again:
        asking.ask(turn)
    else:
        turn.repeat()


def correct_last(turn: Turn) -> None:
    """For "correction" and "disregard": the last answer counts no more and is asked again; it stays in the log."""
    last = turn.state.last_answer()
    if turn.state.correcting:  # the item that is being mended, or was gone back to, is meant
        turn.say(wording.CORRECTION)
        answering.correct(turn, turn.item)
        asking.ask(turn, again=True)
    elif last is None:
        turn.say(wording.NOTHING_TO_CORRECT)
        turn.repeat()
    elif last.item is None or last.elsewhere:  # no question was answered by it: it can only be taken back
        answering.ask_withdrawal(turn, (last.number,))
    else:
        correct_answer(turn, last)


def correct_answer(turn: Turn, answer: Answer) -> None:
    """Ask the item of an answer again."""
    item = turn.checklist.item(answer.item or "")
    turn.say(wording.CORRECTION)
    answering.correct(turn, item)
    asking.go_to(turn, item, correcting=True)


def previous(turn: Turn) -> None:
    """Go to the item before this one; a new answer replaces the old one, "carry on" leaves it."""
    item = route.previous_item(turn.checklist, turn.state)
    if item is None:
        turn.say(wording.FIRST_ITEM)
        turn.repeat()
        return
    standing = turn.state.standing_at(item.id)
    if standing:
        words = turn.words.answer_words(turn.checklist, standing[-1])
        turn.say(turn.words.stands_as(words))
    asking.go_to(turn, item, correcting=bool(standing))


def next_zone(turn: Turn) -> None:
    """Leave what is open in this zone for later, and say how much that is."""
    zone = turn.checklist.zone_of(turn.item.id)
    due = {item.id for item in route.unanswered(turn.checklist, turn.state)}
    for item in zone.items:
        if item.id in due and (item.id not in turn.state.left or item == turn.item):
            asking.leave(turn, item, "next zone")
    left = [item.name for item in zone.items if item.id in due]
    turn.say(turn.words.left_words(", ".join(left)))
    turn.go_on()


def _where(turn: Turn) -> None:
    due = [item for item in turn.checklist.items() if route.status(turn.state, item) != "not asked"]
    answered = sum(route.is_answered(turn.state, item) for item in due)
    turn.say(turn.words.where(turn.checklist, turn.state, answered, len(due)))


def _what_is_left(turn: Turn) -> None:
    missing = route.unanswered(turn.checklist, turn.state)
    ahead = [item for item in missing if item.id not in turn.state.left]
    ids = {item.id for item in ahead}
    zones = [zone.name for zone in turn.checklist.zones if any(item.id in ids for item in zone.items)]
    left = [item.name for item in missing if item.id in turn.state.left]
    turn.say(turn.words.remaining(len(ahead), zones, left))


def _words_of(turn: Turn, answer: Answer) -> str:
    words = turn.words.answer_words(turn.checklist, answer)
    return turn.words.last_answer("" if answer.item is None else turn.checklist.item(answer.item).name, words)


def _ask_moment(turn: Turn) -> None:
    """Ask again what the opening asks; the answer to the last question is not yet known."""
    match turn.state.moment:
        case "level":
            turn.prompt(wording.LEVEL)
        case "who":
            turn.prompt(wording.WHO)
        case "registration":
            turn.prompt(wording.REGISTRATION)
        case "who_check":
            turn.prompt(turn.words.check_spelling("Initials", turn.state.draft))
        case "registration_check":
            turn.prompt(turn.words.check_spelling("Registration", turn.state.draft))
        case "condition":
            turn.prompt(turn.checklist.conditions[len(turn.state.conditions)].ask)
        case "guess_check":
            answering.ask_guess(turn)
        case "withdraw_check":
            answering.ask_withdrawal(turn, turn.state.withdrawing)
        case "where":
            turn.prompt(wording.WHERE_ON if turn.state.due else wording.WHERE)
        case _:
            turn.repeat()
