"""Run by `test_live`, in a process of its own: speaks through the real sound card and reports times as JSON."""

from __future__ import annotations

import json
import sys
import threading
import time
from pathlib import Path

from handsfree.speaking.portaudio_speaker import PortAudioSpeaker
from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.voice import Voice

TEXT = "Left main gear. Tyres, say what you find."


def main(what: str, cache: Path) -> None:
    with Voice(VoiceSettings(), cache, PortAudioSpeaker()) as voice:
        seconds = 0.0
        voice.prepare([TEXT])
        if what == "stop":
            threading.Timer(0.5, voice.stop).start()
        began = time.monotonic()
        if what == "tone":
            voice.tone("heard")
        else:
            seconds = voice.say(TEXT)
        print(json.dumps({"sound_s": seconds, "ended": time.monotonic(), "took_s": time.monotonic() - began}))


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
