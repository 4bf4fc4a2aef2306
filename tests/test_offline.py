"""With the model in the cache nothing needs a network: walks of recorded sound where there is none."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from demo.inspector import Inspector
from demo.synthetic_speech import speak
from demo.virtual_audio import EAR_RATE, VirtualAudio
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.hearing.recogniser import RATE
from handsfree.journal import events as log
from handsfree.journal.reader import read
from handsfree.resources import find_checklist
from handsfree.speaking.loudspeakers import SilentSpeaker
from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.sound import Sound, write_wav
from handsfree.speaking.voice import Voice
from handsfree.walk import wording
from handsfree.walk.events import Expect
from handsfree.walking import prompts_folder
from tests.support.memory import PRINT_AT_EXIT
from tests.support.no_network import without_network
from tests.support.sounds import joined, quiet

pytestmark = [pytest.mark.slow, pytest.mark.timeout(180)]

ROOT = Path(__file__).parents[1]
HANDSFREE = Path(sys.executable).with_name("handsfree")
SHORT = ROOT / "tests" / "data" / "three-items.yaml"
KNOWN = ("--who", "LM", "--registration", "Q7KTA")

MEMORY_LIMIT_KB = 400 * 1024
FIRST_PROMPT_LIMIT_S = 2.0
LOUD = 300
"""Of 32768; the software sound card gives zeros when nothing is played."""


@dataclass(frozen=True)
class Done:
    exit_code: int
    most_memory_kb: int
    printed: str


def walk_offline(model: Path, *arguments: str | Path) -> Done:
    """Run a walk without a network, and measure it."""
    program = f"{PRINT_AT_EXIT}; from handsfree.cli import main; main()"
    command = without_network([sys.executable, "-c", program, "walk", *map(str, arguments)])
    environment = os.environ | {"HANDSFREE_MODEL": str(model)}
    done = subprocess.run(
        command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False
    )
    printed, _, highest = done.stdout.rstrip().rpartition("\n")
    return Done(done.returncode, int(highest), printed)


def record(path: Path, lines: Iterable[str]) -> Path:
    """A recording of somebody who answers with good pauses."""
    spoken = [joined(speak(line, "flite/slt"), quiet(2.0)) for line in lines]
    write_wav(path, Sound(joined(quiet(1.0), *spoken), RATE))
    return path


def test_a_walk_of_recorded_sound(model: Path, tmp_path: Path) -> None:
    audio = record(tmp_path / "answers.wav", ["tyres good", "red in place", "one eight five", "refer to maintenance"])
    done = walk_offline(model, SHORT, "--audio", audio, "--silent", "--log", tmp_path / "log", *KNOWN)
    assert done.exit_code == 0, done.printed
    events = read(tmp_path / "log").events
    answers = [one for one in events if isinstance(one, log.AnswerEvent)]
    assert [(one.item, one.kind) for one in answers] == [("tyres", "pass"), ("disc", "pass"), ("pressure", "value")]
    assert [one.outcome for one in events if isinstance(one, log.Ended)] == ["complete"]


def test_memory_through_four_zones_of_the_shipped_checklist(model: Path, tmp_path: Path) -> None:
    book = Book(load(find_checklist("twin-turboprop")))
    inspector = Inspector(book, {})
    items = [item for zone in book.checklist.zones[:4] for item in zone.items if item.only_if is None]
    answers = [inspector.answer(Expect("item", item.id)).text for item in items]
    assert len(answers) > 15
    audio = record(tmp_path / "answers.wav", ["negative", "negative", *answers])
    done = walk_offline(model, "twin-turboprop", "--audio", audio, "--silent", "--log", tmp_path / "log", *KNOWN)
    assert done.exit_code == 3, done.printed  # the recording ends before the walk does
    heard = [one for one in read(tmp_path / "log").events if isinstance(one, log.HeardEvent)]
    assert len(heard) >= len(answers)
    assert done.most_memory_kb < MEMORY_LIMIT_KB


def test_the_first_prompt_is_heard_within_two_seconds(model: Path, virtual_audio: VirtualAudio, tmp_path: Path) -> None:
    """The whole program from its start to sound in the ear; other tests run beside it, so it may try three times,
    and waiting for a core does not count.
    """
    checklist = load(find_checklist("twin-turboprop"))
    with Voice(VoiceSettings(), prompts_folder(), SilentSpeaker()) as voice:
        for text in (wording.Wording().opening(checklist), *(item.prompt for item in checklist.items())):
            voice.say(text)  # now the cache is warm
    audio = record(tmp_path / "answers.wav", ["negative"])
    took: list[float] = []
    while len(took) < 3 and not any(one < FIRST_PROMPT_LIMIT_S for one in took):
        took.append(first_sound_s(virtual_audio, model, audio, tmp_path / str(len(took))))
    assert 0.1 < min(took) < FIRST_PROMPT_LIMIT_S, took


def first_sound_s(card: VirtualAudio, model: Path, audio: Path, folder: Path) -> float:
    command = [str(HANDSFREE), "walk", "twin-turboprop", "--audio", str(audio), "--log", str(folder), *KNOWN]
    environment = os.environ | card.environment | {"HANDSFREE_MODEL": str(model)}
    with card.listening() as recording:
        began = time.monotonic()
        process = subprocess.Popen(without_network(command), env=environment, stdout=subprocess.DEVNULL)
        waited_s: dict[float, float] = {}
        while (now := time.monotonic() - began) < 2 * FIRST_PROMPT_LIMIT_S:
            waited_s[now] = waited_for_a_core_s(process.pid)
            time.sleep(0.05)
        process.terminate()
        process.wait(timeout=10)
    loud = np.flatnonzero(np.abs(recording.samples.astype(int)) > LOUD)
    assert len(loud), "nothing was spoken"
    first_s = recording.started + float(loud[0]) / EAR_RATE - began
    return first_s - max(waited for at, waited in waited_s.items() if at <= first_s)


def waited_for_a_core_s(process: int) -> float:
    """How long the first thread of a process could have run and did not (Linux, scheduler/sched-stats.rst)."""
    _running_ns, waiting_ns, _turns = Path(f"/proc/{process}/schedstat").read_text(encoding="ascii").split()
    return int(waiting_ns) / 1e9
