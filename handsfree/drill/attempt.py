"""What a trainee did in an exercise: scenes decided or not, the way taken, helps, and where they returned to."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median
from typing import Literal

from handsfree.checklist.models import Checklist, Item
from handsfree.drill.exercise import Exercise, Scene
from handsfree.journal import events as log
from handsfree.journal.timing import seconds_between

Outcome = Literal["hit", "miss", "false alarm", "right", "omitted"]
"""A defect reported or passed; what is no defect reported or passed; or nothing said of it that stands."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One scene, and what the trainee decided about it."""

    scene: Scene
    zone: str
    outcome: Outcome
    named_rightly: bool | None = None
    """Of a hit: whether it was called what it is."""
    words: str = ""
    """What was said."""
    event: int | None = None
    """The number of the answer in the log, or of the sight where there is no answer."""


@dataclass(frozen=True, slots=True)
class Extra:
    """A finding reported where the exercise has none."""

    description: str
    event: int


@dataclass(frozen=True, slots=True)
class Given:
    """A help that was asked for."""

    help: str
    item: str | None
    event: int


@dataclass(frozen=True, slots=True)
class Return:
    """An interruption, and where the trainee went on."""

    kind: Literal["call", "servicing"]
    due: str
    went_to: str | None
    """The item that was named; None = a place that is none, or nothing."""
    is_reported: bool
    """Whether servicing was reported; a call needs no report."""
    again: tuple[str, ...]
    """After servicing that was reported: what was to be looked at again and was not."""
    event: int

    @property
    def is_right(self) -> bool:
        """Whether the trainee went on at the right place."""
        return self.went_to == self.due


@dataclass(frozen=True, slots=True)
class Attempt:
    """One round of practice, as its log tells it."""

    who: str
    exercise: str
    practice: str
    ended: bool
    trials: tuple[Trial, ...]
    extras: tuple[Extra, ...]
    visited: tuple[str, ...]
    """Items in the order in which they were come to, each time."""
    due: tuple[str, ...]
    """Items that were to be looked at, in the order of the checklist."""
    left_out: tuple[str, ...]
    """Items that were due and not answered when the trainee first wanted to end."""
    helps: tuple[Given, ...]
    returns: tuple[Return, ...]
    holds_ignored: tuple[tuple[str, int], ...]
    """Items that were come to before what they need was asked for, with the event."""
    seconds_by_zone: Mapping[str, float]
    asked_again: int
    """Utterances that had to be said again."""
    utterances: int
    speech_over_noise_db: float | None
    """Median of what was understood."""

    def count(self, outcome: Outcome) -> int:
        """How many scenes came to this; scenes where no item asks are no chance for a false alarm, and count apart."""
        return sum(one.outcome == outcome for one in self.trials)


def attempt_of(events: Sequence[log.AnyEvent], checklist: Checklist, exercise: Exercise | None) -> Attempt:
    """Fold a log; the exercise is the copy beside it.  Without one there is the way, and nothing to be right about."""
    opened = next((one for one in events if isinstance(one, log.Opened)), None)
    due = tuple(item.id for item in checklist.items() if _is_due(item, exercise))
    standing = _standing(events)
    trials, extras = _judged(checklist, exercise, events, standing)
    return Attempt(
        who=next((one.who for one in events if isinstance(one, log.Identity)), opened.who if opened else ""),
        exercise=opened.exercise if opened else "",
        practice=opened.practice if opened else "",
        ended=any(isinstance(one, log.Ended) for one in events),
        trials=trials,
        extras=extras,
        visited=tuple(one.item for one in events if isinstance(one, log.Asked) and one.item),
        due=due,
        left_out=_left_out(events, due),
        helps=tuple(
            Given(one.help, one.item, one.seq)
            for one in events
            if isinstance(one, log.Helped) and one.help != "what was left out"
        ),
        returns=tuple(_returns(events)),
        holds_ignored=tuple(_ignored(events, checklist)),
        seconds_by_zone=_seconds_by_zone(events),
        asked_again=sum(isinstance(one, log.HeardEvent) and one.outcome == "ask" for one in events),
        utterances=sum(isinstance(one, log.HeardEvent) and one.outcome != "none" for one in events),
        speech_over_noise_db=_speech_over_noise(events),
    )


def _is_due(item: Item, exercise: Exercise | None) -> bool:
    return item.only_if is None or exercise is None or exercise.conditions.get(item.only_if, False)


def _standing(events: Sequence[log.AnyEvent]) -> list[log.AnswerEvent]:
    """The answers that count at the end of these events."""
    answers: dict[int, log.AnswerEvent] = {}
    for event in events:
        if isinstance(event, log.AnswerEvent):
            answers[event.number] = event
        elif isinstance(event, log.AnswerChanged) and event.standing != "stands":
            answers.pop(event.number, None)
    return list(answers.values())


