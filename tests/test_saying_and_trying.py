"""Tools for whoever writes a checklist: it is spoken, and what is said at an item is shown as it is understood."""

from __future__ import annotations

import wave
from pathlib import Path

import pytest

from handsfree.hearing.recogniser import RATE
from handsfree.speaking.sound import Sound, write_wav
from tests.support.commands import SMALL, Commands
from tests.support.sounds import joined, quiet, speech


def test_an_item_is_spoken_into_a_file_and_timed(run: Commands, tmp_path: Path) -> None:
    ran = run("say", SMALL, "nose-gear", "--out", tmp_path / "said.wav")
    assert ran.code == 0
    with wave.open(str(tmp_path / "said.wav")) as sound:
        seconds = sound.getnframes() / sound.getframerate()
    assert sum(float(line.split()[0]) for line in ran.out.splitlines()) == pytest.approx(seconds, abs=0.2)
    assert "nose-gear, prompt: " in ran.out


def test_in_full_it_says_what_a_trainee_hears(run: Commands, tmp_path: Path) -> None:
    rows = run("say", SMALL, "nose-gear", "--full", "--out", tmp_path / "said.wav", "--json").rows
    assert [row["kind"] for row in rows if row["kind"] not in ("caution", "why")] == ["prompt", "full", "look for"]
    assert all(row["seconds"] > 0.3 for row in rows)


def test_a_zone_is_all_its_items(run: Commands, tmp_path: Path) -> None:
    rows = run("say", SMALL, "left-wing", "--out", tmp_path / "said.wav", "--json").rows
    assert {"pressure-on", "brake-pins", "brake-lines"} <= {row["item"] for row in rows}


def test_what_is_not_there_is_one_clear_error(run: Commands, tmp_path: Path) -> None:
    run("say", SMALL, "ghost", "--out", tmp_path / "said.wav").failed("there is no item and no zone 'ghost'")
    run("say", SMALL, "nose-gear", "--out", tmp_path / "no" / "said.wav").failed("cannot be written")
    run("try", SMALL, "ghost", "--typed").failed("has no item 'ghost'")


def test_what_is_typed_is_shown_as_it_would_be_understood(run: Commands) -> None:
    rows = run(
        "try", SMALL, "nose-gear", "--typed", "--json", typed=["cut on tyre two", "", "gibberish", "say again"]
    ).rows
    assert [row["outcome"] for row in rows] == ["finding", "ask", "control"]
    assert rows[0]["meaning"]["finding"] == "cut"


def test_a_recording_is_heard_utterance_by_utterance(run: Commands, tmp_path: Path, model: Path) -> None:
    sound = joined(quiet(0.5), speech("cut on tyre two"), quiet(2.0), speech("say again"), quiet(2.0))
    write_wav(tmp_path / "two.wav", Sound(sound, RATE))
    ran = run("try", SMALL, "nose-gear", "--audio", tmp_path / "two.wav", "--json", "--model", model)
    assert ran.code == 0
    assert [row["outcome"] for row in ran.rows] == ["finding", "control"]
    assert ran.rows[0]["meaning"]["number"] == "2"
    assert ran.rows[1]["said"] == "say again"
    assert all(row["confidence"] > 0.5 for row in ran.rows)
    assert all("near" in row for row in ran.rows)
