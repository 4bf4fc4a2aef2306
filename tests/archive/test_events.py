"""Events as they are read fast are those that the reader of logs reads."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any, get_args

import pytest

from handsfree.archive import events as fast
from handsfree.archive.events import BrokenLogError, read_log
from handsfree.journal import events as log
from handsfree.journal.errors import JournalError
from handsfree.journal.lines import canonical
from handsfree.journal.reader import parse
from handsfree.journal.timing import elapsed_s
from tests.archive.made import Story, any_story

GOLDEN = Path(__file__).parents[1] / "journal" / "golden"
MODELS = {one.model_fields["type"].default: one for one in get_args(get_args(log.AnyEvent)[0])}


def test_every_kind_of_event_is_known_with_fields_that_it_has() -> None:
    known = {one.__struct_config__.tag: one for one in fast.KINDS}
    assert set(known) == set(MODELS)
    for kind, model in MODELS.items():
        assert set(known[kind].__struct_fields__) <= set(model.model_fields), kind


@pytest.mark.parametrize("version", sorted(one.name for one in GOLDEN.iterdir()))
def test_logs_of_all_versions_are_read(version: str) -> None:
    data = (GOLDEN / version / "log.jsonl").read_bytes()
    wanted = parse(Path(), data).events
    read = read_log(data)
    assert [type(one).__struct_config__.tag for one in read.events] == [one.type for one in wanted]
    assert (read.began, read.seconds) == (wanted[0].time, pytest.approx(elapsed_s(wanted)))


def test_the_time_between_two_programs_is_that_of_the_day() -> None:
    story = (
        any_story(random.Random(3), ["tyres", "strut"], "AB", 0).add(log.ResumedEvent(tool="")).ask("oil").passes("oil")
    )
    read = read_log(b"\n".join(story.lines()))
    assert read.seconds == pytest.approx(elapsed_s(story.events))
    assert read.seconds >= 60


def changed(number: int, **fields: Any) -> Callable[[list[bytes]], list[bytes]]:
    """A line that says something else, and is canonical."""

    def change(lines: list[bytes]) -> list[bytes]:
        return [*lines[:number], canonical(json.loads(lines[number]) | fields), *lines[number + 1 :]]

    return change


SPOILT: dict[str, Callable[[list[bytes]], list[bytes]]] = {
    "a line is missing": lambda lines: [*lines[:4], *lines[5:]],
    "a line is there twice": lambda lines: [*lines[:4], lines[3], *lines[4:]],
    "two lines are exchanged": lambda lines: [*lines[:3], lines[4], lines[3], *lines[5:]],
    "the first line is missing": lambda lines: lines[1:],
    "an empty line": lambda lines: [*lines[:3], b"", *lines[3:]],
    "half a line": lambda lines: [*lines[:3], lines[3][:50], *lines[4:]],
    "no JSON": lambda lines: [*lines[:3], b"tyres, cut", *lines[4:]],
    "another JSON": lambda lines: [*lines[:3], b"[]", *lines[4:]],
    "no text": lambda lines: [*lines[:3], lines[3].replace(b"tyres", b"\xff\xfe"), *lines[4:]],
    "half a character": lambda lines: [*lines[:3], lines[3].replace(b"tyres", b"\\ud800"), *lines[4:]],
    "deep": lambda lines: [*lines[:3], b'{"type":' + b"[" * 100_000, *lines[4:]],
    "a kind that is none": changed(3, type="landed"),
    "a version to come": changed(3, v=log.VERSION + 1),
    "no version": changed(3, v=0),
    "no time": changed(0, time="yesterday"),
    "no time in UTC": changed(0, time="0001-01-01T00:00:00.000+23:59"),
    "a time of nowhere": changed(0, time="2026-01-01T00:00:00.000"),
    "a practice that is none": changed(0, practice="asleep"),
    "a number that is a text": changed(3, seq="4"),
    "a clock that is a text": changed(3, offset_s="soon"),
    "a truth that is none": changed(3, truth="maybe"),
}
LINES = Story().ask("tyres", "defect", "cut").finds("tyres").ask("oil", "sound").passes("oil").end().lines()


@pytest.mark.parametrize("spoilt", SPOILT)
def test_what_the_reader_of_logs_refuses_is_refused(spoilt: str) -> None:
    data = b"".join(line + b"\n" for line in SPOILT[spoilt](LINES))
    if spoilt != "the first line is missing":
        with pytest.raises(JournalError):
            parse(Path(), data)
    with pytest.raises(BrokenLogError):
        read_log(data)


def test_what_is_cut_off_at_the_end_is_left_out_as_the_reader_does() -> None:
    data = b"\n".join(LINES)
    for end in range(len(LINES[0]) + 1, len(data)):
        try:
            wanted = len(parse(Path(), data[:end]).events)
        except JournalError:
            wanted = 0
        assert len(read_log(data[:end]).events) == wanted