def _judged(
    checklist: Checklist,
    exercise: Exercise | None,
    events: Sequence[log.AnyEvent],
    standing: Sequence[log.AnswerEvent],
) -> tuple[tuple[Trial, ...], tuple[Extra, ...]]:
    """Scenes where no item asks first: a report that is theirs says nothing of the item that it landed on."""
    scenes = exercise.scenes if exercise else ()
    told = {one.scene: one.seq for one in events if isinstance(one, log.Sight)}
    free = [one for one in standing if one.kind == "finding" and (one.elsewhere or one.item is None)]
    used: set[int] = set()
    trials: list[Trial] = []
    for scene in scenes:
        if scene.zone is None:
            continue
        found = next((one for one in free if one.number not in used and _is_of(one, scene, checklist)), None)
        if found is not None:
            used.add(found.number)
        trials.append(_trial(scene, scene.zone, found, told))
    for scene in scenes:
        if scene.item is None or not _is_due(checklist.item(scene.item), exercise):
            continue
        here = [one for one in standing if one.item == scene.item and one.number not in used]
        found = next((one for one in here if _is_right(one, scene)), None)
        found = found or next((one for one in here if one.kind == "finding"), None) or next(iter(here), None)
        trials.append(_trial(scene, checklist.zone_of(scene.item).id, found, told))
    places = {scene.item for scene in scenes if scene.item}
    extras = [one for one in free if one.number not in used and one.item not in places]
    return tuple(trials), tuple(Extra(one.description, one.seq) for one in extras)


def _trial(scene: Scene, zone: str, answer: log.AnswerEvent | None, told: Mapping[str, int]) -> Trial:
    if answer is None:
        return Trial(scene, zone, "omitted", event=told.get(scene.id))
    reported = answer.kind == "finding"
    bad = scene.truth == "defect"
    outcome: Outcome = ("hit" if reported else "miss") if bad else ("false alarm" if reported else "right")
    rightly = _is_right(answer, scene) if outcome == "hit" else None
    return Trial(scene, zone, outcome, rightly, answer.words, answer.seq)


def _is_right(answer: log.AnswerEvent, scene: Scene) -> bool:
    """Whether an answer calls the defect what it is."""
    return answer.kind == "finding" and (not scene.findings or answer.meaning.get("finding") in scene.findings)


def _is_of(answer: log.AnswerEvent, scene: Scene, checklist: Checklist) -> bool:
    """Whether a report from elsewhere is of a scene where no item asks: its place, and what it is."""
    zones = {checklist.zone_of(answer.item).id} if answer.item else set[str]()
    zones |= {answer.place or ""} | {
        zone for place in checklist.places if place.id == answer.place for zone in place.zones
    }
    return scene.zone in zones and _is_right(answer, scene)


def _left_out(events: Sequence[log.AnyEvent], due: Sequence[str]) -> tuple[str, ...]:
    """Before the tool named it."""
    named = next(
        (at for at, one in enumerate(events) if isinstance(one, log.Helped) and one.help == "what was left out"),
        len(events),
    )
    answered = {one.item for one in _standing(events[:named])}
    return tuple(item for item in due if item not in answered)


def _returns(events: Sequence[log.AnyEvent]) -> Iterator[Return]:
    for at, event in enumerate(events):
        if not isinstance(event, log.Interrupted):
            continue
        after = events[at + 1 :]
        came = next((one for one in after if isinstance(one, log.Returned)), None)
        reported = next((one for one in after if isinstance(one, log.Servicing)), None)
        answered = {one.item for one in _standing(after)}
        again = tuple(one for one in reported.items if one not in answered) if reported else ()
        is_reported = event.kind == "call" or reported is not None
        went_to = came.item if came else None
        yield Return(
            event.kind, event.item or "", went_to, is_reported, again if event.kind == "servicing" else (), event.seq
        )


def _ignored(events: Sequence[log.AnyEvent], checklist: Checklist) -> Iterator[tuple[str, int]]:
    needs = {item.id: item.needs for item in checklist.items()}
    active: set[str] = set()
    for event in events:
        match event:
            case log.HoldEvent():
                (active.add if event.active else active.discard)(event.hold)
            case log.HeardEvent():
                for meaning in event.meanings:
                    named = meaning.slots.get("at_item", "")
                    needed = needs.get(named)
                    if needed is not None and needed not in active:
                        yield named, event.seq
            case _:
                pass


def _seconds_by_zone(events: Sequence[log.AnyEvent]) -> Mapping[str, float]:
    spent: defaultdict[str, float] = defaultdict(float)
    for before, after in pairwise(events):
        if before.zone is not None:
            spent[before.zone] += seconds_between(before, after)
    return {zone: round(seconds, 3) for zone, seconds in spent.items()}


def _speech_over_noise(events: Sequence[log.AnyEvent]) -> float | None:
    understood = [
        one.snr_db
        for one in events
        if isinstance(one, log.HeardEvent) and one.snr_db is not None and one.outcome not in ("none", "ask")
    ]
    return round(median(understood), 1) if understood else None
