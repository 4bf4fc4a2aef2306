"""The tool's voice: what the rest of the program uses to speak."""

from __future__ import annotations

import threading
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from handsfree.speaking.cache import PromptCache
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.loudspeakers import Loudspeaker
from handsfree.speaking.rendering import render
from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.sound import Sound
from handsfree.speaking.tones import TONE_KINDS, ToneKind, make_tone

_RENDERED_AT_ONCE = 2
"""Prompts that are rendered side by side in the background."""


class Voice:
    """Speaks texts and tones through a loudspeaker, one at a time.  Use it as a context manager, or call `close`.

    `cache` is the folder for rendered prompts; it need not exist.  A text is spoken as it is written: numbers and
    registrations are put into words by whoever writes the text.
    """

    def __init__(self, settings: VoiceSettings, cache: Path, speaker: Loudspeaker) -> None:
        self._usual = settings
        self._settings = settings
        self._cache = PromptCache(cache, render)
        self._speaker = speaker
        self._tones = {kind: make_tone(kind).louder(settings.volume) for kind in TONE_KINDS}
        self._background = ThreadPoolExecutor(_RENDERED_AT_ONCE, thread_name_prefix="render")
        self._gave_up = threading.Event()
        self._turn = threading.Lock()
        self._playing: threading.Event | None = None

    def pace(self, *, slow: bool) -> None:
        """Speak slower from the next text on, or at the usual rate again."""
        self._settings = self._usual.slowed() if slow else self._usual

    def prepare(self, texts: Iterable[str]) -> None:
        """Render texts ahead in the background, in this order, at the present pace; returns at once.

        What fails here is left alone: it fails again, aloud, when the text is to be said.
        """
        settings = self._settings
        for text in texts:
            if text.strip():
                self._background.submit(self._render_ahead, text, settings)

    def say(self, text: str) -> float:
        """Speak, and return when the last sample has been played or `stop` was called: the sound's length in seconds.

        An empty text is no sound.  Raises SpeakingError when the text cannot be rendered, and what the loudspeaker
        raises (AudioError).
        """
        if not text.strip():
            return 0.0
        with self._turn:
            stopped = self._playing = threading.Event()
            try:
                return self._play(self._cache.sound(text, self._settings), stopped)
            finally:
                self._playing = None

    def tone(self, kind: ToneKind) -> None:
        """Sound a tone, and return when it has been played.  Raises what the loudspeaker raises (AudioError)."""
        with self._turn:
            stopped = self._playing = threading.Event()
            try:
                self._play(self._tones[kind], stopped)
            finally:
                self._playing = None

    def stop(self) -> None:
        """From another thread: end the text or tone that is being spoken, at once.  Does nothing in silence."""
        playing = self._playing
        if playing is not None:
            playing.set()

    def close(self) -> None:
        """Stop speaking and rendering, and clean up; what waits to be rendered is dropped."""
        self.stop()
        self._background.shutdown(wait=True, cancel_futures=True)
        self._cache.close()

    def __enter__(self) -> Voice:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _play(self, sound: Sound, stopped: threading.Event) -> float:
        if not stopped.is_set():
            self._speaker.play(sound.samples, sound.rate, stopped)
        return sound.seconds

    def _render_ahead(self, text: str, settings: VoiceSettings) -> None:
        if self._gave_up.is_set():
            return
        try:
            self._cache.sound(text, settings)
        except SpeakingError:
            self._gave_up.set()  # the next hundred texts would fail the same way
