"""What an attempt is worth: a sum that explains itself, for each point that is lost names the event."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from handsfree.checklist.models import Checklist
from handsfree.drill.attempt import Attempt, Return, Trial
from handsfree.drill.detection import Counts, Detection, detect
from handsfree.drill.order import Order, compare

FULL: Final = 100
"""Points of an attempt in which nothing went wrong."""
_MISSED, _MISSED_CRITICAL, _NOT_NAMED, _CALLED_WRONG = 8, 15, 2, 4
_LEFT_OUT, _HELP, _LOST_PLACE, _NOT_AGAIN, _HOLD, _OUT_OF_ORDER, _RUSHED = 5, 1, 5, 3, 5, 1, 2
"""Our own weights, no source: what endangers a flight counts most."""
_RUSHED_SHARE = 0.5
"""A zone is rushed in less than this share of the reference's time."""


@dataclass(frozen=True, slots=True)
class Lost:
    """Points that were lost, and why."""

    points: int
    reason: str
    event: int | None
    """The number of the event in the log; None = it is what did not happen."""


@dataclass(frozen=True, slots=True)
class Score:
    """An attempt, counted."""

    points: int
    """Of `FULL`, never below 0."""
    lost: tuple[Lost, ...]
    counts: Counts
    detection: Detection
    order: Order
    """Of the first visits to the items that were due, against the checklist."""


def score(attempt: Attempt, checklist: Checklist, reference: Mapping[str, float] | None = None) -> Score:
    """Count an attempt; ``reference`` = seconds by zone of somebody who knows the job."""
    lost = tuple(_losses(attempt, checklist, reference or {}))
    counts = Counts(
        hits=attempt.count("hit"),
        misses=attempt.count("miss"),
        false_alarms=attempt.count("false alarm"),
        correct_rejections=attempt.count("right"),
    )
    first = tuple(dict.fromkeys(one for one in attempt.visited if one in set(attempt.due)))
    return Score(
        points=max(0, FULL - sum(one.points for one in lost)),
        lost=lost,
        counts=counts,
        detection=detect(counts),
        order=compare(first, attempt.due),
    )


def _losses(attempt: Attempt, checklist: Checklist, reference: Mapping[str, float]) -> Iterator[Lost]:
    for trial in attempt.trials:
        yield from _of_trial(trial, checklist)
    for extra in attempt.extras:
        yield Lost(_CALLED_WRONG, f"reported where nothing is wrong: {extra.description}", extra.event)
    for one in attempt.returns:
        yield from _of_return(one, checklist)
    yield from _of_the_way(attempt, checklist)
    for given in attempt.helps:
        where = f" at {checklist.item(given.item).name}" if given.item else ""
        yield Lost(_HELP, f"help, {given.help}{where}", given.event)
    for zone in checklist.zones:
        spent, usual = attempt.seconds_by_zone.get(zone.id), reference.get(zone.id)
        if spent is not None and usual and spent < _RUSHED_SHARE * usual:
            yield Lost(_RUSHED, f"{zone.name}: {spent:.0f} seconds, where the reference took {usual:.0f}", None)


def _of_return(one: Return, checklist: Checklist) -> Iterator[Lost]:
    if not one.is_right:
        yield Lost(
            _LOST_PLACE, f"after the interruption at {checklist.item(one.due).name} not gone on there", one.event
        )
    if not one.is_reported:
        yield Lost(_LOST_PLACE, "servicing was not reported", one.event)
    for item in one.again:
        yield Lost(_NOT_AGAIN, f"not looked at again after servicing: {checklist.item(item).name}", one.event)


def _of_the_way(attempt: Attempt, checklist: Checklist) -> Iterator[Lost]:
    """What was left out, come to too early, or out of order."""
    defects = {trial.scene.item for trial in attempt.trials if trial.scene.truth == "defect"}  # counted already
    for item in attempt.left_out:
        if item not in defects:
            yield Lost(_LEFT_OUT, f"left out: {checklist.item(item).name}", None)
    for item, event in attempt.holds_ignored:
        shut = checklist.item(item)
        who = checklist.hold(shut.needs).who if shut.needs else "somebody"
        yield Lost(_HOLD, f"{shut.name}: {who} was to be asked first", event)
    if attempt.practice == "memory":
        first = tuple(dict.fromkeys(attempt.visited))
        for item in compare(first, tuple(one for one in attempt.due if one in first)).out_of_place:
            yield Lost(_OUT_OF_ORDER, f"out of order: {checklist.item(item).name}", None)


def _of_trial(trial: Trial, checklist: Checklist) -> Iterator[Lost]:
    scene = trial.scene
    item = checklist.item(scene.item) if scene.item else None
    name = item.name if item else next(zone.name for zone in checklist.zones if zone.id == scene.zone)
    grave = _MISSED_CRITICAL if item is not None and item.critical else _MISSED
    match trial.outcome:
        case "miss":
            yield Lost(grave, f"missed at {name}: {scene.why}", trial.event)
        case "omitted" if scene.truth == "defect":
            yield Lost(grave, f"never reported at {name}: {scene.why}", trial.event)
        case "false alarm":
            yield Lost(_CALLED_WRONG, f"called wrong at {name}, and is not: {scene.why}", trial.event)
        case "hit" if trial.named_rightly is False:
            yield Lost(_NOT_NAMED, f"found at {name}, and called something else: {scene.why}", trial.event)
        case _:
            pass
