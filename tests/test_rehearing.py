"""Clips heard again: what would be understood otherwise is listed, what endangers most first."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from handsfree.book import open_book
from handsfree.checklist.models import Practice
from handsfree.journal.events import HeardEvent
from handsfree.journal.reader import Journal, read
from handsfree.language.heard import Heard, HeardOutcome
from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Vocabulary
from handsfree.listeners import understand
from handsfree.rehearing import Moment, Reheard, as_text, compared, in_room, moments, rehear
from handsfree.walk.machine import expect
from handsfree.walk.state import WalkState
from tests.drill.practised import practise
from tests.support.commands import Commands
from tests.support.sounds import pink_noise, rms, tone
from tests.support.spoken_walk import spoken_walk
from tests.walk.conversation import small

SAID = ("negative", "covers off", "cut on tyre two", "affirm", "pressure on")
PASSED = ("negative", ("covers off", "cover still on"), ("fuel leak", "dry"), "affirm")
"""The log took a defect for a pass, and the other way round."""


@pytest.fixture(scope="module")
def walk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return spoken_walk(tmp_path_factory.mktemp("spoken") / "walk", SAID)


@pytest.fixture
def mistaken(tmp_path: Path) -> Path:
    return spoken_walk(tmp_path / "walk", PASSED)


def just_the_same(journal: Journal) -> dict[int, Heard]:
    return {one.event.seq: one.then for one in moments(small(), journal)}


class Told:
    """Hears one after the other what it is told."""

    def __init__(self, *heard: Heard) -> None:
        self.heard = list(heard)
        self.vocabularies: list[Vocabulary] = []

    def __call__(self, sound: NDArray[np.int16], vocabulary: Vocabulary) -> Heard:
        self.vocabularies.append(vocabulary)
        return self.heard.pop(0)


def at_item(then: HeardOutcome, *meanings: Meaning) -> Moment:
    event = HeardEvent(
        seq=7, moment="item", item="nose-gear", outcome=then, said="then", meanings=(), confidence=1.0, snr_db=None,
        decided_after_s=None, alternatives=(), why="", clip=None,
    )  # fmt: skip
    return Moment(event, Heard(then, "then", meanings), WalkState())


# ---- with the real recogniser


def test_a_defect_that_was_taken_for_a_pass_comes_to_light(mistaken: Path, run: Commands, model: Path) -> None:
    ran = run("replay", mistaken, "--rehear", "--json", "--model", model)
    assert ran.code == 1, ran.err
    first, second, counts = ran.rows
    assert (first["grave"], first["item"], first["then"], first["now"]) == (
        "a finding would pass",
        "nose-gear",
        "finding",
        "pass",
    )
    assert (second["grave"], second["item"]) == ("a pass would be a finding", "pitot-covers")
    assert (second["then_words"], second["now"]) == ("covers off", "finding")
    assert counts == {"heard": 4, "different": 2, "removed": 0, "altered": [], "elsewhere": []}
    assert "heard again: 4 of 4" in ran.err


# ---- what is a difference


PASS, FOUR = Meaning.of("pass", item="tyres"), Meaning.of("value", value="4")
CUT, LEAK = Meaning.of("finding", finding="cut"), Meaning.of("finding", finding="leak")
YES, NO = Meaning.of("control", control="affirm"), Meaning.of("control", control="negative")


@pytest.mark.parametrize(
    ("then", "now", "grave"),
    [
        (("finding", CUT), ("pass", PASS), "a finding would pass"),
        (("finding", CUT), ("value", FOUR), "a finding would pass"),
        (("pass", PASS), ("finding", CUT), "a pass would be a finding"),
        (("value", FOUR), ("finding", CUT), "a pass would be a finding"),
        (("finding", CUT), ("finding", LEAK), ""),
        (("finding", CUT), ("none",), ""),
        (("finding", CUT), ("ask", CUT), ""),
        (("pass", PASS), ("ask",), ""),
        (("ask",), ("pass", PASS), ""),
        (
            ("control", Meaning.of("control", control="affirm")),
            ("control", Meaning.of("control", control="negative")),
            "",
        ),
    ],
)
def test_another_outcome_or_meaning_is_a_difference(
    then: tuple[HeardOutcome, *tuple[Meaning, ...]], now: tuple[HeardOutcome, *tuple[Meaning, ...]], grave: str
) -> None:
    found = compared(at_item(*then), Heard(now[0], "now", now[1:]))
    assert found is not None
    assert (found.grave, found.then, found.now, found.event) == (grave, then[0], now[0], 7)


@pytest.mark.parametrize(
    ("then", "now"),
    [(("pass", PASS), ("pass", PASS)), (("ask", CUT), ("ask", LEAK)), (("none",), ("none",))],
)
def test_other_words_for_the_same_are_none(
    then: tuple[HeardOutcome, *tuple[Meaning, ...]], now: tuple[HeardOutcome, *tuple[Meaning, ...]]
) -> None:
    assert compared(at_item(*then), Heard(now[0], "other words", now[1:])) is None


def test_the_grave_come_first(walk: Path) -> None:
    """All clips of the walk turned round: the finding that would pass is told before the passes that would not."""
    journal = read(walk)
    heard = dict(just_the_same(journal))
    turned = [
        Heard("pass", "ok", (PASS,)) if one.outcome == "finding" else Heard("finding", "cut", (CUT,))
        for one in heard.values()
    ]
    found = rehear(small(), journal, Told(*turned))
    told = [one.grave for one in found.differences]
    assert told == ["a finding would pass", *["a pass would be a finding"] * 2, "", ""]
    text = as_text(found, {"nose-gear": "nose gear"})
    assert text[0] == "A finding would pass: 1"
    assert text[1].startswith("  event ")
    assert 'nose gear: finding "cut on tyre two" -> pass "ok"' in text[1]
    assert text[-1] == "5 clips heard again: 0 the same, 5 otherwise."


def test_what_is_heard_as_it_was_is_no_difference(walk: Path) -> None:
    shown: list[tuple[int, int]] = []
    told = Told(*just_the_same(read(walk)).values())
    found = rehear(small(), read(walk), told, lambda done, of: shown.append((done, of)))
    assert found == Reheard(len(SAID), (), 0, (), ())
    assert found.same
    assert shown == [(done, len(SAID)) for done in range(len(SAID) + 1)]


def test_each_clip_is_heard_at_its_own_moment(walk: Path) -> None:
    journal = read(walk)
    told = Told(*just_the_same(journal).values())
    assert rehear(small(), journal, told).same
    assert told.vocabularies == [small().listening.vocabulary(expect(one.state)) for one in moments(small(), journal)]
    assert len({id(one) for one in told.vocabularies}) > 2


def test_where_sound_was_lost_it_is_lost_again(walk: Path) -> None:
    """Doubt that a gap brought is no doubt of the ears."""
    journal = read(walk)
    events = [
        one.model_copy(update={"lost_sound": True, "outcome": "ask", "meanings": ()})
        if isinstance(one, HeardEvent) and one.said == "pressure on" else one
        for one in journal.events
    ]  # fmt: skip
    journal = dataclasses.replace(journal, events=tuple(events))
    now = [
        understand(one.event.said, small().listening.vocabulary(expect(one.state))) for one in moments(small(), journal)
    ]
    assert now[-1].outcome == "pass"
    assert rehear(small(), journal, Told(*now)).same


@pytest.mark.parametrize("practice", ["guided", "scenes", "memory"])
def test_practice_is_heard_again_as_it_was_practised(tmp_path: Path, practice: Practice) -> None:
    """Where nothing is prompted, more can be said at each moment than on a walk."""
    goes_there = ["pitot covers"] if practice == "memory" else []
    journal = practise(tmp_path / "walk", practice, "negative", *goes_there, "covers off")
    book = open_book(journal)
    told = Told(*(one.then for one in moments(book, journal)))
    found = rehear(book, journal, told)
    assert (found.heard, found.elsewhere, found.differences) == (2 + len(goes_there), (), ())


# ---- what cannot be heard


def test_clips_that_were_removed_are_counted(walk: Path, tmp_path: Path, run: Commands) -> None:
    journal = spoken_walk(tmp_path / "walk", SAID[:2])
    clips = sorted((journal / "clips").iterdir())
    clips[0].unlink()
    found = rehear(small(), read(journal), Told(*list(just_the_same(read(journal)).values())[1:]))
    assert (found.heard, found.removed, found.same) == (1, 1, True)
    assert "1 clips were removed and cannot be heard." in as_text(found, {})
    clips[1].unlink()
    run("replay", journal, "--rehear").failed("no clip in")


def test_another_clip_than_was_recorded_is_not_heard_and_not_passed_over(tmp_path: Path) -> None:
    folder = spoken_walk(tmp_path / "walk", SAID[:2])
    first, second = sorted((folder / "clips").iterdir())
    first.write_bytes(second.read_bytes())
    found = rehear(small(), read(folder), Told(*list(just_the_same(read(folder)).values())[1:]))
    assert (found.heard, found.same, len(found.altered)) == (1, False, 1)
    assert any("see handsfree verify" in line for line in as_text(found, {}))


def test_what_could_be_said_is_not_guessed_at(walk: Path) -> None:
    """A log whose walk goes another way today: the clips after the fork are not heard at the wrong moment."""
    journal = read(walk)
    other = [one for one in journal.events if not (isinstance(one, HeardEvent) and one.said == "covers off")]
    found = rehear(small(), dataclasses.replace(journal, events=tuple(other)), Told(*just_the_same(journal).values()))
    assert found.heard == 1
    assert len(found.elsewhere) == 3
    assert not found.same


@pytest.mark.parametrize("noise_dbfs", [-60.0, -30.0])
@pytest.mark.parametrize("hertz", [300.0, 3000.0])
def test_the_room_around_a_clip_is_as_loud_as_it_was_and_sounds_like_its_ends(noise_dbfs: float, hertz: float) -> None:
    clip = tone(1.5, 200, hertz) + pink_noise(1.5, 20)
    sound = in_room(clip, noise_dbfs)
    assert len(sound) == 16_000 + len(clip) + 16_000
    assert np.array_equal(sound[16_000:-16_000], clip)
    for room in (sound[:16_000], sound[-16_000:]):
        assert 20 * np.log10(rms(room) / 32768) == pytest.approx(noise_dbfs, abs=1.0)
        assert np.argmax(np.abs(np.fft.rfft(room))) == pytest.approx(hertz, abs=30)


def test_around_a_clip_with_silent_ends_there_is_a_room_all_the_same() -> None:
    sound = in_room(np.zeros(16_000, dtype=np.int16), -40.0)
    assert 20 * np.log10(rms(sound[:16_000]) / 32768) == pytest.approx(-40.0, abs=1.0)


def test_where_no_noise_was_measured_the_room_is_silent() -> None:
    assert not in_room(np.zeros(10, dtype=np.int16), None).any()
