"""A whole session: written before spoken, replayed word for word, and nothing acknowledged is ever lost."""

from __future__ import annotations

import os
import random
import re
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest

from handsfree.book import open_book
from handsfree.journal import events as log
from handsfree.journal.errors import JournalError
from handsfree.journal.events import AnyEvent
from handsfree.journal.reader import read
from handsfree.journal.writer import JournalWriter
from handsfree.replay import cut_off, replay
from handsfree.session import Session
from handsfree.walk.events import Begin
from handsfree.walk.state import WalkState
from tests.walk.conversation import GOLDEN, SMALL, Conversation, golden_files, read_scene, small
from tests.walk.performance import SOUND, STORY, Ears, Mouth, Screen, finish, perform, sentences

INPUTS = (log.Opened, log.HeardEvent, log.SilenceEvent, log.ResumedEvent)
NOT_FROM_THE_WALK = (*INPUTS, log.Said, log.Trouble, log.Paused)


# ---- replay


@pytest.mark.parametrize("path", golden_files(), ids=lambda path: path.stem)
def test_a_replayed_log_gives_the_same_state_and_the_same_notes(path: Path, tmp_path: Path) -> None:
    performance = perform(read_scene(path), small(), tmp_path / "walk")
    events = read(performance.folder).events
    assert replay(small(), events) == (performance.state, [])
    assert notes_of(events) == notes_again(events)


def test_the_log_can_be_replayed_with_the_checklist_beside_it(tmp_path: Path) -> None:
    performance = perform(read_scene(GOLDEN / "servicing.txt"), small(), tmp_path / "walk")
    journal = read(performance.folder)
    state, missing = replay(open_book(journal), journal.events)
    assert (state, missing) == (performance.state, [])


def notes_of(events: Sequence[AnyEvent]) -> list[str]:
    return [bare(event) for event in events if not isinstance(event, NOT_FROM_THE_WALK)]


def notes_again(events: Sequence[AnyEvent]) -> list[str]:
    """The notes that the walk writes when it is given the log's inputs, each with what was before it forgotten."""
    found: list[str] = []
    for count in range(1, len(events) + 1):
        if isinstance(events[count - 1], INPUTS):
            found += [bare(event) for event in replay(small(), events[:count])[1]]
    return found


def bare(event: AnyEvent) -> str:
    return event.model_dump_json(exclude={"seq", "prev", "time", "offset_s"})


# ---- written before spoken


def test_what_is_said_rests_on_what_is_written(tmp_path: Path) -> None:
    """Before each sentence the log holds the input that led to it, and every sentence before it."""
    folder = tmp_path / "walk"
    mouth = Mouth()
    states: list[WalkState] = []

    def look() -> None:
        events = read(folder).events
        state, missing = replay(small(), events)
        assert missing == [], "spoken before it was written"
        assert [event.text for event in events if isinstance(event, log.Said)] == mouth.said
        states.append(state)

    mouth.watch = look
    performance = perform(read_scene(GOLDEN / "summary-by-severity.txt"), small(), folder, mouth)
    assert states[-1] == performance.state
    assert len(mouth.said) > 30


def test_what_was_said_is_written_before_the_next_answer_is_heard(tmp_path: Path) -> None:
    writer = JournalWriter.create(tmp_path, SMALL.read_bytes())
    mouth = Mouth()
    talk = Conversation(small())
    script = [talk.understood("negative")]
    looks = 0

    def look() -> None:
        nonlocal looks
        looks += 1
        assert [event.text for event in read(tmp_path).events if isinstance(event, log.Said)] == mouth.said
        assert mouth.said

    session = Session(small(), writer, mouth, Ears(iter(script), watch=look), Screen())
    assert session.begin(Begin("AB", "Q7KTA", level_check=False), "", "typed") is False
    assert looks == 2
    assert isinstance(read(tmp_path).events[-1], log.Paused)


# ---- sound


