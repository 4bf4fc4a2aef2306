"""Rendered prompts on disk, so that the second walk speaks at once."""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.sound import BrokenSoundError, Sound, read_wav, write_wav

_LAYOUT = 1
"""Part of every name: raise it when the way of rendering changes, and old files are not found any more."""

Renderer = Callable[[str, VoiceSettings], Sound]


class PromptCache:
    """One WAV for each text, voice, rate and volume.

    A file appears under its name only when it is complete; one that is broken all the same is rendered again.  Where
    the folder cannot be written (a read-only or a full disk), new sounds go to a temporary folder until `close`, and
    what the folder holds is still used.
    """

    def __init__(self, folder: Path, renderer: Renderer) -> None:
        self._folder = folder
        self._render = renderer
        self._substitute: tempfile.TemporaryDirectory[str] | None = None
        self._choosing = threading.Lock()

    def sound(self, text: str, settings: VoiceSettings) -> Sound:
        """The sound of a text, rendered if need be.  Raises SpeakingError."""
        name = _file_name(text, settings)
        for folder in self._folders():
            with suppress(OSError, BrokenSoundError):
                return read_wav(folder / name)
        sound = self._render(text, settings)
        self._keep(name, sound)
        return sound

    def close(self) -> None:
        """Remove the temporary folder, if there is one."""
        with self._choosing:
            if self._substitute is not None:
                self._substitute.cleanup()
                self._substitute = None

    def _folders(self) -> tuple[Path, ...]:
        return (self._folder,) if self._substitute is None else (self._folder, Path(self._substitute.name))

    def _keep(self, name: str, sound: Sound) -> None:
        try:
            _write_atomically(self._folder, name, sound)
        except OSError:
            with self._choosing:
                if self._substitute is None:
                    self._substitute = tempfile.TemporaryDirectory(prefix="prompts-", ignore_cleanup_errors=True)
                folder = Path(self._substitute.name)
            with suppress(OSError):  # kept nowhere, it is rendered again the next time
                _write_atomically(folder, name, sound)


def _write_atomically(folder: Path, name: str, sound: Sound) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    handle, unfinished = tempfile.mkstemp(prefix=".unfinished-", dir=folder)
    os.close(handle)
    try:
        write_wav(Path(unfinished), sound)
        Path(unfinished).replace(folder / name)
    except OSError:
        Path(unfinished).unlink(missing_ok=True)
        raise


def _file_name(text: str, settings: VoiceSettings) -> str:
    key = json.dumps([_LAYOUT, text, settings.voice, settings.rate, settings.volume, settings.speed])
    return f"{hashlib.sha256(key.encode()).hexdigest()}.wav"
