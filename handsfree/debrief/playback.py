"""A walk heard again: a log's events as cues to be spoken, played and shown in order, and the way about in them.

Pure: nothing is played here.  Times are seconds from the walk's first event, by `summary.elapsed_s`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from typing import Literal

from handsfree.checklist.models import Checklist
from handsfree.debrief.summary import elapsed_s
from handsfree.journal import events as log
from handsfree.journal.events import Clip

LONGEST_PAUSE_S = 2.0
"""Of a longer silence only so much is waited out; its true length is shown."""
SHORTEST_PAUSE_S = 0.3
"""Less is no pause: an answer is decided that long after its end."""

Kind = Literal["zone", "finding"]
"""What can be jumped to."""


@dataclass(frozen=True, slots=True)
class Cue:
    """What every cue carries."""

    event: int
    """The number of its event in the log."""
    at_s: float
    """When it begins."""
    zone: str | None
    item: str | None


@dataclass(frozen=True, slots=True)
class Prompt(Cue):
    """The tool spoke."""

    text: str


@dataclass(frozen=True, slots=True)
class Answer(Cue):
    """Something was heard, understood or not."""

    words: str
    outcome: str
    """pass, finding, value, control, ask or none."""
    confidence: float
    why: str
    """For ask and none: the reason."""
    clip: Clip | None
    """Its sound, beside the log; it may have been removed since.  None = it was never kept."""


@dataclass(frozen=True, slots=True)
class Pause(Cue):
    """Nothing was said before the event."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Mark(Cue):
    """A place to jump to: the walk enters a zone, or a finding was taken."""

    kind: Kind
    name: str
    """The zone's id; the finding's number, as findings follow each other in the log: 1, 2, 3 …"""
    text: str


@dataclass(frozen=True, slots=True)
class Remark(Cue):
    """Something else that happened."""

    text: str


AnyCue = Prompt | Answer | Pause | Mark | Remark


def cues_of(events: Sequence[log.AnyEvent], checklist: Checklist) -> tuple[AnyCue, ...]:
    """The cues of a log, in its order; the checklist is the copy beside it."""
    ends = (0.0, *accumulate(elapsed_s(pair) for pair in pairwise(events)))
    naming = _Naming(checklist)
    cues: list[AnyCue] = []
    over = 0.0
    for event, end in zip(events, ends, strict=False):
        cue = naming.cue(event, end)
        if cue is None:
            continue
        begin = round(max(cue.at_s, over), 3)
        if begin - over >= SHORTEST_PAUSE_S:
            cues.append(Pause(event.seq, over, event.zone, event.item, round(begin - over, 3)))
        cues.append(replace(cue, at_s=begin))
        over = max(begin, round(end, 3))
    return tuple(cues)


def waited_s(pause: Pause, speed: float) -> float:
    """How long a pause is waited out at a speed."""
    return min(pause.seconds, LONGEST_PAUSE_S) / speed


class _Naming:
    """Events as cues; remembers what answers were, for what becomes of them later."""

    def __init__(self, checklist: Checklist) -> None:
        self._items = {item.id: item.name for item in checklist.items()}
        self._zones = {zone.id: zone.name for zone in checklist.zones}
        self._answers: dict[int, str] = {}
        self._findings = 0

    def cue(self, event: log.AnyEvent, end: float) -> AnyCue | None:
        place = (event.seq, end, event.zone, event.item)
        match event:
            case log.Said():
                return Prompt(event.seq, end - event.seconds, event.zone, event.item, event.text)
            case log.HeardEvent():
                begin = end - (event.clip.seconds if event.clip else 0.0)
                answer = (event.said, event.outcome, event.confidence, event.why, event.clip)
                return Answer(event.seq, begin, event.zone, event.item, *answer)
            case log.ZoneEvent(zone=str(zone)):
                return Mark(*place, "zone", zone, self._zones.get(zone, zone))
            case log.AnswerEvent():
                return self._answer(event, place)
            case _:
                text = self._remark(event)
                return Remark(*place, text) if text else None

    def _answer(self, event: log.AnswerEvent, place: tuple[int, float, str | None, str | None]) -> Mark | None:
        if event.kind != "finding":
            self._answers[event.number] = f'"{event.words}"'
            return None
        self._findings += 1
        self._answers[event.number] = f"finding {self._findings}"
        # A finding at a place says itself where.
        name = f"{self._items.get(event.item, event.item)}: " if event.item else ""
        about = f"{event.severity or 'major'}, ATA {event.ata or '--'}"
        return Mark(*place, "finding", str(self._findings), f"{name}{event.description} ({about})")

    def _remark(self, event: log.AnyEvent) -> str:
        match event:
            case log.AnswerChanged():
                return f"{self._answers.get(event.number, f'answer {event.number}')}: {_became(event)}"
            case log.Left(item=str(item), reason=reason):
                return f"left for later: {self._items.get(item, item)} ({reason})"
            case log.Returned(due=due, item=item):
                return f"went on at {self._items.get(item or '', 'no place that there is')}; due was {due}"
            case log.Sight() | log.Helped() | log.Interrupted():
                return _of_practice(event)
            case _:
                return _of_the_walk(event)


def _of_practice(event: log.Sight | log.Helped | log.Interrupted) -> str:
    match event:
        case log.Sight(scene=scene, truth=truth):
            return f"scene {scene}: {truth}"
        case log.Helped(help=asked):
            return f"asked for help: {asked}"
        case log.Interrupted(kind=kind, text=text):
            return f"interrupted by a {kind}: {text}"


