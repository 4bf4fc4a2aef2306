"""The whole program on a virtual sound card, with somebody who reads the screen and speaks into the microphone."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

import numpy as np

from demo.synthetic_speech import speak
from demo.virtual_audio import VirtualAudio
from handsfree.hearing.recogniser import RATE
from handsfree.journal.events import AnyEvent
from handsfree.journal.reader import read
from tests.support import faulty_card
from tests.support.live_walk import CHECKLIST

BELL = "\a"
_VOICE = "flite/slt"
_MARKUP = re.compile(r"\x1b\[[0-9;]*[A-Za-z]")
_PATIENCE_S = 30.0
_ROOT = Path(__file__).parents[2]


class NotShownError(Exception):
    """What was awaited did not come onto the screen."""


@dataclass(frozen=True)
class Line:
    """A line of the screen, and when it came, on the monotonic clock."""

    text: str
    at: float
    bell: bool


class LiveProgram:
    """A walk in a process of its own; leaving it ends the process."""

    def __init__(self, card: VirtualAudio, model: Path, folder: Path, faults: Path) -> None:
        """``faults`` is the folder that `faulty_card` looks into."""
        self.folder = folder
        self._card = card
        # Started in the background of a shell it would ignore an interruption by hand.
        words = [
            "env",
            "--default-signal=INT",
            sys.executable,
            faulty_card.__file__,
            "walk",
            str(CHECKLIST),
            "--rate",
            "450",
            "--log",
            str(folder),
        ]
        words += ["--who", "LM", "--registration", "Q7KTA"]
        # The streams stay with these two devices, as with a card that PulseAudio does not manage.
        own = {"PULSE_SINK": "ear", "PULSE_SOURCE": "microphone", "HANDSFREE_MODEL": str(model)}
        own |= {
            "FAULTS": str(faults),
            "PYTHONUNBUFFERED": "1",
            "FORCE_COLOR": "1",
            "COLUMNS": "200",
            "PYTHONPATH": str(_ROOT),
        }
        self.program = subprocess.Popen(
            words, env=os.environ | card.environment | own, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
        )
        self.lines: list[Line] = []
        self._news = threading.Condition()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def __enter__(self) -> LiveProgram:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.program.poll() is None:
            self.program.kill()
        self.program.wait()
        self._reader.join()

    def wait_for(self, text: str, *, after: int = 0, patience_s: float = _PATIENCE_S) -> Line:
        """The first line with this text, of those that came ``after`` so many.  Raises NotShownError."""
        until = time.monotonic() + patience_s
        with self._news:
            while True:
                for line in self.lines[after:]:
                    if text in line.text:
                        return line
                if time.monotonic() > until or not self._reader.is_alive():
                    shown = "\n".join(line.text for line in self.lines)
                    raise NotShownError(f"{text!r} was not shown within {patience_s:.0f} s:\n{shown}")
                self._news.wait(0.1)

    def shown(self, text: str) -> int:
        """How many lines with this text there are."""
        return sum(text in line.text for line in list(self.lines))

    def say(self, text: str) -> None:
        """Speak into the microphone, to the end."""
        self._card.speak_into_microphone(speak(text, _VOICE), RATE)

    def begin_to_say(self, text: str, seconds: float) -> threading.Thread:
        """Speak into the microphone, and come back in the middle of it."""
        talking = threading.Thread(target=self._say_if_possible, args=(text,))
        talking.start()
        first = float(np.flatnonzero(np.abs(speak(text, _VOICE).astype(int)) > 500)[0]) / RATE
        time.sleep(first + seconds)
        return talking

    def answer(self, answers: dict[str, str], *, after: int = 0) -> int:
        """Say each answer once its question is asked; how many lines had come at the last question."""
        for question, words in answers.items():
            after = self.asked(question, after=after)
            self.say(words)
        return after

    def asked(self, question: str, *, after: int = 0) -> int:
        """Wait until a question has been put, and the program listens; how many lines had come then."""
        line = self.wait_for(question, after=after)
        after = self.lines.index(line) + 1
        listens = self.wait_for(" dB", after=after)  # the meter
        return max(after, self.lines.index(listens))

    def stop(self, number: signal.Signals) -> float:
        """Ask it to end; the seconds until it has ended.  Raises TimeoutExpired."""
        began = time.monotonic()
        self.program.send_signal(number)
        self.program.wait(timeout=_PATIENCE_S)
        took_s = time.monotonic() - began
        self._reader.join()
        return took_s

    def events(self) -> Sequence[AnyEvent]:
        """The log so far."""
        return read(self.folder).events

    def _say_if_possible(self, text: str) -> None:
        with suppress(subprocess.CalledProcessError):  # the sound server may go away meanwhile
            self.say(text)

    def _read(self) -> None:
        pipe = self.program.stdout
        assert pipe is not None
        rest = b""
        while chunk := os.read(pipe.fileno(), 65536):
            now = time.monotonic()
            *whole, rest = re.split(rb"[\r\n]+", rest + chunk)
            with self._news:
                for raw in whole:
                    text = _MARKUP.sub("", raw.decode(errors="replace"))
                    self.lines.append(Line(text.replace(BELL, "").strip(), now, BELL in text))
                self._news.notify_all()
        pipe.close()
