"""A file of a newer format is refused by name; one of an older format is brought up step by step."""

from __future__ import annotations

from typing import Any

import pytest

from handsfree.checklist.formats import FORMAT, STEPS, NewerFormatError, brought_up


def renamed(fields: dict[str, Any]) -> dict[str, Any]:
    """An invented step: what was called 'head' is called 'title'."""
    return {("title" if name == "head" else name): value for name, value in fields.items()}


def joined(fields: dict[str, Any]) -> dict[str, Any]:
    """Another: the title says the operator too."""
    return fields | {"title": f"{fields['title']}, {fields['operator']}"}


def test_steps_are_taken_one_after_the_other() -> None:
    old = {"format": 1, "head": "Walk", "operator": "Lantern Isles"}
    told = brought_up(old, {1: renamed, 2: joined}, newest=3)
    assert told == {"format": 3, "title": "Walk, Lantern Isles", "operator": "Lantern Isles"}
    assert old == {"format": 1, "head": "Walk", "operator": "Lantern Isles"}, "the file stays as it is"


def test_what_is_new_stays() -> None:
    new = {"format": 3, "title": "Walk"}
    assert brought_up(new, {1: renamed, 2: joined}, newest=3) == new


def test_what_is_newer_is_refused_by_name() -> None:
    with pytest.raises(NewerFormatError, match="this file is of format 4, and this program reads up to 3"):
        brought_up({"format": 4}, {}, newest=3)


@pytest.mark.parametrize("data", [None, [], {}, {"format": "1"}, {"format": True}, {"format": -1}])
def test_what_has_no_format_is_left_to_the_models(data: object) -> None:
    assert brought_up(data) == data


def test_every_format_before_the_newest_has_a_step() -> None:
    assert set(STEPS) == set(range(1, FORMAT))
