"""The summary of a log says what the walk itself knows, wherever the log breaks off."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from handsfree.debrief.summary import Summary, as_text, summarise
from handsfree.journal import events as log
from handsfree.journal.reader import read
from handsfree.replay import input_of, replay
from handsfree.walk import route
from tests.walk.conversation import GOLDEN, golden_files, read_scene, small
from tests.walk.performance import perform


def summary_of(name: str, folder: Path) -> Summary:
    performance = perform(read_scene(GOLDEN / f"{name}.txt"), small(), folder / "walk")
    return summarise(read(performance.folder).events, small().checklist)


@pytest.mark.parametrize("path", golden_files(), ids=lambda path: path.stem)
def test_at_every_turn_of_every_conversation_it_agrees_with_the_walk(path: Path, tmp_path: Path) -> None:
    checklist = small().checklist
    events = read(perform(read_scene(path), small(), tmp_path / "walk").folder).events
    turns = [index for index, event in enumerate(events) if input_of(event) is not None]
    for end in (*turns[1:], len(events)):
        state, _ = replay(small(), events[:end])
        summary = summarise(events[:end], checklist)
        passed = [item.id for item in checklist.items() if route.status(state, item) == "passed"]
        standing = [one for one in state.answers if one.standing == "stands" and one.kind == "finding"]
        assert summary.passed == len(passed)
        assert summary.not_answered == tuple(item.id for item in route.unanswered(checklist, state))
        assert sorted(one.words for one in summary.findings) == sorted(one.words for one in standing)
        assert summary.withdrawn == sum(one.standing != "stands" for one in state.answers)
        assert summary.holds_active == state.holds
        assert summary.outcome == (state.outcome or "interrupted")
        assert summary.decision == state.decision


def test_findings_come_by_severity_with_their_chapter(tmp_path: Path) -> None:
    summary = summary_of("summary-by-severity", tmp_path)
    assert [(one.severity, one.ata, one.name, one.description, one.confirmed) for one in summary.findings] == [
        ("critical", "32", "brake wear pins", "pin flush", True),
        ("major", "34", "covers in hand", "three covers, count short", True),
        ("minor", "33", "taxi light", "light out, nose", True),
    ]
    assert summary.not_answered == ("tyre-pressure", "pressure-off")
    assert summary.not_understood == ("tyre-pressure",)
    assert summary.holds_active == ("hydraulics",)
    assert summary.outcome == "incomplete"


def test_one_is_told_as_one(tmp_path: Path) -> None:
    one = replace(summary_of("summary-by-severity", tmp_path), passed=1, withdrawn=1)
    told = as_text(one, small().checklist)
    assert "1 item passed." in told
    assert "1 answer was replaced or withdrawn; the log keeps it." in told
    assert "2 answers were replaced or withdrawn; the log keeps them." in as_text(
        replace(one, withdrawn=2), small().checklist
    )


def test_one_part_of_an_item_is_not_a_pass(tmp_path: Path) -> None:
    """Only the tyres of the nose gear were said to be good when the program stopped."""
    performance = perform(read_scene(GOLDEN / "say-again.txt"), small(), tmp_path / "walk")
    summary = summarise(read(performance.folder).events, small().checklist)
    assert summary.passed == 1
    assert "nose-gear" in summary.not_answered


def test_the_decision_is_the_persons_own(tmp_path: Path) -> None:
    summary = summary_of("decision", tmp_path)
    assert (summary.decision_by, summary.decision) == ("AB", "rejected")
    assert "Decision of AB: not accepted" in as_text(summary, small().checklist)


@pytest.mark.parametrize("path", golden_files(), ids=lambda path: path.stem)
def test_it_never_releases_an_aircraft(path: Path, tmp_path: Path) -> None:
    performance = perform(read_scene(path), small(), tmp_path / "walk")
    text = as_text(summarise(read(performance.folder).events, small().checklist), small().checklist)
    assert "airworthy" not in text.lower()
    assert "does not release the aircraft" in text


def test_the_text_names_everything_that_matters(tmp_path: Path) -> None:
    text = as_text(summary_of("summary-by-severity", tmp_path), small().checklist)
    assert text.splitlines()[0] == "Small test aircraft, walk round before flight: Q7KTA, by AB"
    for line in (
        "Findings: 3",
        "  critical  ATA 32  brake wear pins: pin flush",
        "Not answered: 2",
        "Not understood at: 1",
        "Still active: hydraulic pressure on",
    ):
        assert line in text.splitlines(), line


def test_an_unconfirmed_finding_is_marked(tmp_path: Path) -> None:
    text = as_text(summary_of("read-back-not-understood", tmp_path), small().checklist)
    assert "  major     ATA 32  nose gear: cut, tyre two  [unconfirmed]" in text.splitlines()


def test_a_finding_of_a_place_is_spoken_of_by_its_place(tmp_path: Path) -> None:
    """No item is named that was not meant."""
    text = as_text(summary_of("elsewhere-free", tmp_path), small().checklist)
    assert "  major     ATA --  fuel leak, left wing" in text.splitlines()


def test_of_several_items_that_may_be_meant_the_gravest_counts(tmp_path: Path) -> None:
    (leak,) = summary_of("elsewhere-of-several", tmp_path).findings
    assert (leak.item, leak.description, leak.severity, leak.ata) == (None, "leak, left side", "critical", None)


def test_it_counts_what_was_heard_and_how_long_it_took(tmp_path: Path) -> None:
    summary = summary_of("silence", tmp_path)
    assert summary.heard == {"control": 1, "pass": 1, "finding": 1, "none": 1}
    assert 0 <= summary.seconds < 30
    assert json.dumps(summary.heard)


def test_it_says_how_far_answers_stood_over_the_noise_in_each_zone(tmp_path: Path) -> None:
    performance = perform(read_scene(GOLDEN / "summary-by-severity.txt"), small(), tmp_path / "walk")
    ratios = {"nose": [30.0, 10.0, 20.0], "left-wing": [4.0, 5.0]}
    events = [
        event.model_copy(update={"snr_db": ratios[event.zone].pop()})
        if isinstance(event, log.HeardEvent) and event.zone and ratios.get(event.zone)
        else event
        for event in read(performance.folder).events
    ]
    summary = summarise(tuple(events), small().checklist)
    assert summary.speech_over_noise == {"nose": 20.0, "left-wing": 4.5}
    assert "Speech over noise: Nose 20 dB, Left wing 4 dB" in as_text(summary, small().checklist).splitlines()


def test_of_a_typed_walk_there_is_no_noise_to_tell(tmp_path: Path) -> None:
    summary = summary_of("decision", tmp_path)
    assert summary.speech_over_noise == {}
    assert "over noise" not in as_text(summary, small().checklist)


def test_what_was_never_understood_is_quoted(tmp_path: Path) -> None:
    """Three times something was said and not understood: it may have been a defect, so the words are shown."""
    summary = summary_of("not-understood", tmp_path)
    assert len(summary.unclear) >= 3
    text = as_text(summary, small().checklist)
    assert "Said and asked again" in text
    assert all(f'"{one.words}"' in text for one in summary.unclear)
