"""A program of its own that renders one text to one WAV file and ends: `rendering` starts it for every prompt.

A process for each text, because pyttsx3 can neither be interrupted nor write a second file in the same run.  It stands
alone (nothing of ours is imported), so it starts fast.

pyttsx3's `runAndWait` does not wait: it returns while espeak-ng still works through its queue, and when it finds that
queue busy as it starts, it cancels what is in it - a rate, a volume, or the speech itself.  So espeak-ng's own
`Synchronize` empties the queue before and after every run.  Without it, 3 prompts in 100 came out at the wrong rate.

Arguments: target file, voice, words per minute, volume 0 to 1.  The text comes on standard input, in UTF-8.
"""

from __future__ import annotations

import importlib
import sys
import wave
from typing import Any

NO_SYNTHESISER = 3
"""Exit code: espeak-ng's library is missing or does not start."""
NO_SUCH_VOICE = 4
"""Exit code: espeak-ng does not know the voice (pyttsx3 would go on with another one)."""
NOTHING_WRITTEN = 5
"""Exit code: the synthesiser ended without a sound."""


def main() -> int:
    """Render; the exit code says how it went, the reason is on standard error."""
    target, voice, rate, volume = sys.argv[1:]
    text = sys.stdin.buffer.read().decode("utf-8")
    try:
        library: Any = importlib.import_module("pyttsx3")
        engine = library.init("espeak")
        espeak: Any = importlib.import_module("pyttsx3.drivers._espeak")
    except (ImportError, OSError, RuntimeError) as error:
        return _give_up(NO_SYNTHESISER, error)

    errors: list[Exception] = []

    def note_error(name: str | None, exception: Exception) -> None:  # noqa: ARG001 - pyttsx3 passes both by name
        errors.append(exception)

    engine.connect("error", note_error)
    espeak.Synchronize()
    engine.runAndWait()  # nothing to speak yet, but only after a first run are settings passed on at once
    engine.setProperty("voice", voice)
    espeak.Synchronize()
    if errors or not _has_variant(engine.getProperty("voice"), voice):
        return _give_up(NO_SUCH_VOICE, *errors)
    engine.setProperty("rate", int(rate))
    engine.setProperty("volume", float(volume))
    espeak.Synchronize()
    engine.save_to_file(text, target)
    engine.runAndWait()
    espeak.Synchronize()
    return 0 if _holds_sound(target) else _give_up(NOTHING_WRITTEN, *errors)


def _has_variant(used: str | None, wanted: str) -> bool:
    """An unknown variant ("en+nobody") raises nothing: espeak-ng leaves it away."""
    variant = wanted.partition("+")[2].lower()
    return (used or "").lower().partition("+")[2] == variant


def _holds_sound(path: str) -> bool:
    try:
        with wave.open(path) as reader:
            return reader.getnframes() > 0
    except (OSError, EOFError, wave.Error):
        return False


def _give_up(code: int, *errors: Exception) -> int:
    if errors:
        print(errors[0], file=sys.stderr)
    return code


if __name__ == "__main__":
    sys.exit(main())
