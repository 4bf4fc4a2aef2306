"""What one walk has to say of the class: pure, from its events.

An item is put to the test by a sight: what the trainee was told is to be seen there, and what is true of it.  What
counts is the last sight of an item, and what stands at the item when the log ends.  A scene that was never come to is
not in a log.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final, Literal, NamedTuple

from handsfree.archive import events as log

Outcome = Literal["hit", "miss", "false alarm", "right", "omitted"]
"""A defect reported or passed; what is no defect reported or passed; or nothing said of it that stands."""

_TAKES_BACK: Final = frozenset({"correction", "disregard"})
"""Controls by which the answer before is called wrong."""
_DENIED_AT: Final = frozenset({"item", "read_back", "who_check", "registration_check"})
"""Moments at which "negative" says that what was understood is not what was said; elsewhere it is an answer."""
_ANSWERS: Final = frozenset({"pass", "finding", "value"})


@dataclass(slots=True)
class Visit:
    """What happened at one item."""

    asked: int = 0
    asked_again: int = 0
    """Utterances that were not understood surely enough."""
    put_off: int = 0
    """How often it was left for later."""
    helped: int = 0
    seconds: float | None = None
    """From the question to the first answer, what the tool said between the two included; None where something else
    came between."""
    answered: bool = False
    """An answer stands when the log ends, and the item is not among those left open."""


class Trial(NamedTuple):
    """One scene, and what became of it."""

    item: str
    """Empty = a place where no item asks."""
    zone: str
    scene: str
    truth: log.Truth
    difficulty: int
    outcome: Outcome
    named: bool
    """Of a hit: whether it was called what it is."""


@dataclass(slots=True)
class Walk:
    """All of it."""

    who: str
    registration: str
    checklist: str
    practice: str
    exercise: str
    began: datetime
    seconds: float
    """From the first event to the last."""
    outcome: str
    """complete, incomplete, or "interrupted" when the walk has no end yet."""
    events: int
    visits: dict[str, Visit]
    trials: list[Trial]
    heard: list[log.Heard]
    """Utterances that were for this check."""
    taken_back: set[int]
    """The numbers of those that were understood, and called wrong in the next one."""


@dataclass(slots=True)
class _Told:
    """What is gathered while the events go by."""

    visits: defaultdict[str, Visit] = field(default_factory=lambda: defaultdict(Visit))
    answers: dict[int, log.Answer] = field(default_factory=dict[int, log.Answer])
    standing: dict[int, log.Standing] = field(default_factory=dict[int, log.Standing])
    sights: dict[tuple[str | None, str], log.Sight] = field(default_factory=dict[tuple[str | None, str], log.Sight])
    heard: list[log.Heard] = field(default_factory=list[log.Heard])
    taken_back: set[int] = field(default_factory=set[int])
    zones: set[str] = field(default_factory=set[str])
    question: log.Asked | None = None
    """The one that waits for an answer."""
    ended: log.Ended | None = None
    identity: log.Identity | None = None


def walk_of(read: log.Log) -> Walk:
    """Fold the events of a log."""
    told = _Told()
    for event in read.events:
        take = _TAKE.get(type(event))  # quicker than a match, and most events say nothing here
        if take is not None:
            take(told, event)
    standing: dict[str | None, list[log.Answer]] = {}
    for one in told.answers.values():
        if told.standing.get(one.number, "stands") == "stands":
            standing.setdefault(one.item, []).append(one)
    left_open = frozenset(told.ended.open_items if told.ended else ())
    for item in standing.keys() | left_open:
        if item is not None:
            told.visits[item].answered = item not in left_open
    by = told.identity or read.opened
    return Walk(
        who=by.who,
        registration=by.registration,
        checklist=read.opened.checklist,
        practice=read.opened.practice,
        exercise=read.opened.exercise,
        began=read.began,
        seconds=read.seconds,
        outcome=told.ended.outcome if told.ended else "interrupted",
        events=len(read.events),
        visits=told.visits,
        trials=list(_trials(told, standing)),
        heard=told.heard,
        taken_back=told.taken_back,
    )


def _ask(told: _Told, event: log.Asked) -> None:
    told.question = event
    if event.item is not None:
        told.visits[event.item].asked += 1


def _leave(told: _Told, event: log.Left) -> None:
    if event.item is not None:
        told.visits[event.item].put_off += 1


def _help(told: _Told, event: log.Helped) -> None:
    if event.item is not None:
        told.visits[event.item].helped += 1


def _answer(told: _Told, event: log.Answer) -> None:
    told.answers[event.number] = event
    if event.item is not None and not event.elsewhere:
        _time_answer(told, event, event.item)


def _change(told: _Told, event: log.AnswerChanged) -> None:
    told.standing[event.number] = event.standing


def _see(told: _Told, event: log.Sight) -> None:
    told.sights[event.item, "" if event.item else event.scene] = event


def _enter(told: _Told, event: log.Zone) -> None:
    if event.zone is not None:
        told.zones.add(event.zone)


def _resume(told: _Told, _: log.Resumed) -> None:
    told.question = None


def _serve(told: _Told, event: log.Servicing) -> None:
    """Afterwards a walk that was over is not."""
    told.ended = None if event.items else told.ended


def _identify(told: _Told, event: log.Identity) -> None:
    told.identity = event


def _end(told: _Told, event: log.Ended) -> None:
    told.ended = event


def _time_answer(told: _Told, answer: log.Answer, item: str) -> None:
    question, told.question = told.question, None
    visit = told.visits[item]
    if question is not None and question.item == item and visit.seconds is None:
        visit.seconds = max(0.0, answer.offset_s - question.offset_s)


def _hear(told: _Told, event: log.Heard) -> None:
    """What was not for this check is passed over, and not kept."""
    if event.outcome == "none":
        return
    if event.outcome == "control" and event.meanings and told.heard and told.heard[-1].outcome in _ANSWERS:
        control = event.meanings[0].slots.control
        if control in _TAKES_BACK or (control == "negative" and event.moment in _DENIED_AT):
            told.taken_back.add(told.heard[-1].seq)
    if event.outcome == "ask" and event.item is not None:
        told.visits[event.item].asked_again += 1
    told.heard.append(event)


def _trials(told: _Told, standing: Mapping[str | None, Sequence[log.Answer]]) -> Iterator[Trial]:
    """Each scene with what stands there, as `handsfree.drill.attempt` has it.

    Scenes where no item asks come first: a report that is theirs says nothing of the item that it landed on.
    """
    everywhere = [sight for sight in told.sights.values() if sight.item is None]
    used: set[int] = set()
    for sight in everywhere:
        free = (one for some in standing.values() for one in some if one.elsewhere or one.item is None)
        found = next((one for one in free if one.number not in used and _is_of(one, sight, told.zones)), None)
        if found is not None:
            used.add(found.number)
        yield _trial(sight, () if found is None else (found,))
    for sight in told.sights.values():
        if sight.item is not None:
            here = standing.get(sight.item, ())
            yield _trial(sight, [one for one in here if one.number not in used] if used else here)


def _trial(sight: log.Sight, standing: Sequence[log.Answer]) -> Trial:
    found = [one.meaning.finding for one in standing if one.kind == "finding"]
    is_defect = sight.truth == "defect"
    outcome: Outcome
    if not standing:
        outcome = "omitted"
    elif found:
        outcome = "hit" if is_defect else "false alarm"
    else:
        outcome = "miss" if is_defect else "right"
    named = outcome == "hit" and (not sight.findings or not set(found).isdisjoint(sight.findings))
    return Trial(sight.item or "", sight.zone or "", sight.scene, sight.truth, sight.difficulty, outcome, named)


def _is_of(answer: log.Answer, sight: log.Sight, zones: Container[str]) -> bool:
    """Whether a report from elsewhere is of a scene where no item asks: its place, and what it is.

    Of a place that is no zone, such as a whole side, the log does not say which zones it has: what is wrong decides.
    """
    if answer.kind != "finding" or (sight.findings and answer.meaning.finding not in sight.findings):
        return False
    wider = answer.place is not None and answer.place not in zones
    return sight.zone in (answer.zone, answer.place) or (wider and bool(sight.findings))


_TAKE: Final[Mapping[type, Callable[[_Told, Any], None]]] = {
    log.Heard: _hear,
    log.Asked: _ask,
    log.Answer: _answer,
    log.AnswerChanged: _change,
    log.Sight: _see,
    log.Zone: _enter,
    log.Left: _leave,
    log.Helped: _help,
    log.Resumed: _resume,
    log.Servicing: _serve,
    log.Identity: _identify,
    log.Ended: _end,
}
