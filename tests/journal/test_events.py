"""The format of the log: every event comes back as it was, and the published schema says the same."""

from __future__ import annotations

import dataclasses
import json
import typing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import AwareDatetime

from handsfree.journal.events import EVENTS, SCHEMA_FILE, AnyEvent, JournalEvent, schema_text
from handsfree.walk import events as walk_events
from tests.walk.conversation import GOLDEN, read_scene, small
from tests.walk.performance import perform

COMMON = frozenset(JournalEvent.model_fields)
CLASSES: tuple[type[JournalEvent], ...] = typing.get_args(typing.get_args(AnyEvent)[0])
NOTES: tuple[type, ...] = typing.get_args(walk_events.Note)
STORIES = ("opening", "summary-by-severity", "servicing", "restart", "decision", "silence")
"""Golden conversations that show every kind of event."""
BY_TYPE = {one.model_fields["type"].default: one for one in CLASSES}

AWARE: Any = AwareDatetime
st.register_type_strategy(AWARE, st.datetimes(datetime(1970, 1, 1), timezones=st.just(UTC)))
st.register_type_strategy(float, st.floats(allow_nan=False, allow_infinity=False))
SCHEMA: Any = jsonschema.Draft202012Validator(json.loads(schema_text()))


@pytest.mark.parametrize("kind", CLASSES, ids=lambda kind: kind.__name__)
def test_every_event_comes_back_as_it_was(kind: type[JournalEvent]) -> None:
    @settings(max_examples=15, deadline=None)
    @given(st.from_type(kind))
    def comes_back(event: JournalEvent) -> None:
        line = event.model_dump_json()
        assert "\n" not in line
        back = EVENTS.validate_json(line)
        assert type(back) is kind
        assert back.model_dump_json() == line
        SCHEMA.validate(json.loads(line))

    comes_back()


@pytest.mark.parametrize("note", NOTES, ids=lambda note: note.__name__)
def test_every_note_of_the_walk_has_an_event_with_the_same_fields(note: type) -> None:
    fields = {one.name: one.default for one in dataclasses.fields(note)}
    event = BY_TYPE[fields["type"]]
    own = set(event.model_fields) - COMMON
    assert set(fields) - own <= {"zone", "item"}, "a field that the log would lose"
    assert own - set(fields) == set(), "a field that the walk never fills"


def test_the_published_schema_is_current() -> None:
    assert SCHEMA_FILE.read_text(encoding="utf-8") == schema_text(), "run: python -m handsfree.journal.events"


def test_the_schema_is_one_that_validators_accept() -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads(schema_text()))


def test_the_schema_holds_for_a_real_log_and_not_for_anything_else(tmp_path: Path) -> None:
    validator: Any = jsonschema.Draft202012Validator(json.loads(SCHEMA_FILE.read_text(encoding="utf-8")))
    seen: set[str] = set()
    for name in STORIES:
        perform(read_scene(GOLDEN / f"{name}.txt"), small(), tmp_path / name)
        for line in (tmp_path / name / "log.jsonl").read_text(encoding="utf-8").splitlines():
            event = json.loads(line)
            validator.validate(event)
            if event["type"] not in seen:
                assert not validator.is_valid(event | {"more": 1})
                for field in event:
                    assert not validator.is_valid(event | {field: [["wrong"]]}), field
                    assert not validator.is_valid({key: value for key, value in event.items() if key != field}), field
            seen.add(event["type"])
    assert seen == set(BY_TYPE) - {"trouble", "sight", "helped", "interrupted", "returned"}
