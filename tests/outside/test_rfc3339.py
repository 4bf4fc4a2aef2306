"""The examples of RFC 3339 section 5.8, as times of log events.  (The values as quoted in secondary copies.)"""

from __future__ import annotations

import json

import pytest
from pydantic import ValidationError

from handsfree.journal.events import EVENTS, VERSION, SilenceEvent


def read(time: str) -> SilenceEvent:
    fields = {"v": VERSION, "seq": 1, "prev": "", "time": time, "offset_s": 0.0, "type": "silence"}
    event = EVENTS.validate_json(json.dumps(fields))
    assert isinstance(event, SilenceEvent)
    return event


@pytest.mark.parametrize(
    ("example", "in_utc_with_milliseconds"),
    [
        ("1985-04-12T23:20:50.52Z", "1985-04-12T23:20:50.520Z"),
        ("1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57.000Z"),  # the RFC names this instant itself
        ("1937-01-01T12:00:27.87+00:20", "1937-01-01T11:40:27.870Z"),  # Dutch noon, 20 minutes ahead
    ],
)
def test_an_example_is_read_and_written_as_the_same_instant(example: str, in_utc_with_milliseconds: str) -> None:
    written = json.loads(read(example).model_dump_json())["time"]
    assert written == in_utc_with_milliseconds
    assert read(written).time == read(example).time


@pytest.mark.parametrize("leap_second", ["1990-12-31T23:59:60Z", "1990-12-31T15:59:60-08:00"])
def test_a_leap_second_cannot_be_told_by_our_clock_and_is_refused(leap_second: str) -> None:
    """Better an error than a wrong instant; the writer's clock never shows one."""
    with pytest.raises(ValidationError, match="time"):
        read(leap_second)


def test_a_time_without_its_zone_is_refused() -> None:
    """Section 5.6: the offset is not optional."""
    with pytest.raises(ValidationError, match="timezone"):
        read("1985-04-12T23:20:50.52")
