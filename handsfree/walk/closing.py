"""The end of a walk: naming what was not answered, the closing summary, and the person's own decision."""

from __future__ import annotations

from handsfree.checklist.models import Severity
from handsfree.walk import asking, practising, route, wording
from handsfree.walk.answering import severity_of
from handsfree.walk.events import DecisionNote, EndedNote
from handsfree.walk.turn import Turn

NO_DECISION = "no_decision"
DECISIONS = frozenset({"decision_accepted", "decision_rejected", "decision_maintenance", NO_DECISION})


def ask_to_end(turn: Turn, *, again: bool = False) -> None:
    """Close the walk, or, with items unanswered, name each of them and ask.

    ``again`` = a report came before the answer: they are named anew only if one has come to them.
    """
    missing = route.unanswered(turn.checklist, turn.state)
    if not missing:
        close(turn)
        return
    turn.wait("end_check")
    full, short = turn.words.end_check([item.name for item in missing]), turn.words.end_check_again(len(missing))
    if again and route.is_all_named(turn.checklist, turn.state):
        turn.change(last_prompt=full, prompt_again=short)
        turn.repeat()
    else:
        turn.change(named=frozenset(item.id for item in missing))
        turn.prompt(full, again=short)
        practising.note_omissions(turn)


def go_through_again(turn: Turn) -> None:
    """The inspector does not want to end yet: the item that was being asked is, or else those left twice are."""
    turn.change(left_again=frozenset[str]())
    if turn.state.item is None or route.is_answered(turn.state, turn.item) or turn.item.id in turn.state.left:
        turn.go_on()
    else:
        turn.wait("item")
        asking.ask(turn, again=True)


def close(turn: Turn) -> None:
    """Speak the summary and ask for the person's decision."""
    state = turn.state
    missing = route.unanswered(turn.checklist, state)
    findings: list[tuple[Severity, str]] = []
    for one in state.answers:
        if one.kind == "finding" and one.standing == "stands":
            name = turn.checklist.item(one.item).name if one.item else ""
            line = turn.words.finding_line(
                name, turn.words.describe(turn.checklist, one.meaning), confirmed=one.confirmed is True
            )
            findings.append((severity_of(turn, one), line))
    unclear = [turn.checklist.item(item_id).name for item_id in state.unclear]
    _end(turn)
    turn.tone("done")
    turn.say(turn.words.closing(turn.checklist, state, findings=findings, missing=missing, unclear=unclear))
    ask_decision(turn)


def ask_decision(turn: Turn) -> None:
    """Ask for the person's decision."""
    turn.wait("decision")
    turn.prompt(wording.DECISION)


def ask_decision_again(turn: Turn) -> None:
    """A report came before the decision: it may have answered what was open.

    Or have made something due that was not asked, such as a light that is for night flights only: that is named first.
    """
    if route.is_all_named(turn.checklist, turn.state):
        _end(turn)
        ask_decision(turn)
    else:
        ask_to_end(turn)


def _end(turn: Turn) -> None:
    missing = route.unanswered(turn.checklist, turn.state)
    turn.change(outcome="incomplete" if missing else "complete")
    turn.note(EndedNote("incomplete" if missing else "complete", tuple(one.id for one in missing), turn.state.holds))


def decide(turn: Turn, decision: str, words: str) -> None:
    """Record the decision, one of DECISIONS, as the person's own (14 CFR 91.7(b))."""
    decision = decision.removeprefix("decision_")
    turn.change(decision=decision, moment="ended")
    turn.note(DecisionNote(turn.state.who, decision, words))
    turn.say(turn.words.decision_noted(_name(turn), decision))
    turn.tone("done")


def _name(turn: Turn) -> str:
    who = turn.state.who
    return turn.words.spelled(who) if who.isupper() and len(who) <= 3 else who  # noqa: PLR2004  # initials are spelled