def test_the_sound_of_what_was_meant_for_the_tool_is_kept_and_no_other(tmp_path: Path) -> None:
    performance = perform(read_scene(GOLDEN / "silence.txt"), small(), tmp_path / "walk")
    heard = [event for event in read(performance.folder).events if isinstance(event, log.HeardEvent)]
    kept = [event for event in heard if event.clip is not None]
    chatter = [event for event in heard if event.outcome == "none"]
    assert len(chatter) == 1
    assert len(kept) == len(heard) - 1
    assert all(event.clip is None for event in chatter)
    files = sorted(str(file.relative_to(performance.folder)) for file in (performance.folder / "clips").iterdir())
    assert files == sorted(event.clip.file for event in kept if event.clip)


def test_a_spoken_note_is_kept_as_sound_though_no_word_of_it_was_understood(tmp_path: Path) -> None:
    performance = perform(read_scene(GOLDEN / "voice-note.txt"), small(), tmp_path / "walk")
    notes = [one for one in read(performance.folder).events if isinstance(one, log.HeardEvent) and one.moment == "note"]
    assert [one.outcome for one in notes] == ["none"]
    assert notes[0].clip is not None
    assert (performance.folder / notes[0].clip.file).read_bytes().endswith(SOUND)


def test_where_the_sound_cannot_be_kept_the_words_still_are(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    writer = JournalWriter.create(tmp_path, SMALL.read_bytes())
    script = [Conversation(small()).understood("negative")]

    def full(samples: bytes) -> log.Clip:
        raise JournalError("the log cannot be written: No space left on device", "")

    monkeypatch.setattr(writer, "keep_clip", full)
    session = Session(small(), writer, Mouth(), Ears(iter(script)), Screen())
    session.begin(Begin("AB", "Q7KTA", level_check=False), "", "typed")
    events = read(tmp_path).events
    heard = next(event for event in events if isinstance(event, log.HeardEvent))
    assert (heard.said, heard.clip) == ("negative", None)
    assert [event.message for event in events if isinstance(event, log.Trouble)] == [
        "the log cannot be written: No space left on device"
    ]
    assert replay(small(), events) == (session.state, [])


# ---- trouble


def test_why_a_walk_stopped_stands_in_its_log(tmp_path: Path) -> None:
    class Unplugged(Mouth):
        def say(self, text: str) -> float:
            raise OSError("the loudspeaker is gone")

    writer = JournalWriter.create(tmp_path, SMALL.read_bytes())
    with pytest.raises(OSError, match="the loudspeaker is gone"):
        Session(small(), writer, Unplugged(), Ears(iter([])), Screen()).begin(Begin("AB", "Q7KTA"), "", "typed")
    last = read(tmp_path).events[-1]
    assert isinstance(last, log.Trouble)
    assert last.message == "the loudspeaker is gone"


# ---- going on


def test_a_walk_that_was_cut_off_goes_on_where_it_was(tmp_path: Path) -> None:
    """Whatever the number of events that reached the disk, the rest of the walk can be done, and nothing is asked
    twice that was answered."""
    whole = perform(read_scene(GOLDEN / "hold.txt"), small(), tmp_path / "whole")
    lines = (whole.folder / "log.jsonl").read_bytes().splitlines(keepends=True)
    for count in range(1, len(lines), 5):
        folder = tmp_path / f"cut-{count}"
        folder.mkdir()
        (folder / "clips").mkdir()
        (folder / "log.jsonl").write_bytes(b"".join(lines[:count]) + lines[count][:20])
        before = replay(small(), read(folder).events)[0]
        state = finish(folder)
        assert state.moment == "ended"
        assert state.answers[: len(before.answers)] == before.answers
        events = read(folder).events
        assert replay(small(), events) == (state, [])
        assert notes_of(events) == notes_again(events)


def test_notes_that_did_not_reach_the_disk_are_written_when_the_walk_goes_on(tmp_path: Path) -> None:
    performance = perform(read_scene(GOLDEN / "finding-affirmed.txt"), small(), tmp_path / "walk")
    file = performance.folder / "log.jsonl"
    lines = file.read_bytes().splitlines(keepends=True)
    heard = next(index for index, line in enumerate(lines) if b'"said":"cut on tyre two"' in line)
    file.write_bytes(b"".join(lines[: heard + 1]))
    writer, journal = JournalWriter.reopen(performance.folder)
    session = Session(small(), writer, Mouth(), Ears(iter([])), Screen())
    session.resume(cut_off(small(), journal))
    after = read(performance.folder).events[heard + 1]
    assert isinstance(after, log.AnswerEvent)
    assert (after.kind, after.description) == ("finding", "cut, tyre two")


def test_slow_speech_is_slow_again_after_a_restart(tmp_path: Path) -> None:
    folder = tmp_path / "walk"
    performance = perform(read_scene(GOLDEN / "help.txt"), small(), folder)
    assert performance.mouth.paces == [True]
    mouth = Mouth()
    writer, journal = JournalWriter.reopen(folder)
    Session(small(), writer, mouth, Ears(iter([])), Screen()).resume(cut_off(small(), journal))
    assert mouth.paces == [True]


# ---- killed


ROOT = Path(__file__).parents[1]
START = "from handsfree.cli import main; main()"
KILLS = 20


@pytest.mark.slow
def test_killed_at_any_moment_it_loses_no_acknowledged_answer(tmp_path: Path) -> None:
    """SIGKILL in the middle of a typed walk: what was printed is the tool's word that it has it."""
    chance = random.Random(239002)
    folder, answered, walks = tmp_path / "walk-0", 0, [tmp_path / "walk-0"]
    for kill in range(KILLS):
        if begun(folder) and read(folder).ended:  # the machine was slow to kill, and the walk came to its end
            folder, answered = tmp_path / f"walk-{kill}", 0
            walks.append(folder)
        before = read(folder).events if begun(folder) else ()
        printed = walk_and_kill(folder, STORY[answered:], chance.randrange(1, 25), chance.uniform(0.0, 0.004))
        events = read(folder).events if begun(folder) else ()
        assert events[: len(before)] == before, f"kill {kill}: the log lost what it had"
        assert printed == sentences(events, len(before))[: len(printed)], f"kill {kill}: said, and not in the log"
        new = sum(isinstance(event, log.HeardEvent) for event in events[len(before) :])
        answered += max(0, new - 1) if before else new
    journals = [read(walk) for walk in walks if begun(walk)]
    events = [event for journal in journals for event in journal.events]
    assert sum(isinstance(event, log.ResumedEvent) for event in events) > KILLS // 4
    assert sum(isinstance(event, log.AnswerEvent) for event in events) > 5
    for journal in journals:
        state = replay(small(), journal.events)[0] if journal.ended else finish(journal.folder)
        assert replay(small(), read(journal.folder).events) == (state, [])


def begun(folder: Path) -> bool:
    file = folder / "log.jsonl"
    return file.exists() and b"\n" in file.read_bytes()


def walk_and_kill(folder: Path, answers: Sequence[str], lines: int, after_s: float) -> list[str]:
    """Start or resume, type everything at once, kill a moment after so many lines of output; every sentence printed."""
    going_on = begun(folder)
    command = ["walk", str(SMALL), "--typed", "--log", str(folder), *(["--resume"] if going_on else [])]
    keyboard, typing = os.pipe()  # our own, both ends held: it takes the few lines whole, and never breaks
    os.write(typing, "".join(f"{line}\n" for line in (["affirm", *answers] if going_on else answers)).encode())
    process = subprocess.Popen(
        [sys.executable, "-c", START, *command], cwd=ROOT, stdin=keyboard, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    with process.stdout:
        printed = [process.stdout.readline() for _ in range(lines)]
        time.sleep(after_s)
        process.kill()
        printed += process.stdout.readlines()
    process.wait()
    os.close(keyboard)
    os.close(typing)
    return [line.strip() for line in printed if re.match(r"  \S.*\n", line)]
