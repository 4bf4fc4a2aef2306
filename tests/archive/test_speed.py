"""How long many logs take: see DEVELOPERS.md for what was measured of ten thousand."""

from __future__ import annotations

import time
from pathlib import Path

from handsfree.archive.logs import logs_below
from handsfree.archive.reading import read_batch
from tests.archive.made import Story

LOGS, ITEMS = 250, 84
LONGEST_S = 0.002
"""Of work for a log of 430 events, on one core: a thousand in two seconds."""


def test_a_thousand_logs_are_two_seconds_of_work(tmp_path: Path) -> None:
    story = Story()
    for number in range(ITEMS):
        item = f"item-{number}"
        story.ask(item, "defect" if number % 8 == 0 else "sound")
        story = story.finds(item) if number % 5 == 0 else story.passes(item)
    first = story.end().write(tmp_path / "0") / "log.jsonl"
    for number in range(1, LOGS):
        (tmp_path / str(number)).mkdir()
        (tmp_path / str(number) / "log.jsonl").hardlink_to(first)
    logs = logs_below(tmp_path)
    assert len(story.events) > 400
    taken: list[float] = []
    for _ in range(4):  # the machine may be busy with something else
        began = time.process_time()
        assert read_batch(logs).damaged == ()
        taken.append(time.process_time() - began)
    assert min(taken) / LOGS < LONGEST_S
