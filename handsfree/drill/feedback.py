"""A few words at the end of practice: first what went well, then what to look at again, no more than can be kept."""

from __future__ import annotations

from handsfree.checklist.models import Checklist
from handsfree.drill.attempt import Attempt
from handsfree.drill.score import FULL, Score

_NAMED = 3
"""Things that are named at most: nobody keeps more in mind."""


def feedback(attempt: Attempt, score: Score, checklist: Checklist) -> tuple[str, ...]:
    """Short sentences to be spoken."""
    planted = [one for one in attempt.trials if one.scene.truth == "defect"]
    found = [one for one in planted if one.outcome == "hit"]
    missed = [one for one in planted if one.outcome != "hit"]
    words: list[str] = []
    if planted:
        words.append(f"You found {_of(len(found), len(planted))}.")
    elif attempt.trials:
        words.append("There was no defect to find.")
    calm = attempt.count("false alarm") + len(attempt.extras)
    if attempt.trials and not calm:
        words.append("You called nothing wrong that was sound.")
    elif calm:
        words.append(f"{_number(calm)} that was sound you called a defect.")
    if missed:
        named = [_place(one.scene.item, one.scene.zone, checklist) for one in missed]
        words.append(f"Look again at: {_some(named)}.")
    if attempt.left_out:
        words.append(f"Left out: {_some([checklist.item(one).name for one in attempt.left_out])}.")
    lost = [checklist.item(one.due).name for one in attempt.returns if not one.is_right]
    if lost:
        words.append(f"Where you were interrupted: {_some(lost)}.")
    elif attempt.returns:
        words.append("After the interruption you went on at the right place.")
    if not all(one.is_reported for one in attempt.returns):
        words.append("Report servicing, and look again at what it touches.")
    words.append(f"{score.points} of {FULL} points.")
    return tuple(words)


def _of(some: int, all_of_them: int) -> str:
    if some == all_of_them:
        return "the one defect" if some == 1 else f"all {some} defects"
    return f"{some} of {all_of_them} defects"


def _number(count: int) -> str:
    return "One thing" if count == 1 else f"{count} things"


def _some(names: list[str]) -> str:
    more = len(names) - _NAMED
    return ", ".join(names[:_NAMED]) + (f", and {more} more" if more > 0 else "")


def _place(item: str | None, zone: str | None, checklist: Checklist) -> str:
    if item is not None:
        return checklist.item(item).name
    return next(one.name for one in checklist.zones if one.id == zone).lower()
