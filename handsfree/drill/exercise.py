"""An exercise: what a trainee is told is to be seen at each place, what is true of it, and what interrupts them.

A stock holds many scenes for a checklist; an exercise takes one for each item.  Both are YAML files of our invention,
and both hold the truth: nobody who practises reads them first.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Container, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from handsfree.checklist.loading import ModelT, parsed, placed
from handsfree.checklist.marked_yaml import Node
from handsfree.checklist.models import Checklist, Identifier, Strict, Whole
from handsfree.checklist.problems import ChecklistError, Location, Problem
from handsfree.drill.counts import Counted, contradictions
from handsfree.shown import shortened


class ExerciseError(ChecklistError):
    """An exercise or a stock that cannot be used."""


Truth = Literal["sound", "odd", "defect"]
"""``sound`` = as it should be; ``odd`` = strange or ugly, and harmless; ``defect`` = to be reported."""
Difficulty = Literal[1, 2, 3]
"""1 = plain to see, 2 = asks for a second look, 3 = easily passed over, or easily taken for a defect."""
Words = Annotated[str, StringConstraints(min_length=1, max_length=600)]
"""What the tool speaks."""


class Scene(Strict):
    """What is to be seen at one item, or at a place where no item asks."""

    id: Identifier
    item: Identifier | None = None
    zone: Identifier | None = None
    """For a scene at a place where no item asks: it is told with the zone's first item."""
    see: Words
    """What is to be seen, in neutral words: no verdict, and no word that is the answer."""
    truth: Truth
    findings: tuple[Identifier, ...] = ()
    """Ids of the findings that name a defect rightly; empty = any finding does."""
    why: Words
    """Why it is what it is: said and shown afterwards."""
    difficulty: Difficulty = 1
    in_hand: Whole | None = None
    """At an item that counts: how many are to be seen in hand."""

    @model_validator(mode="after")
    def _holds_together(self) -> Self:
        if (self.item is None) == (self.zone is None):
            raise ValueError("a scene has either 'item' or 'zone'")
        if self.zone is not None and self.truth != "defect":
            raise ValueError("a scene where no item asks is a defect: nobody can pass it")
        if self.findings and self.truth != "defect":
            raise ValueError("only a defect has findings")
        return self


class Interruption(Strict):
    """Something that comes between a question and its answer."""

    at: Identifier
    """The item that is being asked."""
    kind: Literal["call", "servicing"]
    """``servicing`` = afterwards, what servicing touches is to be looked at again."""
    say: Words


class Setting(Strict):
    """A day on which an exercise by chance can be."""

    say: Words
    """Weather, light, time, and what has happened to the aircraft."""
    conditions: dict[Identifier, bool] = Field(default_factory=dict[str, bool])
    """How the checklist's questions at the start are to be answered on it; those not named: negative."""


class Stock(Strict):
    """All scenes that are known for a checklist."""

    format: Literal[1]
    checklist: Identifier
    settings: tuple[Setting, ...] = ()
    """One is taken by chance; where there is none, the checklist's questions are told with their answers."""
    counted: tuple[Counted, ...] = ()
    scenes: tuple[Scene, ...] = Field(min_length=1)


class Exercise(Strict):
    """One round of practice."""

    format: Literal[1]
    id: Identifier
    title: str
    checklist: Identifier
    setting: Words
    """Spoken at the start: weather, light, time, and what has happened to the aircraft."""
    conditions: dict[Identifier, bool] = Field(default_factory=dict[str, bool])
    """How the checklist's questions at the start are to be answered; those not named: negative."""
    seed: Whole = 0
    """Chooses the sound scenes of the items that are not named here."""
    difficulty: Difficulty = 1
    scenes: tuple[Scene, ...] = ()
    """Scenes of the exercise's own."""
    take: tuple[Identifier, ...] = ()
    """Ids of scenes from the stock."""
    interruptions: tuple[Interruption, ...] = ()


def load_stock(path: Path, checklist: Checklist) -> Stock:
    """Read a stock.  Raises ExerciseError, with file and line, also where it does not fit its checklist."""
    stock, root = _parsed(path, Stock, "stock of scenes")
    _refuse(_strangers(stock.checklist, stock.scenes, checklist), path, root)
    _refuse(_miscounted(stock, checklist), path, root)
    _refuse(_not_asked(stock, checklist), path, root)
    return stock


