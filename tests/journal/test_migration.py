"""Logs of every earlier version can be read, gone on with and verified as far as they go."""

from __future__ import annotations

import hashlib
import json
import shutil
from pathlib import Path

import pytest

from handsfree.book import open_book
from handsfree.journal.errors import JournalError
from handsfree.journal.events import VERSION, SilenceEvent
from handsfree.journal.reader import read
from handsfree.journal.verification import verify
from handsfree.journal.writer import JournalWriter
from handsfree.replay import replay

GOLDEN = Path(__file__).parent / "golden"


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A walk as version 1 wrote it: not chained, keys in another order."""
    shutil.copytree(GOLDEN / "version-1", tmp_path / "walk")
    return tmp_path / "walk"


def test_a_log_of_version_1_tells_the_same_story(old: Path) -> None:
    journal = read(old)
    state, missing = replay(open_book(journal), journal.events)
    assert (state.outcome, state.decision, missing) == ("complete", "rejected", [])
    assert len(journal.events) == 65
    assert {(event.v, event.prev) for event in journal.events} == {(VERSION, "")}


def test_who_goes_on_with_it_chains_the_first_new_line_to_all_of_the_old(old: Path) -> None:
    before = (old / "log.jsonl").read_bytes()
    writer, _ = JournalWriter.reopen(old)
    writer.append([SilenceEvent(), SilenceEvent()])
    writer.close()
    raw = (old / "log.jsonl").read_bytes()
    assert raw.startswith(before), "an old line was rewritten"
    first, second = raw[len(before) :].splitlines()
    assert json.loads(first)["prev"] == hashlib.sha256(before).hexdigest()
    assert json.loads(second)["prev"] == hashlib.sha256(first).hexdigest()
    assert len(read(old).events) == 67


def test_a_change_in_the_old_part_is_then_found(old: Path) -> None:
    writer, _ = JournalWriter.reopen(old)
    writer.append([SilenceEvent()])
    writer.close()
    log = old / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b"Pitot covers?", b"Pitot cover5?"))
    assert verify(old).state == "altered"


def test_by_itself_it_is_unsealed_and_says_why(old: Path) -> None:
    found = verify(old)
    assert (found.state, found.events) == ("unsealed", 65)
    assert "before logs were chained" in found.why


def test_a_seal_of_version_1_is_still_good(tmp_path: Path) -> None:
    """It had no digest of its own."""
    walk = tmp_path / "walk"
    shutil.copytree(GOLDEN / "version-2", walk)
    assert b'"v":1' in (walk / "seal.json").read_bytes()
    assert verify(walk).state == "intact"


def test_a_log_of_version_2_is_intact_and_tells_the_same_story(tmp_path: Path) -> None:
    walk = tmp_path / "walk"
    shutil.copytree(GOLDEN / "version-2", walk)
    journal = read(walk)
    state, missing = replay(open_book(journal), journal.events)
    assert (state.outcome, state.decision, missing) == ("complete", "rejected", [])
    assert (verify(walk).state, len(journal.events)) == ("intact", 108)
    assert journal.opened
    assert (journal.opened.practice, journal.opened.exercise) == ("", "")


def test_a_log_of_version_3_is_intact_and_tells_the_same_story(tmp_path: Path) -> None:
    walk = tmp_path / "walk"
    shutil.copytree(GOLDEN / "version-3", walk)
    journal = read(walk)
    state, missing = replay(open_book(journal), journal.events)
    assert (state.outcome, state.decision, missing) == ("complete", "rejected", [])
    assert verify(walk).state == "intact"
    assert journal.opened
    assert journal.opened.conditions == {}, "every question was asked"


def test_a_log_of_version_4_is_intact_and_was_in_english(tmp_path: Path) -> None:
    walk = tmp_path / "walk"
    shutil.copytree(GOLDEN / "version-4", walk)
    journal = read(walk)
    state, missing = replay(open_book(journal), journal.events)
    assert (state.outcome, state.decision, missing) == ("complete", "rejected", [])
    assert verify(walk).state == "intact"
    assert journal.language == "en"


def test_a_walk_of_version_2_is_gone_on_with_in_this_version(tmp_path: Path) -> None:
    walk = tmp_path / "walk"
    shutil.copytree(GOLDEN / "version-2", walk)
    log = walk / "log.jsonl"
    before = b"".join(log.read_bytes().splitlines(keepends=True)[:60])
    log.write_bytes(before)
    (walk / "seal.json").unlink()
    writer, _ = JournalWriter.reopen(walk)
    writer.append([SilenceEvent()])
    writer.seal()
    writer.close()
    last = json.loads(log.read_bytes().splitlines()[-1])
    assert (last["v"], last["prev"]) == (VERSION, hashlib.sha256(before.splitlines()[-1]).hexdigest())
    assert (verify(walk).state, len(read(walk).events)) == ("intact", 61)


def test_a_change_in_a_line_of_version_2_is_found(tmp_path: Path) -> None:
    walk = tmp_path / "walk"
    shutil.copytree(GOLDEN / "version-2", walk)
    log = walk / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b"Pitot covers?", b"Pitot cover5?"))
    assert verify(walk).state == "altered"


def test_a_version_to_come_is_refused(old: Path) -> None:
    log = old / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b'{"v":1', b'{"v":7'))
    with pytest.raises(JournalError, match="version 7 is not known"):
        read(old)


LINES_WITHOUT_NOISE = (
    b'{"v":1,"seq":1,"time":"2024-05-01T06:00:00.000Z","offset_s":1.0,"zone":"nose","item":"nose-gear","type":"heard",'
    b'"moment":"item","outcome":"ask","said":"mumble","meanings":[],"confidence":0.5,"snr_db":4.0,'
    b'"decided_after_s":1.0,"alternatives":[],"why":"unclear","clip":null}\n',
    b'{"v":1,"seq":1,"time":"2024-05-01T06:00:30.000Z","offset_s":31.0,"zone":"nose","item":"nose-gear",'
    b'"type":"silence"}\n',
)
"""As version 1 wrote them before it knew of noise and lost sound."""


@pytest.mark.parametrize("line", LINES_WITHOUT_NOISE)
def test_a_log_from_before_the_noise_was_written_can_still_be_read(line: bytes, tmp_path: Path) -> None:
    (tmp_path / "log.jsonl").write_bytes(line)
    (event,) = read(tmp_path).events
    assert event.type in {"heard", "silence"}
    assert '"noise_dbfs":null,"too_loud":false,"lost_sound":false' in event.model_dump_json()
