"""A log as cues: everything that was said and heard comes again in its order, and any place can be gone to."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from handsfree.debrief.playback import (
    LONGEST_PAUSE_S,
    Answer,
    AnyCue,
    Kind,
    Mark,
    Pause,
    Playing,
    Prompt,
    Remark,
    at_event,
    at_mark,
    cues_of,
    next_mark,
    only_findings,
    pressed,
    previous_mark,
    waited_s,
)
from handsfree.debrief.summary import elapsed_s
from handsfree.journal import events as log
from handsfree.journal.reader import read
from tests.drill.practised import practise
from tests.walk.conversation import GOLDEN, golden_files, read_scene, small
from tests.walk.performance import perform, tell

NOON = datetime(2026, 1, 1, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def events(tmp_path_factory: pytest.TempPathFactory) -> tuple[log.AnyEvent, ...]:
    return read(tell(tmp_path_factory.mktemp("told") / "walk").folder).events


@pytest.fixture(scope="module")
def cues(events: tuple[log.AnyEvent, ...]) -> tuple[AnyCue, ...]:
    return cues_of(events, small().checklist)


def timed(*timed_events: tuple[float, log.AnyEvent]) -> tuple[log.AnyEvent, ...]:
    return tuple(
        event.model_copy(update={"seq": number, "offset_s": at, "time": NOON + timedelta(seconds=at)})
        for number, (at, event) in enumerate(timed_events, start=1)
    )


@cache
def opened() -> log.Opened:
    return log.Opened(tool="t", checklist="small", checklist_sha256="", source="microphone")


def heard(words: str, outcome: str = "pass", seconds: float | None = 1.0) -> log.HeardEvent:
    clip = None if seconds is None else {"file": "clips/00001.wav", "sha256": "0" * 64, "seconds": seconds}
    given = {"moment": "item", "outcome": outcome, "said": words, "meanings": (), "confidence": 0.9, "snr_db": 20.0,
             "decided_after_s": 0.2, "alternatives": (), "why": "", "clip": clip}  # fmt: skip
    return log.HeardEvent.model_validate(given)


def words_of(cue: AnyCue) -> str:
    match cue:
        case Answer(words=words):
            return f"> {words}"
        case Prompt(text=text):
            return text
        case Mark(kind=kind, name=name):
            return f"[{kind} {name}]"
        case Remark(text=text):
            return f"({text})"
        case Pause():
            return "..."


def from_here(cues: Sequence[AnyCue], at: int | None, count: int = 1) -> list[str]:
    assert at is not None
    return [words_of(one) for one in cues[at:] if not isinstance(one, Pause)][:count]


# ---- what comes again


SCENES = [
    path for path in golden_files() if path.stem.startswith(("decision", "elsewhere", "guess", "hold", "restart"))
]


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_no_word_that_was_spoken_or_heard_is_left_out_and_all_follow_the_clock(path: Path, tmp_path: Path) -> None:
    events = read(perform(read_scene(path), small(), tmp_path / "walk").folder).events
    cues = cues_of(events, small().checklist)
    spoken = [event.text for event in events if isinstance(event, log.Said)]
    assert [one.text for one in cues if isinstance(one, Prompt)] == spoken
    said = [(event.seq, event.said, event.outcome, event.clip) for event in events if isinstance(event, log.HeardEvent)]
    assert [(one.event, one.words, one.outcome, one.clip) for one in cues if isinstance(one, Answer)] == said
    taken = [event for event in events if isinstance(event, log.AnswerEvent) and event.kind == "finding"]
    findings = [one for one in cues if isinstance(one, Mark) and one.kind == "finding"]
    assert [one.event for one in findings] == [event.seq for event in taken]
    assert all(event.description in one.text for event, one in zip(taken, findings, strict=True))
    assert [one.event for one in cues] == sorted(one.event for one in cues)
    assert [one.at_s for one in cues] == sorted(one.at_s for one in cues)
    assert all(0 <= one.at_s <= elapsed_s(events) + 0.001 for one in cues)


def test_a_turn_with_its_times() -> None:
    """A prompt and an answer are written when they are over; they begin before, and between them it was silent."""
    events = timed(
        (0.0, opened()),
        (1.5, log.Said(text="Taxi light?", seconds=1.0, zone="nose", item="taxi-light")),
        (9.0, heard("light on", seconds=1.2)),
        (9.1, log.Said(text="Left wing.", seconds=0.0)),
    )
    cues = cues_of(events, small().checklist)
    assert [(words_of(one), one.at_s, one.event) for one in cues] == [
        ("...", 0.0, 2),
        ("Taxi light?", 0.5, 2),
        ("...", 1.5, 3),
        ("> light on", 7.8, 3),
        ("Left wing.", 9.1, 4),
    ]
    pauses = [one for one in cues if isinstance(one, Pause)]
    assert [one.seconds for one in pauses] == [0.5, 6.3]
    assert [waited_s(one, 1.0) for one in pauses] == [0.5, LONGEST_PAUSE_S]
    assert waited_s(pauses[0], 2.0) == 0.25


def test_a_clip_that_was_being_recorded_while_the_tool_spoke_begins_after_it() -> None:
    """With a headset an answer may begin within the question; what is heard again comes one after the other."""
    events = timed((0.0, opened()), (2.0, log.Said(text="Disc?", seconds=1.0)), (2.5, heard("red", seconds=1.5)))
    assert [(words_of(one), one.at_s) for one in cues_of(events, small().checklist)][1:] == [
        ("Disc?", 1.0),
        ("> red", 2.0),
    ]


def test_the_time_away_is_a_pause() -> None:
    events = (
        *timed((0.0, opened()), (1.0, log.Said(text="Disc?", seconds=1.0))),
        log.ResumedEvent(tool="t", seq=3, offset_s=0.0, time=NOON + timedelta(seconds=61)),
        log.Said(text="Back to: Disc?", seconds=1.0, seq=4, offset_s=1.0, time=NOON + timedelta(seconds=62)),
    )
    cues = cues_of(events, small().checklist)
    assert [(words_of(one), one.at_s) for one in cues] == [
        ("Disc?", 0.0),
        ("...", 1.0),
        ("(the program was started again, and the walk went on)", 61.0),
        ("Back to: Disc?", 61.0),
    ]


def test_what_becomes_of_a_finding_is_said_by_its_number(tmp_path: Path) -> None:
    performance = perform(read_scene(GOLDEN / "correction-finding-by-pass.txt"), small(), tmp_path / "walk")
    cues = cues_of(read(performance.folder).events, small().checklist)
    told = [one.text for one in cues if isinstance(one, Remark)]
    assert any(text.startswith("finding 1: ") for text in told), told


def test_of_practice_what_was_true_is_told(tmp_path: Path) -> None:
    cues = cues_of(practise(tmp_path / "walk", "scenes", "negative", "covers off").events, small().checklist)
    told = [one.text for one in cues if isinstance(one, Remark)]
    assert any(re.fullmatch(r"scene [\w-]+: (sound|odd|defect)", text) for text in told), told


def test_every_kind_of_event_can_be_told() -> None:
    """One that the core does not know would be passed over in silence, so each is either a cue or known not to be."""
    without = {"opened", "identity", "condition", "asked", "hold", "servicing"}
    given: dict[str, dict[str, Any]] = {
        "said": {"text": "a", "seconds": 1.0}, "silence": {}, "resumed": {"tool": "t"}, "zone": {"zone": "nose"},
        "answer": {"number": 1, "kind": "finding", "place": None, "elsewhere": False, "words": "cut", "meaning": {},
                   "description": "cut", "severity": "major", "ata": None},
        "answer_changed": {"number": 1, "confirmed": True, "standing": "stands"},
        "left": {"reason": "asked", "item": "nose-gear"}, "stand_by": {"active": True},
        "sight": {"scene": "s", "text": "t", "truth": "odd", "findings": (), "difficulty": 1},
        "helped": {"help": "why"}, "interrupted": {"kind": "call", "text": "t"}, "returned": {"due": "nose-gear"},
        "trouble": {"message": "m"}, "paused": {"reason": "r"},
        "ended": {"outcome": "complete", "open_items": (), "holds": ()},
        "decision": {"who": "AB", "decision": "accepted", "words": ""},
    }  # fmt: skip
    kinds = {one["properties"]["type"]["const"] for one in log.schema()["$defs"].values() if "seq" in one["properties"]}
    assert kinds == without | given.keys() | {"heard"}
    for kind, fields in given.items():
        event = log.EVENTS.validate_python({"type": kind, "seq": 1, **fields})
        assert len(cues_of((event,), small().checklist)) == 1, kind


# ---- the way about


def test_an_event_is_gone_to_by_its_number(cues: tuple[AnyCue, ...], events: tuple[log.AnyEvent, ...]) -> None:
    for event in events:
        at = at_event(cues, event.seq)
        assert at is None or cues[at].event >= event.seq
        assert at in (None, 0) or cues[at - 1].event < event.seq
    assert at_event(cues, 0) == 0
    assert at_event(cues, len(events) + 1) is None


def test_a_zone_begins_where_it_is_entered(cues: tuple[AnyCue, ...]) -> None:
    assert from_here(cues, at_mark(cues, "zone", "left-wing"), 2) == ["[zone left-wing]", "Left wing."]
    assert at_mark(cues, "zone", "no-zone") is None


def test_a_finding_begins_with_the_question_that_it_answered(cues: tuple[AnyCue, ...]) -> None:
    assert from_here(cues, at_mark(cues, "finding", "1"), 5) == [
        "Nose gear, tyres and leaks?",
        "> no leak, cut on tyre two",
        "[finding 1]",
        "Finding: cut, tyre two. Affirm?",
        "> affirm",
    ]
    assert from_here(cues, at_mark(cues, "finding", "2"), 2) == ["Brake wear pins?", "> fuel leak left wing"]
    assert at_mark(cues, "finding", "99") is None


@pytest.mark.parametrize("kind", ["zone", "finding"])
def test_forwards_and_backwards_come_to_the_same_places(cues: tuple[AnyCue, ...], kind: Kind) -> None:
    forwards, backwards = list[int](), list[int]()
    at = next_mark(cues, -1, kind)
    while at is not None:
        forwards.append(at)
        at = next_mark(cues, at, kind)
    at = previous_mark(cues, len(cues), kind)
    while at is not None:
        backwards.append(at)
        at = previous_mark(cues, at, kind)
    assert forwards == backwards[::-1]
    begun = [one.event for one in cues if isinstance(one, Mark) and one.kind == kind]
    assert len(forwards) == len(begun)


def test_within_a_zone_backwards_is_to_its_beginning(cues: tuple[AnyCue, ...]) -> None:
    begin = at_mark(cues, "zone", "left-wing")
    assert begin is not None
    assert previous_mark(cues, begin + 3, "zone") == begin


def test_only_findings_with_question_and_read_back(cues: tuple[AnyCue, ...]) -> None:
    kept = [words_of(one) for one in only_findings(cues) if not isinstance(one, Pause)]
    assert kept[:6] == [
        "Nose gear, tyres and leaks?",
        "> no leak, cut on tyre two",
        "[finding 1]",
        "Finding: cut, tyre two. Affirm?",
        "> affirm",
        "(finding 1: confirmed)",
    ]
    assert {one for one in kept if one.startswith("[")} == {
        words_of(one) for one in cues if isinstance(one, Mark) and one.kind == "finding"
    }
    assert "> covers off" not in kept
    assert "> pins proud" not in kept


def test_a_finding_that_was_not_read_back_ends_with_itself() -> None:
    finding = log.AnswerEvent(
        number=1, kind="finding", place=None, elsewhere=False, words="cut", meaning={}, description="cut",
        severity="major", ata="32", item="nose-gear",
    )  # fmt: skip
    events = timed(
        (1.0, log.Said(text="Nose gear?", seconds=1.0, item="nose-gear")),
        (2.0, heard("cut", "finding").model_copy(update={"item": "nose-gear"})),
        (2.0, finding),
        (3.0, log.Said(text="Taxi light?", seconds=1.0, item="taxi-light")),
        (4.0, heard("light on").model_copy(update={"item": "taxi-light"})),
    )
    kept = only_findings(cues_of(events, small().checklist))
    assert [words_of(one) for one in kept] == ["Nose gear?", "> cut", "[finding 1]"]


# ---- keys


@pytest.mark.parametrize(
    ("keys", "playing"),
    [
        (" ", Playing(paused=True)),
        ("  ", Playing()),
        ("2", Playing(speed=2.0)),
        ("0", Playing(speed=0.5)),
        ("9x[A", Playing()),
        ("q", Playing(over=True)),
        ("pF", Playing()),
    ],
)
def test_keys(cues: tuple[AnyCue, ...], keys: str, playing: Playing) -> None:
    state = Playing()
    for key in keys:
        state = pressed(state, key, cues)
    assert state == playing


def test_keys_that_jump_end_a_pause(cues: tuple[AnyCue, ...]) -> None:
    state = pressed(Playing(paused=True), "n", cues)
    assert (from_here(cues, state.at), state.paused) == (["[zone nose]"], False)
    state = pressed(state, "f", cues)
    assert from_here(cues, state.at) == ["Nose gear, tyres and leaks?"]
    state = pressed(pressed(state, "f", cues), "F", cues)
    assert from_here(cues, state.at) == ["Nose gear, tyres and leaks?"]
    assert from_here(cues, pressed(state, "p", cues).at) == ["[zone nose]"]