def load_exercise(path: Path, checklist: Checklist, stock: Stock | None = None) -> Exercise:
    """Read an exercise.  Raises as `load_stock` does; what it takes must be in the stock."""
    exercise, root = _parsed(path, Exercise, "exercise")
    known = {scene.id for scene in stock.scenes} if stock else set[str]()
    items, questions = {item.id for item in checklist.items()}, {one.id for one in checklist.conditions}
    strangers = [
        *_strangers(exercise.checklist, exercise.scenes, checklist),
        *_not_among(exercise.take, known, "the stock has no scene", ("take",)),
        *_not_among((one.at for one in exercise.interruptions), items, _NO_ITEM, ("interruptions",)),
        *_not_among(exercise.conditions, questions, _NO_QUESTION, ("conditions",)),
    ]
    _refuse(strangers, path, root)
    _refuse(_contradictions(exercise, stock, checklist) if stock else (), path, root)
    return exercise


def _parsed(path: Path, model: type[ModelT], what: str) -> tuple[ModelT, Node]:
    try:
        return parsed(path, model, what)
    except ChecklistError as error:
        raise ExerciseError(error.problems) from error


def exercise_as_file(exercise: Exercise) -> bytes:
    """An exercise as it lies beside a log: JSON, which is YAML too."""
    return (json.dumps(exercise.model_dump(mode="json"), indent=1, ensure_ascii=False) + "\n").encode()


_NO_ITEM = "the checklist has no item"
_NO_QUESTION = "the checklist asks no question"


def _strangers(named: str, scenes: Sequence[Scene], checklist: Checklist) -> Iterator[Problem]:
    """What the checklist does not have, and scenes with the same id."""
    if named != checklist.id:
        yield Problem(f"this is for '{named}', not for '{checklist.id}'", where=("checklist",))
    items, zones = {item.id: item for item in checklist.items()}, {zone.id for zone in checklist.zones}
    counted = Counter(scene.id for scene in scenes)
    for at, scene in enumerate(scenes):
        where: Location = ("scenes", at)
        if counted[scene.id] > 1:
            yield Problem(f"'{scene.id}' stands here {counted[scene.id]} times", where=(*where, "id"))
        if scene.zone is not None and scene.zone not in zones:
            yield Problem(f"the checklist has no zone '{scene.zone}'", where=(*where, "zone"))
        if scene.item is not None and scene.item not in items:
            yield Problem(f"{_NO_ITEM} '{scene.item}'", where=(*where, "item"))


def _not_asked(stock: Stock, checklist: Checklist) -> Iterator[Problem]:
    questions = {one.id for one in checklist.conditions}
    for at, setting in enumerate(stock.settings):
        for name in setting.conditions:
            if name not in questions:
                message = f"{_NO_QUESTION} '{shortened(name)}'"
                yield Problem(message, where=("settings", at, "conditions", name))


def _miscounted(stock: Stock, checklist: Checklist) -> Iterator[Problem]:
    """What is counted where no item counts, and scenes that do not say how many are in hand."""
    counting = {item.id for item in checklist.items() if item.kind == "count"}
    places = {item.id for item in checklist.items()}
    for at, counted in enumerate(stock.counted):
        if counted.item not in counting:
            yield Problem(f"the item '{counted.item}' counts nothing", where=("counted", at, "item"))
        yield from _not_among(counted.at, places, _NO_ITEM, ("counted", at, "at"))
    compared = {one.item for one in stock.counted}
    for at, scene in enumerate(stock.scenes):
        if (scene.in_hand is None) == (scene.item in compared):
            message = "'in_hand' belongs to the scenes of an item that is counted, and to no other"
            yield Problem(message, where=("scenes", at))


def _contradictions(exercise: Exercise, stock: Stock, checklist: Checklist) -> Iterator[Problem]:
    """What is in hand although it was left on."""
    taken = {scene.id: scene for scene in stock.scenes if scene.id in exercise.take}
    scenes = [*exercise.scenes, *taken.values()]
    for scene, message in contradictions(stock.counted, scenes, checklist):
        where: Location = ("take", exercise.take.index(scene.id)) if scene.id in taken else ("scenes",)
        yield Problem(message, where=where)


def _not_among(named: Iterable[str], known: Container[str], message: str, where: Location) -> Iterator[Problem]:
    for at, one in enumerate(named):
        if one not in known:
            yield Problem(f"{message} '{shortened(one)}'", where=(*where, one if where == ("conditions",) else at))


def _refuse(problems: Iterable[Problem], path: Path, root: Node) -> None:
    found = list(problems)
    if found:
        raise ExerciseError([placed(problem, path, root) for problem in found])
