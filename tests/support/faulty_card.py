"""Runs `handsfree` with a sound library that fails when it is told to, in ways that PulseAudio cannot be made to.

The environment's `FAULTS` names a folder; a file in it makes a fault for as long as it is there: `busy` = another
program has the microphone; `wrong-rate` = the microphone gives 44,100 samples a second whatever it was asked for;
`overflow` = sound was lost before the next block (once: the file is then removed).
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from handsfree import portaudio
from handsfree.cli import main

_REAL_RATE = 44100


def _failing(library: Any, faults: Path) -> Callable[..., Any]:
    real = library.InputStream

    def open_stream(**options: Any) -> Any:
        if (faults / "busy").exists():
            raise library.PortAudioError("Error opening InputStream: Device unavailable [PaErrorCode -9985]")
        if (faults / "wrong-rate").exists():
            options["samplerate"] = _REAL_RATE
        callback = options["callback"]

        def came(samples: Any, frames: int, times: Any, status: Any) -> None:
            if (faults / "overflow").exists():
                (faults / "overflow").unlink()
                status = SimpleNamespace(input_overflow=True)
            callback(samples, frames, times, status)

        return real(**options | {"callback": came})

    return open_stream


if __name__ == "__main__":
    portaudio.devices()  # the library is loaded on first use
    import sounddevice

    sounddevice.InputStream = _failing(sounddevice, Path(os.environ["FAULTS"]))  # pyright: ignore
    main()
