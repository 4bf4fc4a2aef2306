"""Run by `test_live`, in a process of its own: speaks through the real sound card and reports times as JSON."""

from __future__ import annotations

import json
import sys
import threading
import time
from pathlib import Path

from handsfree.portaudio import devices
from handsfree.speaking.loudspeakers import SilentSpeaker
from handsfree.speaking.portaudio_speaker import PortAudioSpeaker
from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.voice import Voice

TEXT = "Look at the left main gear tyres and brakes and say what you find on any of them"
"""Long, and without a pause: wherever it is stopped, there is sound just before."""
STOP_AFTER_S = 1.5


def main(what: str, cache: Path) -> None:
    with Voice(VoiceSettings(), cache, SilentSpeaker()) as voice:
        voice.say(TEXT)  # what takes long is done before the clock starts
    devices()
    with Voice(VoiceSettings(), cache, PortAudioSpeaker()) as voice:
        times: dict[str, float] = {}

        def stop() -> None:
            times["stopped"] = time.monotonic()
            voice.stop()

        if what == "stop":
            threading.Timer(STOP_AFTER_S, stop).start()
        if what == "tone":
            voice.tone("heard")
        else:
            times["sound_s"] = voice.say(TEXT)
        times["ended"] = time.monotonic()
        print(json.dumps(times))


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
