"""Walks beside each other: how long each stayed where, and what each found, passed, or left open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from handsfree.debrief.gathering import Debrief
from handsfree.debrief.timeline import Answer, rows_of
from handsfree.drill.exercise import Truth

CellKind = Literal["found", "false alarm", "missed", "passed", "not answered", "not reported"]
"""``not reported`` = of a place where no item asks, nothing was said, and nothing was to be."""


@dataclass(frozen=True, slots=True)
class ZoneTimes:
    """One zone."""

    zone: str
    name: str
    seconds: tuple[float | None, ...]
    """By walk; None = never there."""


@dataclass(frozen=True, slots=True)
class Cell:
    """What one walk says of one item."""

    kind: CellKind
    words: str
    """What was found, or said instead."""
    event: int | None


@dataclass(frozen=True, slots=True)
class Compared:
    """An item, or a place where no item asks, at which any of the walks found something or was to find something."""

    name: str
    truth: Truth | None
    """Of the first walk's exercise, if all walks are of that one."""
    cells: tuple[Cell, ...]
    """By walk."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """Walks with one checklist; the first is the one that is talked through."""

    zones: tuple[ZoneTimes, ...]
    """In the order of the checklist."""
    spots: tuple[Compared, ...]


def compare(walks: Sequence[Debrief]) -> Comparison:
    """Lay walks beside each other; they are of one checklist."""
    return Comparison(tuple(_zones(walks)), tuple(_spots(walks)))


def _zones(walks: Sequence[Debrief]) -> Iterator[ZoneTimes]:
    spent = [{stop.zone: stop.seconds for stop in walk.timeline.route} for walk in walks]
    for zone in walks[0].checklist.zones:
        times = tuple(one.get(zone.id) for one in spent)
        if any(one is not None for one in times):
            yield ZoneTimes(zone.id, zone.name, times)


def _spots(walks: Sequence[Debrief]) -> Iterator[Compared]:
    one_exercise = len({walk.opened.exercise_sha256 if walk.opened else "" for walk in walks}) == 1
    truths = _truths(walks[0]) if one_exercise else {}
    looked = [_Looked(walk) for walk in walks]
    for item in walks[0].checklist.items():
        cells = tuple(one.at_item(item.id) for one in looked)
        if truths.get(item.id) == "defect" or any(cell.kind in ("found", "false alarm", "missed") for cell in cells):
            yield Compared(item.name, truths.get(item.id), cells)
    for place in dict.fromkeys(place for one in looked for place in one.places()):
        planted = one_exercise and looked[0].is_planted(place)
        yield Compared(place, "defect" if planted else None, tuple(one.at_place(place) for one in looked))


def _truths(walk: Debrief) -> dict[str, Truth]:
    """By item."""
    trials = walk.attempt.trials if walk.attempt else ()
    return {one.scene.item: one.scene.truth for one in trials if one.scene.item}


class _Looked:
    """What one walk says of each item and place."""

    def __init__(self, walk: Debrief) -> None:
        self._not_answered = set(walk.summary.not_answered)
        self._standing = [
            row for _, row in rows_of(walk.timeline) if isinstance(row, Answer) and row.standing == "stands"
        ]
        zones = {zone.id: zone.name for zone in walk.checklist.zones}
        trials = walk.attempt.trials if walk.attempt else ()
        self._trials = {one.scene.item: one for one in trials if one.scene.item}
        in_zones = {one.event: zones[one.scene.zone] for one in trials if one.scene.zone and one.outcome == "hit"}
        self._free = {
            row.at.event: in_zones.get(row.at.event, row.description)
            for row in self._standing
            if row.at.item is None or row.at.event in in_zones
        }
        self._planted = [zones[one.scene.zone] for one in trials if one.scene.zone]

    def is_planted(self, place: str) -> bool:
        """Whether a defect where no item asks was to be found there."""
        return place in self._planted

    def places(self) -> Iterator[str]:
        """Places where no item asks, at which something was reported or was to be."""
        yield from self._planted
        yield from self._free.values()

    def at_item(self, item: str) -> Cell:
        here = [row for row in self._standing if row.at.item == item and row.at.event not in self._free]
        found = [row for row in here if row.kind == "finding"]
        trial = self._trials.get(item)
        if found:
            return _found(found)
        if trial is not None and trial.outcome == "miss":
            return Cell("missed", trial.words, trial.event)
        if not here or item in self._not_answered:
            return Cell("not answered", "", None)
        return Cell("passed", "; ".join(row.words for row in here), here[0].at.event)

    def at_place(self, place: str) -> Cell:
        found = [row for row in self._standing if self._free.get(row.at.event) == place]
        if found:
            return _found(found)
        return Cell("missed" if place in self._planted else "not reported", "", None)


def _found(rows: Sequence[Answer]) -> Cell:
    false = all("false alarm" in row.marks for row in rows)
    return Cell("false alarm" if false else "found", "; ".join(row.description for row in rows), rows[0].at.event)
