"""Speech faster or slower at the same pitch.

WSOLA: W. Verhelst, M. Roelands, "An overlap-add technique based on waveform similarity (WSOLA) for high quality
time-scale modification of speech", ICASSP 1993.  Windows of the sound are laid over each other at another distance;
each is taken from where, near its due place, it best goes on with the one before.
"""

from __future__ import annotations

import threading

import numpy as np
from numpy.typing import NDArray

from handsfree.speaking.loudspeakers import Loudspeaker
from handsfree.speaking.settings import FASTEST_SPEED, SLOWEST_SPEED
from handsfree.speaking.sound import Samples, Sound

_HOP_S = 0.012
"""Half a window: two periods of a low voice (80 Hz) fit into a whole one."""
_SEEK_S = 0.007
"""How far from its due place a window may be taken: half a period of a low voice, and a little."""


def stretched(sound: Sound, speed: float) -> Sound:
    """The same words at ``speed`` times their speed, at the same pitch.

    Raises ValueError when it is not between `SLOWEST_SPEED` and `FASTEST_SPEED`.  Of 36 answers by three voices our own
    recogniser understands all at 0.75 to 1.25, 35 at 1.5, 33 at 2 and 25 at 0.5 times their speed.
    """
    if not SLOWEST_SPEED <= speed <= FASTEST_SPEED:
        raise ValueError(f"a speed of {speed:g} is not between {SLOWEST_SPEED:g} and {FASTEST_SPEED:g}")
    hop, seek = round(_HOP_S * sound.rate), round(_SEEK_S * sound.rate)
    if speed == 1.0 or len(sound.samples) <= 2 * hop:
        return sound
    count = int(len(sound.samples) / speed / hop) + 1
    source = np.pad(sound.samples.astype(np.float64), (hop + seek, 4 * hop + 2 * seek))
    rising = np.sin(np.pi / 2 * np.arange(hop) / hop) ** 2
    window = np.concatenate([rising, 1.0 - rising])
    made = np.zeros((count + 2) * hop)
    at = seek
    for number in range(count):
        made[number * hop : (number + 2) * hop] += window * source[at : at + 2 * hop]
        due = min(seek + round((number + 1) * hop * speed), len(source) - 3 * hop - 2 * seek)
        at = due - seek + _most_alike(source[due - seek : due + seek + 2 * hop], source[at + hop : at + 3 * hop])
    length = round(len(sound.samples) / speed)
    return Sound(np.clip(np.rint(made[hop : hop + length]), -32768, 32767).astype(np.int16), sound.rate)


def _most_alike(near: NDArray[np.float64], wanted: NDArray[np.float64]) -> int:
    """Where in ``near`` something most like ``wanted`` begins."""
    likeness = np.correlate(near, wanted, mode="valid")
    energy = np.convolve(near**2, np.ones(len(wanted)), mode="valid")
    return int(np.argmax(likeness / np.sqrt(np.maximum(energy, 1.0))))


class AtSpeed:
    """A loudspeaker that plays everything at ``speed`` times its speed, which may be changed between two sounds."""

    def __init__(self, speaker: Loudspeaker, speed: float = 1.0) -> None:
        self._speaker = speaker
        self.speed = speed

    def play(self, samples: Samples, rate: int, stopped: threading.Event) -> None:
        """Return when the last sample has been played, or soon after ``stopped`` is set."""
        sound = stretched(Sound(samples, rate), self.speed)
        self._speaker.play(sound.samples, sound.rate, stopped)
