"""The conversation as a pure state machine: ``step(state, event)`` gives a new state and its effects.

No clock, no files, no sound.  Live, typed and replayed walks are the same events through the same function.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from handsfree.checklist.models import Checklist, Item
from handsfree.checklist.moments import spelled
from handsfree.language.heard import Heard
from handsfree.language.meaning import Meaning
from handsfree.walk import (
    answering,
    asking,
    closing,
    controls,
    opening,
    practising,
    route,
    unheard,
    whereabouts,
    wording,
)
from handsfree.walk.course import Course
from handsfree.walk.events import Begin, Effect, Event, Expect, Resumed, Silence, Spoken, StandByNote
from handsfree.walk.state import Moment, WalkState
from handsfree.walk.turn import Choices, Turn
from handsfree.walk.wording import Wording

LEFT_AFTER = 3
"""Failed hearings at an item before it is left for later.  Never a pass."""
CHOICES_AFTER = 2
"""Failed hearings before the choices are read out."""

_OPENING: frozenset[Moment] = frozenset(
    {"level", "who", "who_check", "registration", "registration_check", "condition"}
)
_AT_ITEM: frozenset[Moment] = frozenset({"item", "read_back", "guess_check"})
_YES_OR_NO: frozenset[Moment] = frozenset(
    {"who_check", "registration_check", "condition", "read_back", "guess_check", "withdraw_check", "place_check",
     "end_check"}
)  # fmt: skip
_BEFORE_A_REPORT: frozenset[Moment] = frozenset({"withdraw_check", "place_check", "where", "end_check", "decision"})
"""Questions that are put again once a report that came instead of an answer is settled."""
_REFUSALS = frozenset({"negative", "correction", "disregard"})
_INTERRUPTIONS = frozenset({"stand_by", "voice_note"})
_LEADS = _REFUSALS | {"affirm"}
"""Controls that may stand before an answer in the same breath."""


def expect(state: WalkState) -> Expect:
    """What may be said now."""
    if state.moment == "which":
        return Expect("which", next(state.answer(number).item for number in state.pending))
    if state.moment == "item":
        last = state.last_answer()
        return Expect("item", state.item, last.item if last is not None and last.item != state.item else None)
    of_the_item = state.moment in ("read_back", "guess_check") and state.returning == "item"
    return Expect(state.moment, state.item if of_the_item else None)


class Walk:
    """A checklist as a conversation."""

    def __init__(
        self, checklist: Checklist, choices: Choices, course: Course | None = None, words: Wording | None = None
    ) -> None:
        """``words`` = the sentences in the language of the checklist; English unless given."""
        self.checklist = checklist
        self._words = words or Wording()
        self._choices = choices
        self._course = course

    def step(self, state: WalkState, event: Event) -> tuple[WalkState, tuple[Effect, ...]]:
        """The next state, and what is to be noted and spoken, in order.  The state given is not changed."""
        turn = Turn(self.checklist, self._choices, state, self._course, self._words)
        match event:
            case Begin():
                opening.begin(turn, event)
            case Spoken(heard):
                _spoken(turn, heard)
            case Silence():
                _silence(turn, event)
            case Resumed():
                _resumed(turn)
        if turn.advancing:
            _advance(turn)
        return turn.state, tuple(turn.effects)


def _advance(turn: Turn) -> None:
    turn.advancing = False
    if turn.state.returning != "item":
        controls.after_report(turn)
    elif practising.is_from_memory(turn):
        practising.go_on_from_memory(turn)
    elif not asking.advance(turn):
        closing.ask_to_end(turn)


def _spoken(turn: Turn, heard: Heard) -> None:
    moment = turn.state.moment
    if moment in ("new", "ended"):
        return
    if moment == "note":
        turn.say(wording.NOTE_KEPT)
        turn.say(wording.LOST_SOUND if heard.lost_sound else "")
        controls.back_to(turn)
    elif heard.outcome == "none":
        _not_for_us(turn, heard)
    elif moment == "stand_by":
        _during_stand_by(turn, heard)
    elif heard.outcome == "ask":
        _in_doubt(turn, heard)
    else:
        unheard.tell(turn, heard)
        _understood(turn, heard)


def _not_for_us(turn: Turn, heard: Heard) -> None:
    """Chatter and noise need no answer, unless the noise or a gap may have made them out of one that was for us.

    Once the person was told in vain, the tool falls silent, so that its own voice does not cover the next try.
    """
    in_vain = turn.state.loud >= unheard.OFFERED_AFTER and not heard.lost_sound
    if turn.state.moment != "stand_by" and unheard.has_reason(heard) and not in_vain:
        turn.tone("not_heard")
        unheard.tell(turn, heard)
        turn.repeat()


def _understood(turn: Turn, heard: Heard) -> None:
    """Work through the clauses: yes or no first, then the answers together, then other controls."""
    clauses = list(heard.meanings)
    answers = [one for one in clauses if one.outcome != "control"]
    if turn.state.moment in _AT_ITEM:
        answers = [answering.judged(turn, one) for one in answers]
    names = [one.get("control") or "" for one in clauses if one.outcome == "control"]
    lead = [name for name in names if name in _LEADS]
    if turn.state.moment in _YES_OR_NO and "affirm" in lead and len(lead) > 1:
        _not_here(turn)  # yes and no in one breath
        return
    if answers and turn.state.moment == "item":
        if _REFUSALS.intersection(lead) and not _refusal_with_answer(turn, lead, answers, heard.said):
            return
    elif not (answers and (turn.state.moment == "which" or turn.state.moment in _BEFORE_A_REPORT)):
        # "Correction, number two" says which; beside a report no question of the tool's own is answered.
        for name in lead[:1]:
            _control(turn, name, heard, answered=bool(answers))
    if answers:
        _answers(turn, answers, heard)
    for name in names:
        if name not in _LEADS and turn.state.moment != "ended":
            _afterwards(turn, name, heard)


def _refusal_with_answer(turn: Turn, lead: Sequence[str], answers: Sequence[Meaning], words: str) -> bool:
    """At an item, "negative" or "correction" before an answer: whether the answer is still to be taken here."""
    last = turn.state.last_answer()
    has_finding = any(one.outcome == "finding" for one in answers)
    if lead[0] == "negative":
        if has_finding:
            return True  # never lost: it is read back
        _not_here(turn)  # "negative, tyres good" says two things
    elif turn.state.correcting or (last is not None and last.item == turn.state.item):
        answering.correct(turn, turn.item)
        return True
    elif all(one.outcome != "finding" or one.get("value") is not None for one in answers):
        # "Correction" speaks of the answer before, whose words belong to another item: it is asked again there.
        controls.correct_last(turn)
    elif last is None or last.item is None or last.elsewhere:
        return True  # no item was answered before
    else:
        _correct_by(turn, turn.checklist.item(last.item), answers, words)
    return False


def _correct_by(turn: Turn, item: Item, answers: Sequence[Meaning], words: str) -> None:
    """A finding said with "correction": the item answered just before is open again, and the finding is its own."""
    meant = [answering.of_the_item_before(turn, one, item) for one in answers]
    turn.say(turn.words.correction_of(item.name))
    answering.correct(turn, item)
    asking.move_to(turn, item, correcting=True)
    answering.take(turn, meant, words)


def _afterwards(turn: Turn, name: str, heard: Heard) -> None:
    """A control phrase at the end of a breath: the walk goes on to the next item only if it leads nowhere else."""
    answered = turn.state.item is not None and route.is_answered(turn.state, turn.item)
    if turn.advancing and (turn.state.returning != "item" or (name in _INTERRUPTIONS and not answered)):
        _advance(turn)  # the opening or a report is over, or the item was left: there is nothing to come back to
    before = (turn.state.moment, turn.state.item)
    advancing, turn.advancing = turn.advancing, False
    _control(turn, name, heard)
    if (turn.state.moment, turn.state.item) == before:
        turn.advancing = turn.advancing or advancing


def _answers(turn: Turn, answers: Sequence[Meaning], heard: Heard) -> None:
    moment = turn.state.moment
    text = spelled(answers)
    findings = [one for one in answers if one.outcome == "finding"]
    if text is not None and moment in ("who", "registration"):
        opening.letters(turn, text)
    elif moment == "which" and findings:
        answering.take(turn, findings, heard.said)
    elif moment == "which":
        answering.give_position(turn, answers[0])
    elif moment in ("item", "read_back"):
        _at_item(turn, answers, heard)
    elif moment == "guess_check" and any(one.get("place") is None for one in findings):
        # A new clear finding in answer to "did you say …?" stands for itself; the guess stays in the log as heard.
        turn.change(guess=(), guess_words="", moment="item")
        _at_item(turn, answers, heard)
    elif findings and (moment == "guess_check" or moment in _BEFORE_A_REPORT):
        turn.change(returning=moment)
        answering.take(turn, findings, heard.said)
    else:
        _not_here(turn)


def _at_item(turn: Turn, answers: Sequence[Meaning], heard: Heard) -> None:
    usable = [one for one in answers if one.outcome == "finding" or _is_good_of(turn.state.item, one)]
    has_finding = any(one.outcome == "finding" for one in usable)
    if not usable or (turn.state.pending and not has_finding):
        # A pass while a finding waits for its yes: the finding is not dropped, the question is put again.
        _not_here(turn)
        return
    turn.advancing = False  # an affirmed read-back in the same breath has already asked to go on
    answering.take(turn, usable, heard.said)


def _is_good_of(item: str | None, meaning: Meaning) -> bool:
    """A pass or a value of this item; where something is (the answer to "which one?") says nothing good of it."""
    return meaning.get("item") == item and meaning.get("quantity") != "position"


def _control(turn: Turn, name: str, heard: Heard, *, answered: bool = False) -> None:
    """One control phrase; ``answered`` = an answer follows in the same breath, so nothing needs to be asked again."""
    if turn.state.moment == "level" and name == "how_do_you_read":
        opening.level(turn, heard)
        return
    practising.note_help(turn, name)
    if controls.common(turn, name, heard.snr_db):
        if name in controls.TALKED_OVER and turn.state.moment in _YES_OR_NO:
            _not_here(turn)
        return
    moment = turn.state.moment
    if moment in ("item", "where") and _practised(turn, name, heard):
        return
    if moment == "item":
        controls.at_item(turn, name)
    elif moment in _YES_OR_NO and name in _LEADS:
        _yes_or_no(turn, yes=name == "affirm", answered=answered)
    elif moment == "place_check" and name == "end_walk":
        closing.ask_to_end(turn)
    elif moment == "decision" and name in closing.DECISIONS:
        closing.decide(turn, name, heard.said)
    elif moment in ("which", "read_back", "guess_check") and name == "leave_for_later":
        _leave_in_question(turn)
    elif moment == "which" and name in _REFUSALS:
        answering.refuse(turn)
        _ask_unless(turn, answered=False)
    elif moment != "level":
        _not_here(turn)


def _practised(turn: Turn, name: str, heard: Heard) -> bool:
    """What is said only while practising; False when it is none of that."""
    if name == "at":
        whereabouts.arrive(turn, next(one for one in heard.meanings if one.get("control") == name))
    elif turn.state.moment == "where" and name == "end_walk":
        closing.ask_to_end(turn)
    else:
        return whereabouts.help_with(turn, name)
    return True


def _yes_or_no(turn: Turn, *, yes: bool, answered: bool) -> None:
    match turn.state.moment:
        case "who_check" | "registration_check":
            opening.spelling_checked(turn, right=yes)
        case "condition":
            opening.condition(turn, holds=yes)
        case "read_back" if yes:
            answering.confirm(turn)
        case "read_back":
            answering.refuse(turn)
            _ask_unless(turn, answered=answered)
        case "guess_check" if yes:
            answering.guess_affirmed(turn)
        case "guess_check":
            _guess_refused(turn, answered=answered)
        case "withdraw_check":
            answering.withdrawal(turn, affirmed=yes)
        case "place_check" if yes:
            controls.back_to(turn)
        case "place_check":
            turn.wait("item")
            _place_refused(turn)
        case "end_check" if yes:
            closing.close(turn)
        case _:
            closing.go_through_again(turn)


def _place_refused(turn: Turn) -> None:
    """The answer that was read back is asked again."""
    last = turn.state.last_on_the_way()
    if last is None:
        controls.back_to(turn)
    else:
        controls.correct_answer(turn, last)


def _guess_refused(turn: Turn, *, answered: bool) -> None:
    """What was said is still not known: the failed hearings go on counting."""
    turn.change(guess=(), guess_words="", moment="item")
    if answered:
        return
    if turn.state.misses >= CHOICES_AFTER:
        turn.say(turn.words.choices(turn.choices(turn.item)))
    asking.ask(turn, again=True)


def _ask_unless(turn: Turn, *, answered: bool) -> None:
    turn.wait("item")
    if answered:
        return
    if turn.state.returning == "item":
        asking.ask(turn, again=True)
    else:
        turn.go_on()


def _not_here(turn: Turn) -> None:
    """Understood, and no answer to what was asked."""
    turn.tone("not_heard")
    if turn.state.moment in _YES_OR_NO:
        turn.say(wording.AFFIRM_OR_NEGATIVE)
    turn.repeat()


def _during_stand_by(turn: Turn, heard: Heard) -> None:
    """Only coming back and a report of servicing are taken; nothing is an answer."""
    names = {one.get("control") for one in heard.meanings} if heard.outcome == "control" else set[str | None]()
    if heard.outcome in ("ask", "finding"):
        turn.change(unheeded=True)
    if "servicing_done" in names:
        controls.servicing(turn)
    if "carry_on" in names:
        controls.carry_on(turn)


def _in_doubt(turn: Turn, heard: Heard) -> None:
    """Something was said and is in doubt: ask; the second time read out the choices; the third time leave it."""
    moment = turn.state.moment
    turn.tone("not_heard")
    unheard.tell(turn, heard)
    if moment in _OPENING:
        opening.miss(turn)
        return
    turn.change(misses=turn.state.misses + 1)
    if moment == "item":
        _doubt_at_item(turn, heard)
    elif unheard.may_wait(turn.state):
        turn.repeat()
    elif turn.state.misses < LEFT_AFTER:
        turn.say(wording.AFFIRM_OR_NEGATIVE if moment in _YES_OR_NO else wording.AGAIN)
        turn.repeat()
    elif moment in ("read_back", "which"):
        answering.keep_unconfirmed(turn)
        answering.after_answer(turn)
    elif moment == "guess_check":
        answering.keep_guess(turn)
        _leave(turn, "not understood")
    elif moment == "withdraw_check":
        answering.withdrawal(turn, affirmed=False)
    else:
        turn.change(misses=0)
        turn.repeat()


def _doubt_at_item(turn: Turn, heard: Heard) -> None:
    misses, may_wait = turn.state.misses, unheard.may_wait(turn.state)
    answering.doubt(turn)
    guess = tuple(one for one in heard.meanings if one.outcome == "finding")
    if misses >= LEFT_AFTER and not may_wait:
        turn.change(guess=guess, guess_words=heard.said)
        answering.keep_guess(turn)
        _leave(turn, "not understood")
    elif guess:
        turn.change(guess=guess, guess_words=heard.said)
        answering.ask_guess(turn)
    elif may_wait:
        turn.repeat()
    else:
        turn.say(wording.AGAIN)
        doubted_pass = any(one.outcome == "pass" for one in heard.meanings)  # there are clearer ways to say it
        if misses >= CHOICES_AFTER or doubted_pass:
            turn.say(turn.words.choices(turn.choices(turn.item)))
        else:
            turn.repeat()


def _leave_in_question(turn: Turn) -> None:
    """A finding is left in question: it is kept unconfirmed, and the item that it is of comes again."""
    pending = [turn.state.answer(number) for number in turn.state.pending]
    here = turn.state.returning == "item" and any(one.item == turn.state.item for one in pending)
    if turn.state.moment == "guess_check":
        answering.keep_guess(turn)
        _leave(turn, "asked")
        return
    answering.keep_unconfirmed(turn)
    if here:
        _leave(turn, "asked")
    else:
        answering.after_answer(turn)


def _leave(turn: Turn, reason: Literal["asked", "not understood"]) -> None:
    """Leave the present item after doubt; a finding that was only guessed at does not answer its question."""
    item = turn.item
    turn.wait("item")
    turn.change(reopened=turn.state.reopened | {item.id})
    if reason == "not understood" and item.id not in turn.state.unclear:
        turn.change(unclear=(*turn.state.unclear, item.id))
    asking.leave(turn, item, reason)
    turn.go_on()


def _silence(turn: Turn, silence: Silence) -> None:
    """Nobody was heard: put the question again, except where waiting is the point."""
    moment = turn.state.moment
    if moment in ("stand_by", "ended", "new"):
        return
    if moment == "note":
        turn.say(wording.LOST_SOUND if silence.lost_sound else "")  # it may have been the note
        controls.back_to(turn)
        return
    unheard.tell(turn, silence)
    if moment == "where" or (moment == "item" and practising.is_from_memory(turn)):
        return  # who practises from memory, or answers a call, may take their time
    if moment == "decision" and not unheard.has_reason(silence):  # not to have been heard is no decision
        if turn.state.misses:
            closing.decide(turn, closing.NO_DECISION, "")
            return
        turn.change(misses=1)
    turn.repeat()


def _resumed(turn: Turn) -> None:
    """After a restart: find the place first."""
    moment = turn.state.moment
    if moment in ("new", "ended"):
        return
    if moment == "stand_by":
        turn.note(StandByNote(active=False))
    controls.suspend(turn)
    controls.find_place(turn)
