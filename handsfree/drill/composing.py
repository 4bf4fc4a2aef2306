"""Exercises made of a stock of scenes: one written by hand is filled up, one by chance is made from its seed."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Mapping, Sequence

from handsfree.checklist.models import Checklist, Item
from handsfree.drill.counts import Counted, agrees
from handsfree.drill.exercise import Difficulty, Exercise, Interruption, Scene, Setting, Stock, Truth

_SHARES: Mapping[Difficulty, tuple[float, float, int]] = {1: (0.15, 0.05, 0), 2: (0.2, 0.15, 1), 3: (0.25, 0.25, 2)}
"""Of the items those with a defect, those with something odd, and scenes where no item asks: our choice, no source."""
_LOOKED_AT = ("condition", "indicator", "quantity", "count")
_CALL = "Somebody calls you, and wants to know when you will be done. Answer, then go on with your walk."
_SERVICING = "A fuel truck has come while you stood here, and has gone again. Go on with your walk."


def completed(exercise: Exercise, stock: Stock, checklist: Checklist) -> Exercise:
    """The exercise with what it takes from the stock, and a scene without a defect for every other item.

    An item that counts what others left on the aircraft gets a scene in which it lacks.
    """
    chance = random.Random(f"{exercise.id} {exercise.seed}")  # noqa: S311  # no secret
    by_id = {scene.id: scene for scene in stock.scenes}
    scenes = [*exercise.scenes, *(by_id[one] for one in exercise.take)]
    named = {scene.item for scene in scenes}
    short = {one.item: fit for one in stock.counted if (fit := _short(one, one.left(scenes), stock, checklist))}
    for item, known in _by_item(stock).items():
        if item in short and item not in named:
            scenes.append(chance.choice(short[item]))
        elif item not in named:
            sound = [one for one in known if one.truth == "sound"] or [one for one in known if one.truth == "odd"]
            scenes += [chance.choice(sound)] if sound else []
    return exercise.model_copy(update={"scenes": tuple(scenes), "take": ()})


def composed(checklist: Checklist, stock: Stock, seed: int, difficulty: Difficulty) -> Exercise:
    """An exercise by chance: the same for the same seed, and hardly twice the same otherwise."""
    chance = random.Random(f"{checklist.id} {seed} {difficulty}")  # noqa: S311  # no secret
    defects, odd, free = _SHARES[difficulty]
    setting = chance.choice(stock.settings or (_plain_setting(checklist, chance),))
    conditions = {one.id: setting.conditions.get(one.id, False) for one in checklist.conditions}
    due = [item for item in checklist.items() if item.only_if is None or conditions[item.only_if]]
    looked_at = [item for item in due if item.kind in _LOOKED_AT]
    bad = _some(looked_at, _fitting(stock, "defect", difficulty), defects, chance)
    _count_what_came_off(bad, stock, checklist, difficulty, chance)
    rest = [item for item in looked_at if item.id not in bad]
    strange = _some(rest, _fitting(stock, "odd", difficulty), odd, chance)
    elsewhere = [scene for scene in stock.scenes if scene.zone is not None and scene.difficulty <= difficulty]
    planted = [*bad.values(), *strange.values(), *chance.sample(elsewhere, min(free, len(elsewhere)))]
    exercise = Exercise(
        format=1,
        id=f"by-chance-{seed}",
        title=f"By chance, number {seed}, difficulty {difficulty}",
        checklist=checklist.id,
        setting=setting.say,
        conditions=conditions,
        seed=seed,
        difficulty=difficulty,
        scenes=tuple(planted),
        interruptions=_interruptions(looked_at, difficulty, chance),
    )
    return completed(exercise, stock, checklist)


def _by_item(stock: Stock) -> dict[str, list[Scene]]:
    known: defaultdict[str, list[Scene]] = defaultdict(list)
    for scene in stock.scenes:
        if scene.item is not None:
            known[scene.item].append(scene)
    return dict(known)


def _fitting(stock: Stock, truth: Truth, difficulty: Difficulty) -> dict[str, list[Scene]]:
    """By item the scenes of this truth that are no harder."""
    return {
        item: fit
        for item, known in _by_item(stock).items()
        if (fit := [one for one in known if one.truth == truth and one.difficulty <= difficulty])
    }


def _some(
    items: Sequence[Item], known: Mapping[str, Sequence[Scene]], share: float, chance: random.Random
) -> dict[str, Scene]:
    """One scene for a share of the items."""
    able = [item.id for item in items if item.id in known]
    chosen = chance.sample(able, min(round(share * len(items)), len(able)))
    return {item: chance.choice(known[item]) for item in chosen}


def _count_what_came_off(
    bad: dict[str, Scene], stock: Stock, checklist: Checklist, difficulty: Difficulty, chance: random.Random
) -> None:
    """Where something is left on, what is counted in hand lacks; what no count can tell of came off after all."""
    for counted in stock.counted:
        while left := counted.left(bad.values()):
            short = _short(counted, left, stock, checklist)
            if fit := [one for one in short if one.difficulty <= difficulty]:
                bad[counted.item] = chance.choice(fit)
                break
            del bad[next(item for item in counted.at if item in bad)]


def _short(counted: Counted, left: int, stock: Stock, checklist: Checklist) -> list[Scene]:
    """The scenes at a count that tell of so many left on; none of them where nothing is."""
    count = checklist.item(counted.item).count
    if not left or count is None:
        return []
    return [one for one in stock.scenes if one.item == counted.item and agrees(one, left, count.expect)]


def _interruptions(items: Sequence[Item], difficulty: Difficulty, chance: random.Random) -> tuple[Interruption, ...]:
    """None in the easiest; then one, later two, of which one is servicing where anything is to be repeated after it."""
    inner = items[len(items) // 5 : -len(items) // 5 or None]
    if difficulty == 1 or len(inner) < difficulty:
        return ()
    at = sorted(chance.sample(range(len(inner)), difficulty - 1))
    kinds = ("call", "servicing") if chance.random() < 0.5 else ("servicing", "call")  # noqa: PLR2004
    if not any(item.repeat_after_servicing for item in items):
        kinds = ("call", "call")
    return tuple(
        Interruption(at=inner[one].id, kind=kind, say=_CALL if kind == "call" else _SERVICING)
        for one, kind in zip(at, kinds, strict=False)
    )


def _plain_setting(checklist: Checklist, chance: random.Random) -> Setting:
    """For a stock without settings: the checklist's questions, answered by chance."""
    conditions = {one.id: chance.random() < 0.3 for one in checklist.conditions}  # noqa: PLR2004  # more often by day
    told = [f"{one.ask} {'Yes.' if conditions[one.id] else 'No.'}" for one in checklist.conditions]
    return Setting(say=" ".join(["This is known of the aircraft.", *told]), conditions=conditions)
