"""A walk in the order in which it happened: zones, and in each what was said, heard and answered."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Literal, get_args

from handsfree.checklist.models import Checklist, Severity
from handsfree.debrief.happenings import KINDS, HappeningKind, Sentences
from handsfree.drill.attempt import Attempt, Outcome
from handsfree.drill.exercise import Truth
from handsfree.journal import events as log
from handsfree.journal.timing import seconds_between

Mark = Literal["finding", "help", "interruption", "asked again", "miss", "false alarm"]
"""Why a reader may want to jump to a row."""
MARKS: tuple[Mark, ...] = get_args(Mark)
Standing = Literal["stands", "replaced", "withdrawn", "repeat"]
OPENING, CLOSING = "Opening", "Closing"
"""Names of the time before the first zone and after the last answer."""
_HELPS: Final = frozenset({"what_to_look_for", "why", "what_bad_looks_like", "what_comes_next", "what_is_left",
    "where_are_we", "full_prompts"})  # fmt: skip
"""Control words with which somebody asks for help."""


@dataclass(frozen=True, slots=True)
class At:
    """When and where something happened."""

    event: int
    """Its number in the log."""
    seconds: float
    """Since the walk began, by the clock that never jumps."""
    time: str
    """RFC 3339, UTC."""
    item: str | None
    """The item that it belongs to, or that was being asked."""


@dataclass(frozen=True, slots=True)
class Prompt:
    """The tool spoke; its time is when it began."""

    at: At
    text: str
    seconds: float
    marks: frozenset[Mark] = frozenset()


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer that was given, with how it stands at the end."""

    at: At
    number: int
    kind: Literal["pass", "finding", "value"]
    name: str
    """The item that it belongs to; empty for a finding at a place, whose description names the place."""
    elsewhere: bool
    """It was said while something else was being asked."""
    words: str
    description: str
    severity: Severity | None
    ata: str | None
    confirmed: bool
    standing: Standing
    outcome: Outcome | None
    """In practice: what the scene that it decides came to."""
    marks: frozenset[Mark]


@dataclass(frozen=True, slots=True)
class Happening:
    """Something else, in a sentence."""

    at: At
    kind: HappeningKind
    text: str
    marks: frozenset[Mark]


Consequence = Answer | Happening
"""What follows from an utterance."""


@dataclass(frozen=True, slots=True)
class Utterance:
    """Something was heard, understood or not; its time is when that was decided."""

    at: At
    moment: str
    """What the tool was waiting for."""
    outcome: Literal["pass", "finding", "value", "control", "ask", "none"]
    words: str
    confidence: float
    snr_db: float | None
    too_loud: bool
    lost_sound: bool
    alternatives: tuple[tuple[str, float], ...]
    """Other readings, with their scores."""
    why: str
    """Why it was not taken as it was heard."""
    clip: log.Clip | None
    follows: tuple[Consequence, ...]
    marks: frozenset[Mark]


@dataclass(frozen=True, slots=True)
class Scene:
    """In practice: what the trainee was told is to be seen, what is true of it, and what was answered."""

    at: At
    scene: str
    """Its id."""
    text: str
    truth: Truth
    difficulty: int
    outcome: Outcome | None
    """None = there is nothing to judge it by."""
    named_rightly: bool | None
    answered: str
    """The words that decided it; empty = none did."""
    answer_event: int | None
    why: str
    """Why it is what it is."""
    marks: frozenset[Mark]


AnyRow = Prompt | Utterance | Scene | Answer | Happening
_MARK_OF_A: Final[Mapping[HappeningKind, Mark]] = {
    "help": "help",
    "stand by": "interruption",
    "interruption": "interruption",
    "return": "interruption",
    "servicing": "interruption",
    "stopped": "interruption",
    "resumed": "interruption",
}
_ON_THEIR_OWN: Final = frozenset({"item", "silence", "trouble", "interruption", "stopped", "resumed", "ended"})
"""Kinds of happenings that do not follow from what was said before."""


@dataclass(frozen=True, slots=True)
class Stay:
    """The time between coming into a zone and leaving it."""

    zone: str | None
    """None = before the first zone, or after the last."""
    name: str
    began_s: float
    seconds: float
    """While the program ran: a walk that was cut off is nobody's time in a zone."""
    rows: tuple[AnyRow, ...]


@dataclass(frozen=True, slots=True)
class Stop:
    """A zone on the route."""

    order: int
    """1 = where the walk first came."""
    zone: str
    name: str
    at: tuple[float, float] | None
    """Metres: x to the right of the nose line, y forward."""
    seconds: float
    """Of all visits."""
    visits: int


