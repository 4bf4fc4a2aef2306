"""The real loudspeaker."""

from __future__ import annotations

import threading
import time

from handsfree.portaudio import AudioDevice, AudioError, LoudspeakerError, OutputStream, accepted_rate, find_device
from handsfree.speaking.sound import Samples, Sound

_POLL_S = 0.01
"""How long a call to stop can go unnoticed."""
_PATIENCE_S = 1.2
"""How long a device may ask for no more sound, or be late with its end, before it is taken to be gone."""


_HINT = "look whether the loudspeaker is still plugged in and switched on"


class PortAudioSpeaker:
    """Plays through a sound card: the system's default, or the one whose name holds `device`."""

    def __init__(self, device: str | None = None) -> None:
        self._name = device

    def play(self, samples: Samples, rate: int, stopped: threading.Event) -> None:
        """Play and wait for the end.  Raises LoudspeakerError when there is no such device, or when it goes away."""
        try:
            self._play(self.device(), samples, rate, stopped)
        except AudioError as error:
            raise LoudspeakerError(error.message, error.hint) from error

    def device(self) -> AudioDevice:
        """What it plays through.  Raises AudioError when there is no such device."""
        return find_device(self._name, "output")

    @staticmethod
    def _play(device: AudioDevice, samples: Samples, rate: int, stopped: threading.Event) -> None:
        sound = Sound(samples, rate).at_rate(accepted_rate(device, "output", rate))
        playing = _Playing(sound.samples)
        with OutputStream(device, sound.rate, playing.fill, playing.end):
            due = time.monotonic() + sound.seconds
            while not playing.ended.wait(_POLL_S) and not stopped.is_set():
                now = time.monotonic()
                if now - playing.last_asked > _PATIENCE_S or now > due + 2 * _PATIENCE_S:
                    raise AudioError(f'"{device.name}" takes no more sound', _HINT)
        if playing.error:
            raise AudioError(f'"{device.name}" failed while playing: {playing.error}', _HINT) from playing.error


class _Playing:
    """A sound on its way out, handed over in pieces."""

    def __init__(self, samples: Samples) -> None:
        self._samples = samples
        self._position = 0
        self.last_asked = time.monotonic()
        """When the device last wanted sound; it does so until the very end."""
        self.ended = threading.Event()
        self.error: Exception | None = None

    def fill(self, frames: int) -> Samples:
        self.last_asked = time.monotonic()
        piece = self._samples[self._position : self._position + frames]
        self._position += len(piece)
        return piece

    def end(self, error: Exception | None) -> None:
        self.error = error
        self.ended.set()
