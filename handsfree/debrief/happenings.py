"""What happens on a walk beside what is said and answered, each in a sentence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, Literal

from handsfree.checklist.models import Checklist
from handsfree.journal import events as log

HappeningKind = Literal[
    "item", "help", "silence", "stand by", "interruption", "return", "servicing", "trouble", "hold", "left", "changed",
    "condition", "identity", "stopped", "resumed", "ended", "decision",
]  # fmt: skip
KINDS: Final[Mapping[str, HappeningKind]] = {
    "asked": "item",
    "answer_changed": "changed",
    "identity": "identity",
    "condition": "condition",
    "hold": "hold",
    "left": "left",
    "silence": "silence",
    "helped": "help",
    "trouble": "trouble",
    "ended": "ended",
    "decision": "decision",
    "stand_by": "stand by",
    "servicing": "servicing",
    "interrupted": "interruption",
    "returned": "return",
    "paused": "stopped",
    "resumed": "resumed",
}
"""By the event's type; the other events are told otherwise, or need no telling."""

_LEFT: Final = {
    "asked": "Left for later.",
    "not understood": "Left for later: not understood.",
    "unable": "Left for later: unable.",
    "next zone": "Left for later, on to the next zone.",
}
_INTERRUPTED: Final = {"call": "Interrupted by a call", "servicing": "Interrupted by servicing"}
_CONFIRMED: Final = {True: "Confirmed", False: "Kept, not confirmed", None: "Stands again"}
_STANDINGS: Final = {"replaced": "Replaced", "withdrawn": "Withdrawn", "repeat": "To be answered again"}
_DECISIONS: Final = {"rejected": "not accepted", "maintenance": "referred to maintenance"}
_LONGEST_S: Final = 1e9
"""Thirty years."""


class Sentences:
    """Makes the sentences of one log."""

    def __init__(self, events: Sequence[log.AnyEvent], checklist: Checklist) -> None:
        self._names = {item.id: item.name for item in checklist.items()}
        self._holds = {item.hold.id: item.hold for item in checklist.items() if item.hold}
        self._questions = {one.id: one.ask for one in checklist.conditions}
        self._answers = {one.number: one for one in events if isinstance(one, log.AnswerEvent)}

    def of(self, event: log.AnyEvent, after_s: float) -> str:
        """What happened; ``after_s`` = seconds since the event before, or of a stand by that is over its length."""
        match event:
            case log.Asked(item=str(item)):
                text = capital(self._names[item])
            case log.AnswerChanged():
                text = self._change(event)
            case log.Identity():
                text = ", ".join(one for one in (event.who, event.registration) if one)
            case log.ConditionEvent():
                assumed = " Not understood: the careful answer was taken." if event.assumed else ""
                text = f"{self._questions.get(event.condition, '')} {'Yes.' if event.holds else 'No.'}{assumed}"
            case log.HoldEvent():
                text = self._hold(event)
            case log.Left():
                text = _LEFT[event.reason]
            case log.SilenceEvent():
                text = _silence(event)
            case log.Helped():
                text = f"Help: {event.help}."
            case log.Trouble():
                text = event.message
            case log.Ended():
                left_open = f" Not answered: {self._list(event.open_items)}." if event.open_items else ""
                text = f"Walk {event.outcome}.{left_open}"
            case log.Decision():
                text = f"Decision of {event.who or 'the inspector'}: {decided(event.decision)}."
            case _:
                text = self._interruption(event, after_s)
        return text

    def _hold(self, event: log.HoldEvent) -> str:
        hold = self._holds.get(event.hold)
        who, ask = (hold.who, hold.ask) if hold else ("somebody else", event.hold)
        return f"Confirmed by {who}: {ask}." if event.active else f"Ended: {ask}."

    def _interruption(self, event: log.AnyEvent, after_s: float) -> str:
        match event:
            case log.StandBy():
                text = "Stand by." if event.active else f"Back after {clock(after_s)}."
            case log.Servicing():
                again = f"To be looked at again: {self._list(event.items)}." if event.items else "Nothing to repeat."
                text = f"Servicing reported. {again}"
            case log.Interrupted():
                text = f"{_INTERRUPTED[event.kind]}: {event.text}"
            case log.Returned():
                text = self._return(event)
            case log.Paused():
                text = f"The program stopped: {event.reason}."
            case log.ResumedEvent():
                text = f"The program was started again after {clock(after_s)}."
            case _:
                text = ""
        return text

    def _return(self, event: log.Returned) -> str:
        due = self._names.get(event.due, event.due)
        if event.item is None:
            return f"Named no place to go on at; the interruption came at {due}."
        if event.item == event.due:
            return f"Went on at {due}, where it had come."
        return f"Went on at {self._names[event.item]}; the interruption came at {due}."

    def _change(self, event: log.AnswerChanged) -> str:
        answer = self._answers.get(event.number)
        if answer is None:
            return f"Answer {event.number}: {event.standing}."
        name = self._names[answer.item] if answer.item else ""
        what = f"{name}: {answer.description}" if name else answer.description
        how = _CONFIRMED[event.confirmed] if event.standing == "stands" else _STANDINGS[event.standing]
        return f"{how}: {what}."

    def _list(self, items: Sequence[str]) -> str:
        return ", ".join(self._names.get(one, one) for one in items)


def whole_seconds(seconds: float) -> int:
    """Rounded; none below 0, and none beyond what a walk can take, whatever a log may say."""
    return round(min(max(0.0, seconds), _LONGEST_S))


def clock(seconds: float) -> str:
    """``2:05``, or from an hour on ``1:02:05``."""
    whole = whole_seconds(seconds)
    hours, rest = divmod(whole, 3600)
    return f"{hours}:{rest // 60:02d}:{rest % 60:02d}" if hours else f"{rest // 60}:{rest % 60:02d}"


def capital(text: str) -> str:
    """The text with a capital letter at its beginning."""
    return text[:1].upper() + text[1:]


def decided(decision: str) -> str:
    """A decision in plain words."""
    return _DECISIONS.get(decision, decision.replace("_", " "))


def _silence(event: log.SilenceEvent) -> str:
    words = "It was too loud to hear anyone." if event.too_loud else "Nobody was heard."
    return f"{words} Some sound was lost." if event.lost_sound else words
