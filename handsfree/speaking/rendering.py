"""A text becomes a sound: one short-lived worker process for each text."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from handsfree.speaking import render_worker
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.sound import BrokenSoundError, Sound, read_wav
from handsfree.speaking.stretching import stretched

_LIMIT_S = 30.0
"""A text takes a fraction of a second; after this long the synthesiser is taken to hang."""
_SILENCE = 100
"""Samples below this (about -50 dBFS) are the synthesiser's pauses."""
_KEPT_SILENCE_S = 0.02


def render(text: str, settings: VoiceSettings) -> Sound:
    """Speak `text` into a sound, without the pauses that the synthesiser leaves before and after.

    The inspector may answer as soon as the sound is over: with the pause left in, the first word of a quick answer
    would be lost, because the ears are shut while the tool speaks.

    Raises SpeakingError.
    """
    with tempfile.TemporaryDirectory(prefix="prompt-") as folder:
        target = Path(folder) / "prompt.wav"
        _run_worker(text, settings, target)
        try:
            sound = read_wav(target)
        except (BrokenSoundError, OSError) as error:
            raise SpeakingError(f'the speech synthesiser left no usable sound for "{text}": {error}') from error
    return stretched(sound.without_silent_ends(keep_s=_KEPT_SILENCE_S, threshold=_SILENCE), settings.speed)


def _run_worker(text: str, settings: VoiceSettings, target: Path) -> None:
    command = [sys.executable, "-P", render_worker.__file__]  # -P: this folder's names must not shadow libraries
    command += [str(target), settings.voice, str(settings.rate), str(settings.volume)]
    try:
        done = subprocess.run(command, input=text.encode(), capture_output=True, timeout=_LIMIT_S, check=False)
    except subprocess.TimeoutExpired as error:
        raise SpeakingError(f'the speech synthesiser hangs at "{text}"') from error
    reason = done.stderr.decode(errors="replace").strip().rpartition("\n")[2]
    if done.returncode == render_worker.NO_SYNTHESISER:
        raise SpeakingError(
            f"the speech synthesiser espeak-ng cannot be loaded: {reason}",
            "on Debian or Ubuntu: apt install espeak-ng",
        )
    if done.returncode == render_worker.NO_SUCH_VOICE:
        raise SpeakingError(
            f'the speech synthesiser has no voice "{settings.voice}"', "`espeak-ng --voices=en` lists the voices"
        )
    if done.returncode:
        raise SpeakingError(f'the speech synthesiser made no sound for "{text}": {reason or done.returncode}')
