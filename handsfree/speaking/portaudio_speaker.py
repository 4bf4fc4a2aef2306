"""The real loudspeaker."""

from __future__ import annotations

import threading

from handsfree.portaudio import AudioError, OutputStream, accepted_rate, find_device
from handsfree.speaking.sound import Samples, Sound

_POLL_S = 0.01
"""How long a call to stop can go unnoticed."""
_PATIENCE_S = 5.0
"""How long after its due end a sound may end, before the device is taken to be gone."""


class PortAudioSpeaker:
    """Plays through a sound card: the system's default, or the one whose name holds `device`."""

    def __init__(self, device: str | None = None) -> None:
        self._name = device

    def play(self, samples: Samples, rate: int, stopped: threading.Event) -> None:
        """Play and wait for the end.  Raises AudioError when there is no such device, or when it goes away."""
        device = find_device(self._name, "output")
        sound = Sound(samples, rate).at_rate(accepted_rate(device, "output", rate))
        playing = _Playing(sound.samples)
        with OutputStream(device, sound.rate, playing.fill, playing.end):
            waited = 0.0
            while not playing.ended.wait(_POLL_S) and not stopped.is_set():
                waited += _POLL_S
                if waited > sound.seconds + _PATIENCE_S:
                    raise AudioError(
                        f'"{device.name}" takes no more sound', "look whether the loudspeaker is still plugged in"
                    )
        if playing.error:
            raise AudioError(f'"{device.name}" failed while playing: {playing.error}') from playing.error


class _Playing:
    """A sound on its way out, handed over in pieces."""

    def __init__(self, samples: Samples) -> None:
        self._samples = samples
        self._position = 0
        self.ended = threading.Event()
        self.error: Exception | None = None

    def fill(self, frames: int) -> Samples:
        piece = self._samples[self._position : self._position + frames]
        self._position += len(piece)
        return piece

    def end(self, error: Exception | None) -> None:
        self.error = error
        self.ended.set()