@dataclass(frozen=True, slots=True)
class Timeline:
    """One walk."""

    began: str
    """RFC 3339, UTC."""
    ended: str
    """The time of the last event; RFC 3339, UTC."""
    seconds: float
    """From the first event to the last."""
    away_s: float
    """Of these, while the program was not running."""
    stays: tuple[Stay, ...]
    route: tuple[Stop, ...]
    """Zones in the order in which they were first come to."""
    path: tuple[str, ...]
    """Zones in the order walked, each time."""


def timeline(events: Sequence[log.AnyEvent], checklist: Checklist, attempt: Attempt | None = None) -> Timeline:
    """Tell a log, which holds at least one event.  ``attempt`` = what practice came to (see `drill.attempt`)."""
    teller = _Teller(events, checklist, attempt)
    for before, event in zip((events[0], *events), events, strict=False):
        teller.take(event, seconds_between(before, event))
    stays = tuple(teller.stays())
    path = tuple(one.zone for one in stays if one.zone is not None)
    return Timeline(
        began=log.rfc3339(events[0].time),
        ended=log.rfc3339(events[-1].time),
        seconds=round(teller.at_s, 3),
        away_s=round(teller.away_s, 3),
        stays=stays,
        route=tuple(_route(stays, checklist)),
        path=path,
    )


def rows_of(told: Timeline) -> Iterator[tuple[Stay, AnyRow]]:
    """Every row with its stay; what followed from an utterance comes after it."""
    for stay in told.stays:
        for row in stay.rows:
            yield stay, row
            if isinstance(row, Utterance):
                yield from ((stay, one) for one in row.follows)


def _route(stays: Sequence[Stay], checklist: Checklist) -> Iterator[Stop]:
    spent: defaultdict[str, list[float]] = defaultdict(list)
    for stay in stays:
        if stay.zone is not None:
            spent[stay.zone].append(stay.seconds)
    zones = {zone.id: zone for zone in checklist.zones}
    for order, (zone, seconds) in enumerate(spent.items(), start=1):
        yield Stop(order, zone, zones[zone].name, zones[zone].at, round(sum(seconds), 3), len(seconds))


@dataclass
class _Open:
    """A stay that goes on."""

    zone: str | None
    name: str
    began_s: float
    seconds: float = 0.0
    rows: list[AnyRow] = field(default_factory=list["AnyRow"])


