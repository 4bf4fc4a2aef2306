"""What a voice and the noise around it go through before the ears have them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

import numpy as np

from handsfree.bench.speech_level import Sound, convolved, fast_length
from handsfree.hearing.recogniser import RATE

Channel = Callable[[Sound], Sound]
"""Gives back as many samples as it took, the direct sound not delayed."""

_HANGAR_S = 3.0
_HANGAR_DB = -10.0
_TURNED_UP = np.float32(10.0)
_HEADSET_BAND_HZ = (300.0, 3400.0)
_MU = 255.0


def plain(sound: Sound) -> Sound:
    """Nothing is changed."""
    return sound


def hangar(sound: Sound) -> Sound:
    """A hall that rings for 3 s, with the microphone near the mouth: the hall is 10 dB below the direct sound."""
    echo = convolved(sound, room(_HANGAR_S))[: len(sound)]
    return (sound + echo * 10.0 ** (_HANGAR_DB / 20.0)).astype(np.float32)


def clipped(sound: Sound) -> Sound:
    """An input turned up by 20 dB, too far: what is louder than full scale then is cut off."""
    return np.clip(sound * _TURNED_UP, -1.0, 1.0)


def bluetooth(sound: Sound) -> Sound:
    """A wireless headset of the older kind: sampled at 8 kHz, 300 to 3400 Hz, 8 bits with mu-law (ITU-T G.711)."""
    size = fast_length(len(sound))
    spectrum = np.fft.rfft(sound, size)
    hertz = np.fft.rfftfreq(size, 1.0 / RATE)
    low, high = _HEADSET_BAND_HZ
    spectrum *= np.clip((hertz - low + 100.0) / 100.0, 0.0, 1.0) * np.clip((high + 300.0 - hertz) / 300.0, 0.0, 1.0)
    half = size // 2
    narrow = np.fft.irfft(spectrum[: half // 2 + 1] / 2.0, half).astype(np.float32)
    wide = np.fft.rfft(_mu_law(narrow)) * 2.0
    return np.fft.irfft(np.concatenate([wide[:-1], np.zeros(half + 1 - half // 2)]), size)[: len(sound)].astype(
        np.float32
    )


def _mu_law(sound: Sound) -> Sound:
    """To 8 bits and back: fine steps for what is soft, coarse ones for what is loud."""
    squeezed = np.sign(sound) * np.log1p(_MU * np.minimum(np.abs(sound), 1.0)) / np.log1p(_MU)
    steps = np.rint(squeezed * 127.0) / 127.0
    return (np.sign(steps) * np.expm1(np.abs(steps) * np.log1p(_MU)) / _MU).astype(np.float32)


CHANNELS: Mapping[str, Channel] = {
    "plain": plain,
    "raised": plain,
    "hangar": hangar,
    "clipped": clipped,
    "bluetooth": bluetooth,
}


@cache
def room(seconds: float) -> Sound:
    """The answer of a room to a knock, without the direct sound: falls by 60 dB in so many seconds; of power one."""
    time = np.arange(1, round(seconds * RATE)) / RATE
    knock = np.random.default_rng(0).standard_normal(len(time)) * 10.0 ** (-3.0 * time / seconds)
    knock = np.concatenate([[0.0], knock])
    return (knock / np.sqrt(np.sum(knock**2))).astype(np.float32)