def _of_the_walk(event: log.AnyEvent) -> str:  # noqa: PLR0911  # one line a kind
    match event:
        case log.SilenceEvent():
            return "nobody was heard" + (", and could not have been in this noise" if event.too_loud else "")
        case log.ResumedEvent():
            return "the program was started again, and the walk went on"
        case log.Paused(reason=reason):
            return f"the program stopped: {reason}"
        case log.Trouble(message=message):
            return f"trouble: {message}"
        case log.StandBy(active=active):
            return "stand by" if active else "the stand by is over"
        case log.Ended(outcome=outcome):
            return f"the walk is over: {outcome}"
        case log.Decision(who=who, words=words, decision=decision):
            return f"decision of {who}: {words or decision.replace('_', ' ')}"
        case _:
            return ""


def _became(event: log.AnswerChanged) -> str:
    if event.standing == "stands":
        return "confirmed" if event.confirmed else "stands, unconfirmed"
    return "asked again" if event.standing == "repeat" else event.standing


# ---- finding the way


def at_event(cues: Sequence[AnyCue], event: int) -> int | None:
    """The first cue of an event, or of the first after it that has one; None after the last."""
    return next((index for index, cue in enumerate(cues) if cue.event >= event), None)


def at_mark(cues: Sequence[AnyCue], kind: Kind, name: str) -> int | None:
    """Where the first mark of this name begins to be heard; None when there is none."""
    return next((begins for begins, mark in _marks(cues, kind) if mark.name == name), None)


def next_mark(cues: Sequence[AnyCue], at: int, kind: Kind) -> int | None:
    """Where the next zone or finding after cue ``at`` begins; None when none follows."""
    return next((begins for begins, _ in _marks(cues, kind) if begins > at), None)


def previous_mark(cues: Sequence[AnyCue], at: int, kind: Kind) -> int | None:
    """Where the last zone or finding before cue ``at`` begins; None when none does."""
    return max((begins for begins, _ in _marks(cues, kind) if begins < at), default=None)


def only_findings(cues: Sequence[AnyCue]) -> tuple[AnyCue, ...]:
    """Of each finding its question, the answer, and what was said of it up to the next answer."""
    kept: set[int] = set()
    for index, mark in enumerate(cues):
        if isinstance(mark, Mark) and mark.kind == "finding":
            kept.update(range(_begins(cues, index), _settled(cues, index)))
    return tuple(cue for index, cue in enumerate(cues) if index in kept)


def _marks(cues: Sequence[AnyCue], kind: Kind) -> list[tuple[int, Mark]]:
    return [(_begins(cues, at), one) for at, one in enumerate(cues) if isinstance(one, Mark) and one.kind == kind]


def _begins(cues: Sequence[AnyCue], mark: int) -> int:
    """A zone begins with its mark, a finding with the question that its words answered."""
    one = cues[mark]
    if not isinstance(one, Mark) or one.kind == "zone":
        return mark
    answer = next((at for at in range(mark, -1, -1) if isinstance(cues[at], Answer)), mark)
    for at in range(answer - 1, -1, -1):
        if isinstance(cues[at], Prompt):
            return at
        if isinstance(cues[at], Answer):
            break
    return answer


def _settled(cues: Sequence[AnyCue], mark: int) -> int:
    """The cue after the read-back of a finding and its answer; where it was not read back, after the mark."""
    item = next((one.item for one in reversed(cues[:mark]) if isinstance(one, Answer)), None)
    read_back = False
    for at in range(mark + 1, len(cues)):
        match cues[at]:
            case Answer() if read_back:
                return at + 1 + _remarks(cues[at + 1 :])
            case Prompt(item=asked) if asked == item:
                read_back = True
            case Prompt() | Answer() | Mark(kind="zone"):
                break
            case _:
                pass
    return mark + 1 + _remarks(cues[mark + 1 :])


def _remarks(cues: Sequence[AnyCue]) -> int:
    return next((count for count, cue in enumerate(cues) if not isinstance(cue, Remark)), len(cues))


# ---- while it plays


@dataclass(frozen=True, slots=True)
class Playing:
    """Where playing is, and how."""

    at: int = 0
    """Index of the cue."""
    speed: float = 1.0
    paused: bool = False
    over: bool = False


def pressed(playing: Playing, key: str, cues: Sequence[AnyCue]) -> Playing:
    """After a key; one that means nothing, or goes to a place that there is not, changes nothing.

    Space pauses, n and p go to the next and previous zone, f and F to the next and previous finding, 1 to 8 are speeds,
    0 is half the speed, q ends.
    """
    match key:
        case " ":
            return replace(playing, paused=not playing.paused)
        case "n" | "f":
            to = next_mark(cues, playing.at, "zone" if key == "n" else "finding")
        case "p" | "F":
            to = previous_mark(cues, playing.at, "zone" if key == "p" else "finding")
        case "q":
            return replace(playing, over=True)
        case _ if key in _SPEEDS:
            return replace(playing, speed=_SPEEDS[key])
        case _:
            return playing
    return playing if to is None else replace(playing, at=to, paused=False)


_SPEEDS = {"0": 0.5, **{str(times): float(times) for times in range(1, 9)}}