class _Teller:
    """Takes events one after the other."""

    def __init__(self, events: Sequence[log.AnyEvent], checklist: Checklist, attempt: Attempt | None) -> None:
        self._names = {item.id: item.name for item in checklist.items()}
        self._zones = {zone.id: zone.name for zone in checklist.zones}
        self._zone_of = {item.id: zone.id for zone in checklist.zones for item in zone.items}
        self._sentences = Sentences(events, checklist)
        self._last_change = {one.number: one for one in events if isinstance(one, log.AnswerChanged)}
        trials = attempt.trials if attempt else ()
        self._extras = {one.event for one in attempt.extras} if attempt else set[int]()
        self._trials = {one.scene.id: one for one in trials}
        self._trial_at = {one.event: one for one in trials if one.event is not None and one.outcome != "omitted"}
        self._stays = [_Open(None, OPENING, 0.0)]
        self._stood_by_s = 0.0
        self.at_s = 0.0
        self.away_s = 0.0

    def stays(self) -> Iterator[Stay]:
        """What is told so far; a stay in which nothing happened is none."""
        for one in self._stays:
            if one.rows or one.zone is not None:
                yield Stay(one.zone, one.name, round(one.began_s, 3), round(one.seconds, 3), tuple(one.rows))

    def take(self, event: log.AnyEvent, after_s: float) -> None:
        """The next event, which came so many seconds after the one before."""
        self.at_s += after_s
        if isinstance(event, log.ResumedEvent):
            self.away_s += after_s
        else:
            self._stays[-1].seconds += after_s
        self._move(event)
        row = self._row(event, after_s)
        if row is None:
            return
        rows = self._stays[-1].rows
        heard = self._utterance_that_led_to(row)
        if heard is None or not isinstance(row, Answer | Happening):
            rows.append(row)
            return
        stay, at, utterance = heard
        marks = utterance.marks | row.marks
        stay.rows[at] = replace(utterance, follows=(*utterance.follows, row), marks=marks)

    def _move(self, event: log.AnyEvent) -> None:
        here = self._stays[-1].zone
        match event:
            case log.ZoneEvent(zone=str(zone)) if zone != here:
                self._stays.append(_Open(zone, self._zones[zone], self.at_s))
            case log.Asked(item=str(item)) if here is None:
                zone = self._zone_of[item]
                self._stays.append(_Open(zone, self._zones[zone], self.at_s))
            case log.Ended() if self._stays[-1].name != CLOSING:
                self._stays.append(_Open(None, CLOSING, self.at_s))
            case _:
                pass

    def _utterance_that_led_to(self, row: AnyRow) -> tuple[_Open, int, Utterance] | None:
        """Where the utterance of this turn stands: nothing was spoken or asked since."""
        if isinstance(row, Happening) and row.kind in _ON_THEIR_OWN:
            return None
        for stay in reversed(self._stays):
            for at in range(len(stay.rows) - 1, -1, -1):
                one = stay.rows[at]
                if isinstance(one, Utterance):
                    return stay, at, one
                if not isinstance(one, Scene | Happening) or (isinstance(one, Happening) and one.kind != "item"):
                    return None
        return None

    def _row(self, event: log.AnyEvent, after_s: float) -> AnyRow | None:
        at = At(event.seq, round(self.at_s, 3), log.rfc3339(event.time), event.item)
        match event:
            case log.Said():
                began = max(self.at_s - after_s, self.at_s - event.seconds)  # it is written when it has been spoken
                return Prompt(replace(at, seconds=round(began, 3)), event.text, event.seconds)
            case log.HeardEvent():
                return _utterance(event, at)
            case log.AnswerEvent():
                return self._answer(event, at)
            case log.Sight():
                return self._scene(event, at)
            case _:
                return self._happening(event, at, after_s)

    def _answer(self, event: log.AnswerEvent, at: At) -> Answer:
        change, trial = self._last_change.get(event.number), self._trial_at.get(event.seq)
        marks: set[Mark] = {"finding"} if event.kind == "finding" else set()
        if trial is not None and trial.outcome == "miss":
            marks.add("miss")
        if event.seq in self._extras or (trial is not None and trial.outcome == "false alarm"):
            marks.add("false alarm")
        return Answer(
            at=at,
            number=event.number,
            kind=event.kind,
            name=self._names[event.item] if event.item else "",
            elsewhere=event.elsewhere,
            words=event.words,
            description=event.description,
            severity=(event.severity or "major") if event.kind == "finding" else None,
            ata=event.ata,
            confirmed=change is not None and change.confirmed is True,
            standing=change.standing if change else "stands",
            outcome=trial.outcome if trial else None,
            marks=frozenset(marks),
        )

    def _scene(self, event: log.Sight, at: At) -> Scene:
        trial = self._trials.get(event.scene)
        outcome = trial.outcome if trial else None
        marks: set[Mark] = set()
        if outcome == "miss" or (outcome == "omitted" and event.truth == "defect"):
            marks.add("miss")
        if outcome == "false alarm":
            marks.add("false alarm")
        return Scene(
            at=at,
            scene=event.scene,
            text=event.text,
            truth=event.truth,
            difficulty=event.difficulty,
            outcome=outcome,
            named_rightly=trial.named_rightly if trial else None,
            answered=trial.words if trial else "",
            answer_event=trial.event if trial and outcome != "omitted" else None,
            why=trial.scene.why if trial else "",
            marks=frozenset(marks),
        )

    def _happening(self, event: log.AnyEvent, at: At, after_s: float) -> Happening | None:
        """None for what is told otherwise, or needs no telling."""
        kind = KINDS.get(event.type)
        if kind is None:
            return None
        if isinstance(event, log.StandBy):
            if event.active:
                self._stood_by_s = self.at_s
            after_s = self.at_s - self._stood_by_s
        mark = _MARK_OF_A.get(kind)
        return Happening(at, kind, self._sentences.of(event, after_s), frozenset({mark} if mark else ()))


def _utterance(event: log.HeardEvent, at: At) -> Utterance:
    controls = {one.slots.get("control", "") for one in event.meanings if one.outcome == "control"}
    marks: set[Mark] = {"help"} if controls & _HELPS else set()
    if event.outcome == "ask":
        marks.add("asked again")
    return Utterance(
        at=at,
        moment=event.moment,
        outcome=event.outcome,
        words=event.said,
        confidence=event.confidence,
        snr_db=event.snr_db,
        too_loud=event.too_loud,
        lost_sound=event.lost_sound,
        alternatives=tuple((one.words, one.score) for one in event.alternatives),
        why=event.why,
        clip=event.clip,
        follows=(),
        marks=frozenset(marks),
    )
