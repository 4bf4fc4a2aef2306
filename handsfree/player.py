"""Plays a walk again: the prompts by the voice, the clips as they were recorded, while keys say where to go."""

from __future__ import annotations

import dataclasses
import io
import os
import select
import sys
import termios
import threading
import time
import tty
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any, Protocol

from platformdirs import user_cache_path

from handsfree.debrief.playback import Answer, AnyCue, Pause, Playing, Prompt, pressed, waited_s
from handsfree.journal.clips import clip_of
from handsfree.speaking.portaudio_speaker import PortAudioSpeaker
from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.sound import BrokenSoundError, wav_sound
from handsfree.speaking.stretching import AtSpeed
from handsfree.speaking.voice import Voice

_POLL_S = 0.02
"""How long a key can go unnoticed."""


class Sounder(Protocol):
    """Sounds cues."""

    def sound(self, cue: AnyCue, speed: float) -> None:
        """Sound it to its end, or until it is stopped."""
        ...

    def stop(self) -> None:
        """From another thread: end what sounds now."""
        ...


def play(
    cues: Sequence[AnyCue],
    playing: Playing,
    show: Callable[[AnyCue], None],
    sounds: Sounder,
    key: Callable[[float], str],
) -> None:
    """Show and sound cues from where ``playing`` is, as ``key`` says, which waits so many seconds for a key.

    Errors of the loudspeaker pass through.
    """
    shown: int | None = None
    with ThreadPoolExecutor(1, thread_name_prefix="replay") as worker:
        while playing.at < len(cues) and not playing.over:
            cue = cues[playing.at]
            if playing.at != shown:
                show(cue)
                shown = playing.at
            sounding = worker.submit(sounds.sound, cue, playing.speed)
            playing = _until_over(cues, playing, sounds, sounding, key)
            while playing.paused and not playing.over:
                playing = pressed(playing, key(_POLL_S), cues)


def _until_over(
    cues: Sequence[AnyCue], playing: Playing, sounds: Sounder, sounding: Future[None], key: Callable[[float], str]
) -> Playing:
    """Wait for the end of a cue; a key that changes something stops it."""
    try:
        while not sounding.done():
            after = pressed(playing, key(_POLL_S), cues)
            if after != playing:
                return after
    finally:
        while not sounding.done():  # it may not have begun when it is first told to stop
            sounds.stop()
            time.sleep(_POLL_S / 2)
    sounding.result()
    return dataclasses.replace(playing, at=playing.at + 1)


class Sounds:
    """Prompts by the voice and clips as they were recorded, through one loudspeaker."""

    def __init__(self, voice: Voice, speaker: AtSpeed, folder: Path) -> None:
        """``voice`` speaks through ``speaker``; ``folder`` is the log's."""
        self._voice = voice
        self._speaker = speaker
        self._folder = folder
        self._stopped = threading.Event()

    @classmethod
    def through(cls, loudspeaker: str | None, folder: Path) -> Sounds:
        """Through a sound card.  Raises AudioError when there is none."""
        card = PortAudioSpeaker(loudspeaker)
        card.device()
        speaker = AtSpeed(card)
        prompts = user_cache_path("handsfree-walkaround") / "prompts"
        return cls(Voice(VoiceSettings(), prompts, speaker), speaker, folder)

    def prepare(self, cues: Sequence[AnyCue]) -> None:
        """Render their prompts in the background."""
        self._voice.prepare(one.text for one in cues if isinstance(one, Prompt))

    def sound(self, cue: AnyCue, speed: float) -> None:
        """Sound it to its end, or until it is stopped."""
        self._stopped.clear()
        self._speaker.speed = speed
        match cue:
            case Prompt(text=text):
                self._voice.say(text)
            case Answer():
                self._answer(cue)
            case Pause():
                self._stopped.wait(waited_s(cue, speed))
            case _:
                pass

    def _answer(self, cue: Answer) -> None:
        state, data = clip_of(self._folder, cue.clip)
        if state in ("removed", "altered"):
            self._voice.say(f"Clip {state}.")
        if not data:
            return
        try:
            sound = wav_sound(io.BytesIO(data), "the clip")
        except BrokenSoundError:
            self._voice.say("This clip cannot be played.")
            return
        self._speaker.play(sound.samples, sound.rate, self._stopped)

    def stop(self) -> None:
        """End what sounds now."""
        self._stopped.set()
        self._voice.stop()

    def __enter__(self) -> Sounds:
        return self

    def __exit__(self, *_: object) -> None:
        self._voice.close()


class Keys:
    """Single keys of the terminal; where there is none, no key is ever pressed."""

    def __init__(self) -> None:
        self.there = sys.stdin.isatty()
        self._before: list[Any] = []

    def __enter__(self) -> Keys:
        if self.there:
            self._before = termios.tcgetattr(sys.stdin.fileno())
            tty.setcbreak(sys.stdin.fileno())
        return self

    def __exit__(self, *_: object) -> None:
        if self.there:
            termios.tcsetattr(sys.stdin.fileno(), termios.TCSADRAIN, self._before)

    def __call__(self, wait_s: float) -> str:
        """The next key, or nothing when none was pressed in that time; a terminal that is gone ends the replay."""
        if not self.there:
            time.sleep(wait_s)
            return ""
        if not select.select([sys.stdin], [], [], wait_s)[0]:
            return ""
        return os.read(sys.stdin.fileno(), 1).decode("ascii", "replace") or "q"
