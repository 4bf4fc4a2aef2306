"""Commands with hostile arguments, names and folders: one clear error, and nothing begun or changed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from handsfree import portaudio, walking
from handsfree.journal import events as log
from handsfree.journal.reader import read
from tests.faults.hostile_checklists import with_phrase
from tests.faults.hostile_logs import Template
from tests.faults.special_files import put
from tests.support.commands import BAD_INPUT, INTERRUPTED, SMALL, Commands

BOMB = " ".join(["[a]"] * 60)


@pytest.mark.parametrize(
    ("spot", "place"),
    [("pass", "zones[nose].items[taxi-light].pass[0].say"), ("place", "places[left-side].spoken[0]")],
)
def test_a_phrase_that_cannot_be_used_is_told_with_its_place_before_anything_begins(
    run: Commands, tmp_path: Path, spot: str, place: str
) -> None:
    odd = tmp_path / "odd.yaml"
    odd.write_text(with_phrase(BOMB, spot), encoding="utf-8")
    line = 1 + odd.read_text(encoding="utf-8").split(BOMB)[0].count("\n")
    for command in (("phrases", odd), ("walk", odd, "--typed", "--log", tmp_path / "begun")):
        ran = run(*command)
        ran.failed("ways to say it; 20000 can be listed")
        assert ran.err.startswith(f"handsfree: {odd}:{line}:")
        assert f": {place}: " in ran.err
        assert ran.out == ""
        assert not (tmp_path / "begun").exists()


def test_an_error_of_several_lines_begins_no_line_of_its_own(run: Commands, tmp_path: Path) -> None:
    text = (
        Path(SMALL)
        .read_text(encoding="utf-8")
        .replace("id: nose\n", "id: |\n      x\n      handsfree: all is well\n", 1)
    )
    (tmp_path / "odd.yaml").write_text(text, encoding="utf-8")
    ran = run("phrases", tmp_path / "odd.yaml")
    assert "is not lower-case words" in ran.err
    assert [line for line in ran.err.splitlines() if line.startswith("handsfree: ")] == ran.err.splitlines()[:1]


def test_names_that_are_too_long_for_a_name(run: Commands, tmp_path: Path) -> None:
    run("phrases", "a" * 5000).failed('there is no checklist "aaa')
    run("verify", tmp_path / ("a" * 5000)).failed("no log can be read")


@pytest.mark.parametrize("days", ["1e9", "inf", "nan", "-1"])
def test_days_beyond_all(run: Commands, tmp_path: Path, days: str) -> None:
    ran = run("walk", SMALL, "--typed", "--log", tmp_path / "log", "--keep-clips", days)
    assert ran.code == 2
    assert "--keep-clips" in ran.err
    assert not (tmp_path / "log").exists()


@pytest.mark.parametrize("kind", ["a pipe", "an endless device", "a folder", "a terabyte"])
def test_a_key_that_is_no_file(run: Commands, tmp_path: Path, kind: str) -> None:
    odd = put(tmp_path / "key", kind)
    run("walk", SMALL, "--typed", "--log", tmp_path / "log", "--sign", odd).failed(f"the key {odd} cannot be read")
    run("verify", tmp_path, "--signer", odd).failed("is no public key")


def test_a_file_of_bytes_is_no_public_key(run: Commands, tmp_path: Path) -> None:
    (tmp_path / "odd").write_bytes(b"\xff\xfe" * 100)
    for given in (tmp_path / "odd", "x" * 5000):
        ran = run("verify", tmp_path, "--signer", given)
        ran.failed("is no public key")
        assert len(ran.err) < 600


# ---- a walk that somebody else began


@pytest.fixture
def begun(run: Commands, tmp_path: Path) -> Path:
    assert run.walk(tmp_path / "begun", ["negative", "covers off"]).code == INTERRUPTED
    return tmp_path / "begun"


@pytest.mark.parametrize("kind", ["a pipe", "an endless device", "a terabyte", "a folder", "none"])
def test_a_walk_without_its_checklist_is_not_gone_on_with(run: Commands, begun: Path, kind: str) -> None:
    copy = begun / "checklist.yaml"
    copy.unlink() if kind == "none" else put(copy, kind)
    before = (begun / "log.jsonl").read_bytes()
    run("walk", "--resume", "--typed", "--log", begun).failed(f"{copy} cannot be read: ")
    assert (begun / "log.jsonl").read_bytes() == before


def test_what_nobody_can_have_said_is_not_gone_on_with(run: Commands, tmp_path: Path) -> None:
    good = Template.made(tmp_path / "good")
    meaning = {"outcome": "finding", "slots": {"item": "nothing", "finding": "cut"}}
    for written, message in (
        (good.log(outcome="finding", meanings=[meaning]), "what was heard does not fit its checklist"),
        (good.log(item="nothing"), "its checklist has no item 'nothing'"),
    ):
        good.put(tmp_path / "walk", written)
        before = (tmp_path / "walk" / "log.jsonl").read_bytes()
        run("walk", "--resume", "--typed", "--log", tmp_path / "walk").failed(message)
        assert (tmp_path / "walk" / "log.jsonl").read_bytes() == before


def test_a_summary_of_something_else_is_refused(run: Commands, tmp_path: Path) -> None:
    good = Template.made(tmp_path / "good")
    good.put(tmp_path / "walk", good.log(item="nothing", outcome="ask"))
    run("summary", tmp_path / "walk").failed(f"event {good.heard + 1}: its checklist has no item 'nothing'")


def test_words_of_a_log_begin_no_line_of_their_own_in_its_summary(run: Commands, tmp_path: Path) -> None:
    good = Template.made(tmp_path / "good")
    good.put(tmp_path / "walk", good.log(at=good.answer, kind="finding", description="x\nFindings: 0\x1b[2J"))
    ran = run("summary", tmp_path / "walk")
    assert [line for line in ran.out.splitlines() if line.startswith("Findings: ")] == ["Findings: 3"]
    assert "x Findings: 0\N{REPLACEMENT CHARACTER}[2J" in ran.out


# ---- what is typed


def notes(folder: Path) -> list[str]:
    return [one.said for one in read(folder).events if isinstance(one, log.HeardEvent) and one.moment == "note"]


def test_the_end_of_a_line_that_is_too_long_is_no_answer(run: Commands, tmp_path: Path) -> None:
    """It could be "good" where the line said "not good"."""
    line = "x" * 10_000 + "covers off"
    run.walk(tmp_path / "log", ["negative", line])
    events = read(tmp_path / "log").events
    assert not [one for one in events if isinstance(one, log.AnswerEvent)]
    assert [one.outcome for one in events if isinstance(one, log.HeardEvent)] == ["control", "ask"]


@pytest.mark.parametrize("length", [9_998, 9_999, 10_000, 10_001, 25_000])
def test_of_a_long_note_it_is_seen_where_it_was_cut(run: Commands, tmp_path: Path, length: int) -> None:
    run.walk(tmp_path / "log", ["negative", "leave a note", "x" * length, "say again"])
    (note,) = notes(tmp_path / "log")
    assert note == ("x" * length if length <= 10_000 else "x" * 10_000 + " …")


def test_a_line_that_never_ends_ends_the_walk_as_the_end_of_the_keyboard_does(run: Commands, tmp_path: Path) -> None:
    assert run.walk(tmp_path / "log", ["negative", "x" * 10_000_000, "covers off"]).code == INTERRUPTED
    assert [one.said for one in read(tmp_path / "log").events if isinstance(one, log.HeardEvent)] == ["negative"]


# ---- names of things


def test_names_of_devices_do_not_act(run: Commands, monkeypatch: pytest.MonkeyPatch) -> None:
    name = "\x1b[2J\u202eheadset\nhandsfree: x"
    device = portaudio.AudioDevice(0, name, name, 1, 1, 16_000, default_input=True, default_output=True)
    monkeypatch.setattr(portaudio, "devices", lambda: [device])
    shown = run("devices")
    assert len(shown.out.splitlines()) == 1
    assert shown.out.rstrip("\n").isprintable()
    assert run("devices", "--json").rows[0]["name"] == name


def test_names_of_files_with_bytes_that_are_no_text(run: Commands, tmp_path: Path) -> None:
    odd = Path(os.fsdecode(os.fsencode(tmp_path) + b"/\xff.yaml"))
    odd.write_text("format: 2\n", encoding="utf-8")
    ran = run("phrases", odd)
    assert ran.code == BAD_INPUT
    assert "/\N{REPLACEMENT CHARACTER}.yaml:1:1: error [schema]: format: this file is of format 2" in ran.err


def test_what_is_read_of_a_keyboard_is_bounded() -> None:
    assert walking._LONGEST_LINE * walking._MOST_PIECES <= 10_000_000  # pyright: ignore[reportPrivateUsage]
