"""The demo shows everything that a walk has, and its log says so."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

import pytest

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist
from handsfree.journal import events as log
from handsfree.journal.reader import CHECKLIST_NAME, read
from handsfree.speaking.sound import read_wav

pytestmark = [pytest.mark.slow, pytest.mark.timeout(300)]

ROOT = Path(__file__).parents[1]
Kind = TypeVar("Kind", bound=log.JournalEvent)


class Left:
    """What a demo leaves behind."""

    def __init__(self, folder: Path, printed: str) -> None:
        self.folder = folder
        self.printed = printed
        self.events: Sequence[log.AnyEvent] = read(folder / "walk").events
        self.checklist: Checklist = load(folder / "walk" / CHECKLIST_NAME)

    def all(self, kind: type[Kind]) -> list[Kind]:
        return [one for one in self.events if isinstance(one, kind)]

    def heard(self, words: str) -> log.HeardEvent:
        return next(one for one in self.all(log.HeardEvent) if one.said == words)

    def standing(self, number: int) -> tuple[bool | None, str]:
        """Whether an answer is confirmed, and whether it counts at the end."""
        changes = [one for one in self.all(log.AnswerChanged) if one.number == number]
        return (changes[-1].confirmed, changes[-1].standing) if changes else (None, "stands")

    def findings(self) -> list[log.AnswerEvent]:
        """Those that count at the end."""
        found = [one for one in self.all(log.AnswerEvent) if one.kind == "finding"]
        return [one for one in found if self.standing(one.number)[1] == "stands"]

    def answers_at(self, item: str) -> list[log.AnswerEvent]:
        return [one for one in self.all(log.AnswerEvent) if one.item == item]


@pytest.fixture(scope="module")
def left(model: Path, tmp_path_factory: pytest.TempPathFactory) -> Left:
    folder = tmp_path_factory.mktemp("demo") / "out"
    command = [sys.executable, "-m", "demo.walk", "--out", str(folder)]
    environment = os.environ | {"HANDSFREE_MODEL": str(model)}
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False, timeout=280)
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
    return Left(folder, done.stdout)


def test_the_walk_is_complete_and_no_item_is_left(left: Left) -> None:
    (ended,) = left.all(log.Ended)
    assert (ended.outcome, ended.open_items, ended.holds) == ("complete", (), ())
    answered = {one.item for one in left.all(log.AnswerEvent)}
    by_day = [one.id for one in left.checklist.items() if one.only_if is None]
    assert set(by_day) <= answered


def test_nothing_has_to_be_asked_again(left: Left) -> None:
    """Clean speech in a quiet place: every answer is understood the first time."""
    assert [(one.item, one.said, one.why) for one in left.all(log.HeardEvent) if one.outcome == "ask"] == []
    assert left.all(log.SilenceEvent) == []


def test_passes(left: Left) -> None:
    assert sum(one.kind == "pass" for one in left.all(log.AnswerEvent)) > 50


def test_findings_of_every_severity_are_read_back_and_affirmed(left: Left) -> None:
    assert {one.severity for one in left.findings()} == {"critical", "major", "minor"}
    assert all(left.standing(one.number) == (True, "stands") for one in left.findings())
    read_back = [one.text for one in left.all(log.Said) if one.text.startswith("Finding: ")]
    assert len(read_back) == len(left.findings())


def test_a_correction_replaces_an_answer_and_both_are_kept(left: Left) -> None:
    assert left.heard("correction").outcome == "control"
    wrong, right = left.answers_at("nose-tyres")
    assert (wrong.kind, left.standing(wrong.number)[1]) == ("pass", "withdrawn")
    assert (right.words, left.standing(right.number)) == ("cut on left tyre two", (True, "stands"))


def test_a_stand_by_during_which_nothing_is_an_answer_and_a_return(left: Left) -> None:
    begin, end = left.all(log.StandBy)
    assert (begin.active, end.active) == (True, False)
    between = [one for one in left.all(log.HeardEvent) if begin.seq < one.seq < end.seq]
    assert [(one.outcome, one.said) for one in between][1:] == [("control", "carry on")]
    assert between[0].outcome == "none"
    read_back = next(one for one in left.all(log.Said) if one.seq > end.seq)
    assert read_back.text.startswith("Last answer: ")


def test_a_hold_with_the_cockpit_is_confirmed_and_undone(left: Left) -> None:
    assert [(one.hold, one.active) for one in left.all(log.HoldEvent)] == [("hydraulics", True), ("hydraulics", False)]
    on, off = (one.seq for one in left.all(log.HoldEvent))
    (pins,) = left.answers_at("right-brake-pins")  # needs pressure
    assert on < pins.seq < off


def test_red_that_is_good(left: Left) -> None:
    (disc,) = left.answers_at("red-disc")
    assert (disc.kind, disc.words) == ("pass", "red in place")


def test_a_number_outside_its_limits_is_a_finding(left: Left) -> None:
    (pressure,) = left.answers_at("right-tyre-pressure")
    assert (pressure.kind, pressure.meaning["value"]) == ("finding", "150")
    (other,) = left.answers_at("left-tyre-pressure")
    assert (other.kind, other.meaning["value"]) == ("value", "185")


def test_a_prompt_is_said_again(left: Left) -> None:
    asked = left.heard("say again")
    before = [one.text for one in left.all(log.Said) if one.seq < asked.seq][-1]
    after = next(one.text for one in left.all(log.Said) if one.seq > asked.seq)
    assert before == after


def test_an_item_left_for_later_is_returned_to(left: Left) -> None:
    (later,) = left.all(log.Left)
    assert (later.item, later.reason) == ("right-leading-edge", "asked")
    (answer,) = left.answers_at("right-leading-edge")
    others = {one.item for one in left.all(log.AnswerEvent) if later.seq < one.seq < answer.seq}
    assert "main-door" in others


def test_a_report_for_another_place_is_kept_at_the_place_that_was_said(left: Left) -> None:
    """Both the drains and the cap of the wing may be meant: none is chosen."""
    report = left.heard("fuel leak left wing")
    assert report.item == "right-surfaces"
    (leak,) = (one for one in left.findings() if one.place == "left-wing")
    assert (leak.item, leak.elsewhere, leak.seq) == (None, True, report.seq + 1)
    assert (leak.description, leak.severity, leak.ata) == ("fuel leak, left wing", "critical", "28")
    assert left.standing(leak.number) == (True, "stands")


def test_chatter_changes_nothing(left: Left) -> None:
    chatter = [one for one in left.all(log.HeardEvent) if one.outcome == "none"]
    assert len(chatter) == 2
    for one in chatter:
        (following,) = (other for other in left.events if other.seq == one.seq + 1)
        assert following.type == "heard"
        assert one.clip is None


def test_the_summary_and_the_conversation_are_left_to_read_and_to_hear(left: Left) -> None:
    summary = (left.folder / "summary.txt").read_text(encoding="utf-8")
    assert summary.strip() in left.printed
    assert "fuel leak" in summary
    spoken_s = sum(one.seconds for one in left.all(log.Said))
    assert read_wav(left.folder / "conversation.wav").seconds > spoken_s > 200.0


def test_an_instructors_page_is_left_with_the_sounds(left: Left) -> None:
    page = (left.folder / "debrief.html").read_text(encoding="utf-8")
    assert "Nose tyres: cut, left tyre two" in page
    assert page.count("data-clip=") == sum(one.clip is not None for one in left.all(log.HeardEvent))
