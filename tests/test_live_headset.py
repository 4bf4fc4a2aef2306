"""With a headset an answer stops the question: the whole program, through PulseAudio."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from demo.synthetic_speech import speak
from demo.virtual_audio import VirtualAudio
from handsfree.hearing.recogniser import RATE
from handsfree.journal import events as log
from handsfree.journal.reader import read
from handsfree.speaking.rendering import render
from handsfree.speaking.settings import VoiceSettings
from handsfree.walk import wording
from tests.support.live_walk import ANSWERS, CHECKLIST, QUICK

pytestmark = [pytest.mark.slow, pytest.mark.timeout(120)]

HANDSFREE = Path(sys.executable).with_name("handsfree")
REACTION_S = 0.4


def test_answers_into_the_questions_are_heard_and_stop_them(
    model: Path, virtual_audio: VirtualAudio, tmp_path: Path
) -> None:
    command = [str(HANDSFREE), "walk", str(CHECKLIST), "--headset", "--rate", str(QUICK.rate), "--log", str(tmp_path)]
    command += ["--who", "LM", "--registration", "Q7KTA"]
    environment = os.environ | virtual_audio.environment | {"HANDSFREE_MODEL": str(model), "PYTHONUNBUFFERED": "1"}
    program = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)
    assert program.stdout is not None
    with program.stdout:
        for line in program.stdout:
            if line.strip() in ANSWERS:
                time.sleep(REACTION_S)
                virtual_audio.speak_into_microphone(speak(ANSWERS[line.strip()], "flite/slt"), RATE)
    assert program.wait(timeout=20) == 0
    events = read(tmp_path).events
    heard = [one.said for one in events if isinstance(one, log.HeardEvent)]
    assert heard == list(ANSWERS.values())
    (decision,) = (one for one in events if isinstance(one, log.Said) and one.text == wording.DECISION)
    whole = render(wording.DECISION, VoiceSettings(rate=QUICK.rate)).seconds
    assert REACTION_S < decision.seconds < REACTION_S + 1.0 < whole
