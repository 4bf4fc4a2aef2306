"""Tools for whoever writes a checklist: it is spoken, and what is said at an item is shown as it is understood."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import wave
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from demo.virtual_audio import VirtualAudio
from handsfree.checklist.loading import load
from handsfree.hearing.recogniser import RATE
from handsfree.resources import find_checklist
from handsfree.speaking.sound import Sound, write_wav
from tests.support.commands import SMALL, Commands
from tests.support.sounds import joined, pink_noise, quiet, speech

ROOT = Path(__file__).parents[1]


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


def test_a_zone_begins_with_its_name_and_its_caution_as_on_a_walk(run: Commands, tmp_path: Path) -> None:
    rows = run("say", "glider", "nose", "--out", tmp_path / "said.wav", "--json").rows
    zone = next(one for one in load(find_checklist("glider")).zones if one.id == "nose")
    begun = [("nose", "zone", zone.name), *((("nose", "caution", zone.caution),) if zone.caution else ())]
    assert [(row["item"], row["kind"], row["text"]) for row in rows[: len(begun)]] == begun
    assert len([row for row in rows if row["kind"] == "zone"]) == 1


def test_typed_answers_and_a_recording_contradict_each_other(run: Commands, tmp_path: Path) -> None:
    run("try", SMALL, "nose-gear", "--typed", "--audio", tmp_path / "a.wav").failed("--typed and --audio")


def test_what_is_not_there_is_one_clear_error(run: Commands, tmp_path: Path) -> None:
    ran = run("say", SMALL, "ghost", "--out", tmp_path / "said.wav")
    ran.failed("there is no item and no zone 'ghost'")
    assert "its zones are: nose, left-wing, tail; its items are: pitot-covers, nose-gear" in ran.err
    run("say", SMALL, "nose-gear", "--out", tmp_path / "no" / "said.wav").failed("cannot be written")
    run("try", SMALL, "ghost", "--typed").failed("has no item 'ghost'")


@pytest.mark.skipif(Path("/dev/snd").exists(), reason="this machine has a sound card")
def test_without_a_loudspeaker_there_is_a_file(tmp_path: Path) -> None:
    command = [sys.executable, "-c", "from handsfree.cli import main; main()", "say", SMALL, "nose-gear"]
    silent = os.environ | {"PULSE_SERVER": "unix:/nonexistent", "XDG_RUNTIME_DIR": str(tmp_path)}
    done = subprocess.run(command, cwd=ROOT, env=silent, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "there is no loudspeaker" in done.stderr
    assert "write a sound file: --out said.wav" in done.stderr
    assert "--typed" not in done.stderr


def test_what_is_typed_is_shown_as_it_would_be_understood(run: Commands) -> None:
    rows = run(
        "try", SMALL, "nose-gear", "--typed", "--json", typed=["cut on tyre two", "", "gibberish", "say again"]
    ).rows
    assert [row["outcome"] for row in rows] == ["finding", "ask", "control"]
    assert rows[0]["meaning"]["finding"] == "cut"


@pytest.mark.parametrize(
    ("item", "said", "reply"),
    [
        ("tyre-pressure", "one five zero", "Finding: one five zero psi, below limit. Affirm?"),
        ("tyre-pressure", "one eight five", "one eight five psi."),
        ("fuel-caps", "cap open", "Which cap?"),
        ("fuel-caps", "cap open left", "Finding: cap open, left cap. Affirm?"),
        ("fuel-caps", "all caps closed", ""),
        ("brake-lines", "leak", "Finding: leak. Affirm?"),
        ("brake-lines", "say again", ""),
    ],
)
def test_what_a_walk_would_make_of_it_is_shown(run: Commands, item: str, said: str, reply: str) -> None:
    (row,) = run("try", SMALL, item, "--typed", "--json", typed=[said]).rows
    assert row["reply"] == reply
    lines = run("try", SMALL, item, "--typed", typed=[said]).out.splitlines()
    assert [line for line in lines if "a walk would say" in line] == (
        [f"    a walk would say: {reply}"] if reply else []
    )


def test_what_a_walk_would_say_ends_where_the_next_zone_begins(run: Commands) -> None:
    (row,) = run("try", "piston-trainer", "covers-counted", "--typed", "--json", typed=["three"]).rows
    assert row["reply"] == "three covers."


def test_a_recording_is_heard_utterance_by_utterance(run: Commands, tmp_path: Path, model: Path) -> None:
    sound = joined(quiet(0.5), speech("cut on tyre two"), quiet(2.0), speech("say again"), quiet(2.0))
    write_wav(tmp_path / "two.wav", Sound(sound, RATE))
    ran = run("try", SMALL, "nose-gear", "--audio", tmp_path / "two.wav", "--json", "--model", model)
    assert ran.code == 0
    assert [row["outcome"] for row in ran.rows] == ["finding", "control"]
    assert ran.rows[0]["meaning"]["number"] == "2"
    for_people = run("try", SMALL, "nose-gear", "--audio", tmp_path / "two.wav", "--model", model)
    assert for_people.err == "At nose-gear.\n", "a file ends by itself"
    assert ran.rows[1]["said"] == "say again"
    assert all(row["confidence"] > 0.5 for row in ran.rows)
    assert all("near" in row for row in ran.rows)


def test_a_microphone_is_heard_live(model: Path) -> None:
    """The real program at a microphone made of software, until Ctrl-C."""
    command = [sys.executable, "-c", "from handsfree.cli import main; main()", "try", SMALL, "nose-gear", "--json"]
    with VirtualAudio() as card:
        environment = os.environ | card.environment | {"HANDSFREE_MODEL": str(model)}
        with subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True) as program:
            assert program.stdout is not None
            heard: dict[str, Any] | None = None
            watch = ThreadPoolExecutor(1).submit(program.stdout.readline)
            room = pink_noise(1.5, 8.0)  # nothing but zeros would be a microphone that is switched off
            for _ in range(8):  # until it has loaded its model and listens
                card.speak_into_microphone(joined(room, speech("cut on tyre two"), room), RATE)
                if watch.done():
                    heard = json.loads(watch.result())
                    break
            program.send_signal(signal.SIGINT)
            assert program.wait(timeout=20) == 0
    assert heard is not None
    assert (heard["outcome"], heard["meaning"]["finding"]) == ("finding", "cut")
