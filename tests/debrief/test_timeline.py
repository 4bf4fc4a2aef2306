"""A walk is told in the order in which it happened, and nothing of it is lost."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from handsfree.debrief.gathering import Debrief
from handsfree.debrief.timeline import Answer, AnyRow, Happening, Prompt, Scene, Utterance, rows_of, timeline
from handsfree.journal import events as log
from handsfree.journal.reader import read
from handsfree.journal.timing import elapsed_s
from tests.debrief import made
from tests.walk.conversation import small

CONVERSATIONS = (
    "correction-in-the-same-item", "elsewhere-item", "end-incomplete", "hold", "interrupted-at-the-pitot",
    "not-understood-with-a-guess", "opening", "restart-in-a-read-back", "servicing", "several-in-one-breath", "silence",
    "stand-by", "summary-by-severity", "too-loud-finding", "voice-note",
)  # fmt: skip


def rows(walk: Debrief) -> list[AnyRow]:
    return [row for _, row in rows_of(walk.timeline)]


def answers(walk: Debrief) -> list[Answer]:
    return [row for row in rows(walk) if isinstance(row, Answer)]


def heard(walk: Debrief, words: str) -> Utterance:
    return next(row for row in rows(walk) if isinstance(row, Utterance) and row.words == words)


def sentences(walk: Debrief, kind: str) -> list[str]:
    return [row.text for row in rows(walk) if isinstance(row, Happening) and row.kind == kind]


@pytest.mark.parametrize("name", CONVERSATIONS)
def test_everything_in_the_log_is_told_once_and_in_order(name: str, tmp_path: Path) -> None:
    walk = made.golden(name, tmp_path)
    events = read(walk.folder).events
    told = [row.at.event for row in rows(walk)]
    silent = {"opened", "zone"}
    assert sorted(told) == [event.seq for event in events if event.type not in silent]
    lines = [row for stay in walk.timeline.stays for row in stay.rows]
    assert [row.at.event for row in lines] == sorted(row.at.event for row in lines)
    assert [row.words for row in lines if isinstance(row, Utterance)] == [
        event.said for event in events if isinstance(event, log.HeardEvent)
    ]


@pytest.mark.parametrize("name", CONVERSATIONS)
def test_the_times_of_all_stays_are_the_time_of_the_walk(name: str, tmp_path: Path) -> None:
    told = made.golden(name, tmp_path).timeline
    assert sum(stay.seconds for stay in told.stays) + told.away_s == pytest.approx(told.seconds, abs=0.02)
    assert sum(stop.seconds for stop in told.route) == pytest.approx(
        sum(stay.seconds for stay in told.stays if stay.zone), abs=0.02
    )


def test_zones_come_in_the_order_walked_with_an_opening_and_a_closing(tmp_path: Path) -> None:
    told = made.story(tmp_path).timeline
    assert [stay.name for stay in told.stays] == [
        "Opening",
        "Nose",
        "Left wing",
        "Tail",
        "Left wing",
        "Tail",
        "Closing",
    ]
    assert told.path == ("nose", "left-wing", "tail", "left-wing", "tail")
    assert [(stop.order, stop.zone, stop.visits) for stop in told.route] == [
        (1, "nose", 1),
        (2, "left-wing", 2),
        (3, "tail", 2),
    ]
    assert told.route[0].at == (0, 10)


def test_an_answer_says_how_it_stands_at_the_end(tmp_path: Path) -> None:
    walk = made.golden("correction-in-the-same-item", tmp_path)
    assert [(one.words, one.kind, one.standing, one.confirmed) for one in answers(walk)[1:]] == [
        ("tyres good", "pass", "withdrawn", False),
        ("correction, cut on tyre two", "finding", "stands", True),
    ]
    assert sentences(walk, "changed")[-1] == "Confirmed: nose gear: cut, tyre two."
    repeated = answers(made.golden("servicing", tmp_path))
    assert [one.standing for one in repeated if one.name == "fuel caps"] == ["repeat", "stands"]


def test_what_follows_from_an_utterance_stands_with_it(tmp_path: Path) -> None:
    walk = made.golden("several-in-one-breath", tmp_path)
    both = next(row for row in rows(walk) if isinstance(row, Utterance) and len(row.follows) > 1)
    assert all(isinstance(one, Answer) for one in both.follows)
    assert "finding" in both.marks


def test_a_finding_has_its_chapter_its_severity_and_its_place(tmp_path: Path) -> None:
    walk = made.story(tmp_path)
    found = [one for one in answers(walk) if one.kind == "finding" and one.standing == "stands"]
    assert ("nose gear", "cut, tyre two", "major", "32", False) in [
        (one.name, one.description, one.severity, one.ata, one.elsewhere) for one in found
    ]
    (leak,) = [one for one in found if "fuel leak" in one.description]
    assert (leak.name, leak.elsewhere, leak.at.item) == ("", True, None)


def test_what_was_not_clear_is_marked_and_says_why(tmp_path: Path) -> None:
    walk = made.golden("not-understood", tmp_path)
    mumbled = [row for row in rows(walk) if isinstance(row, Utterance) and "asked again" in row.marks]
    assert [(row.words, row.outcome, row.why) for row in mumbled] == [("mumble", "ask", "in doubt")] * 3
    assert sentences(walk, "left") == ["Left for later: not understood."]
    assert mumbled[-1].follows == (
        next(row for row in rows(walk) if isinstance(row, Happening) and row.kind == "left"),
    )


def test_a_help_that_is_asked_for_is_marked_on_a_real_walk_too(tmp_path: Path) -> None:
    asked = [
        row.words for row in rows(made.golden("help", tmp_path)) if "help" in row.marks and isinstance(row, Utterance)
    ]
    assert "what do I look for" in asked


def test_a_stand_by_says_how_long_it_took(tmp_path: Path) -> None:
    walk = made.changed(made.golden("stand-by", tmp_path), tmp_path / "paced", each_second)
    begun, back = [row for row in rows(walk) if isinstance(row, Happening) and row.kind == "stand by"]
    assert back.text == f"Back after 0:{back.at.seconds - begun.at.seconds:02.0f}."
    assert {"interruption"} == begun.marks == back.marks


def test_silence_and_trouble_are_told(tmp_path: Path) -> None:
    assert sentences(made.golden("silence", tmp_path), "silence") == ["Nobody was heard."] * 2
    assert "It was too loud to hear anyone." in sentences(made.golden("too-loud-silence", tmp_path), "silence")

    def broken(event: log.AnyEvent) -> log.AnyEvent:
        return log.Trouble(message="no sound", time=event.time) if isinstance(event, log.SilenceEvent) else event

    walk = made.changed(made.golden("silence", tmp_path / "again"), tmp_path / "broken", broken)
    assert sentences(walk, "trouble") == ["no sound"] * 2


def test_a_hold_and_its_end_are_told(tmp_path: Path) -> None:
    told = sentences(made.story(tmp_path), "hold")
    assert told == ["Confirmed by the cockpit: hydraulic pressure on.", "Ended: hydraulic pressure on."]


def test_the_end_names_what_was_left_and_whose_decision_it_was(tmp_path: Path) -> None:
    walk = made.story(tmp_path)
    assert sentences(walk, "decision") == ["Decision of AB: not accepted."]
    left = sentences(made.golden("end-incomplete", tmp_path), "ended")[-1]
    assert left.startswith("Walk incomplete. Not answered: ")


# ---- time


def each_second(event: log.AnyEvent) -> log.AnyEvent:
    """Every event a second after the one before, by the clock that never jumps; the clock of the day stands still."""
    return event.model_copy(update={"offset_s": float(event.seq)})


def test_times_count_from_the_start_by_the_clock_that_never_jumps(tmp_path: Path) -> None:
    walk = made.changed(made.story(tmp_path), tmp_path / "paced", each_second)
    assert walk.timeline.seconds == len(read(walk.folder).events) - 1
    assert all(row.at.seconds == row.at.event - 1 for row in rows(walk) if not isinstance(row, Prompt))
    assert walk.timeline.seconds == elapsed_s(read(walk.folder).events)


def test_a_prompt_is_placed_at_where_it_began_but_never_before_what_came_before_it(tmp_path: Path) -> None:
    def spoken(event: log.AnyEvent) -> log.AnyEvent:
        slower = event.model_copy(update={"offset_s": 10.0 * event.seq})
        return slower.model_copy(update={"seconds": 4.0}) if isinstance(event, log.Said) else slower

    walk = made.changed(made.story(tmp_path), tmp_path / "paced", spoken)
    prompts = [row for row in rows(walk) if isinstance(row, Prompt)]
    assert all(row.at.seconds == 10 * (row.at.event - 1) - 4 for row in prompts)
    endless = made.changed(walk, tmp_path / "endless", lambda one: one.model_copy(update={"seconds": 99.0})
        if isinstance(one, log.Said) else one)  # fmt: skip
    assert all(row.at.seconds == 10 * (row.at.event - 2) for row in rows(endless) if isinstance(row, Prompt))


def test_time_while_the_program_was_off_is_nobodys_time_in_a_zone(tmp_path: Path) -> None:
    walk = made.golden("restart", tmp_path)
    again = False

    def hour_later(event: log.AnyEvent) -> log.AnyEvent:
        nonlocal again
        again = again or isinstance(event, log.ResumedEvent)
        return event.model_copy(update={"time": event.time + timedelta(hours=1)}) if again else event

    told = made.changed(walk, tmp_path / "later", hour_later)
    assert told.timeline.away_s == pytest.approx(3600, abs=5)
    assert told.timeline.seconds - told.timeline.away_s < 30
    assert sum(stop.seconds for stop in told.timeline.route) < 30
    assert sentences(told, "resumed")[0].startswith("The program was started again after 1:00:0")


# ---- practice


def scene(walk: Debrief, name: str) -> Scene:
    return next(row for row in rows(walk) if isinstance(row, Scene) and row.scene == name)


@pytest.fixture(scope="module")
def attempt(tmp_path_factory: pytest.TempPathFactory) -> Debrief:
    return made.attempt(tmp_path_factory.mktemp("attempt") / "walk")


def test_a_scene_stands_with_its_truth_and_the_answer(attempt: Debrief) -> None:
    missed = scene(attempt, "cover-left")
    assert missed.text.startswith("The left tube is bare.")
    assert (missed.truth, missed.outcome, missed.answered) == ("defect", "miss", "covers off")
    assert missed.why == "A bag over the tube stops the airspeed."
    (answer,) = [one for one in answers(attempt) if one.at.event == missed.answer_event]
    assert (answer.words, answer.outcome) == ("covers off", "miss")
    assert "miss" in missed.marks & answer.marks & heard(attempt, "covers off").marks


def test_each_way_that_a_scene_may_come_to(attempt: Debrief, tmp_path: Path) -> None:
    assert (scene(attempt, "wing-drip").outcome, scene(attempt, "wing-drip").named_rightly) == ("hit", True)
    assert scene(attempt, "nose-gear-mark").outcome == "false alarm"
    assert scene(attempt, "pins-out").outcome == "right"
    assert "false alarm" in heard(attempt, "cut on tyre two").marks
    short = made.attempt(tmp_path / "short", "negative", "leave for later", "end the walk", "affirm", "no decision")
    omitted = scene(short, "cover-left")
    assert (omitted.outcome, omitted.answer_event, omitted.marks) == ("omitted", None, {"miss"})


def test_helps_interruptions_and_the_way_back_are_told(attempt: Debrief) -> None:
    assert sentences(attempt, "help") == ["Help: what to look for."]
    assert sentences(attempt, "interruption") == [
        "Interrupted by a call: The radio calls you. Answer it.",
        "Interrupted by servicing: A fuel truck has come and has gone again.",
    ]
    assert sentences(attempt, "return")[0] == "Went on at fire bottle disc; the interruption came at brake lines."


def test_without_its_exercise_nothing_is_judged(attempt: Debrief) -> None:
    told = timeline(read(attempt.folder).events, small().checklist)
    seen = [row for _, row in rows_of(told) if isinstance(row, Scene)]
    assert seen
    assert all(row.outcome is None and not row.marks for row in seen)
