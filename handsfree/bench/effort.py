"""The raised voice of somebody who talks in noise: the Lombard effect.

Bottalico, Passione, Graetzer and Hunter (Acta Acustica united with Acustica 103, 2017) found that the voice grows
louder by 0.24 dB for each dB of noise up to 43.3 dB(A), and by 0.65 dB above.  They measured up to 65 dB(A).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from handsfree.bench.speech_level import Sound, power_db
from handsfree.hearing.recogniser import RATE

EffortName = Literal["normal", "raised"]

CHANGE_DBA = 43.3
SLOPE_BELOW = 0.24
SLOPE_ABOVE = 0.65
LOUDEST_MEASURED_DBA = 65.0


def rise_db(noise_dba: float) -> float:
    """By how much a voice is louder in this noise than at the change point, where a voice is as good as normal."""
    above = min(noise_dba, LOUDEST_MEASURED_DBA) - CHANGE_DBA
    return above * (SLOPE_ABOVE if above > 0 else SLOPE_BELOW)


@dataclass(frozen=True, slots=True)
class Effort:
    """How a voice changes besides becoming louder."""

    pitch: float = 1.0
    """Times the pitch of a normal voice."""
    stretch: float = 1.0
    """Times the duration."""
    lift_db: float = 0.0
    """What the band around 2 kHz gains on the lowest."""


def effort_at(rise: float) -> Effort:
    """What goes with a voice that is louder by so many dB.

    From memory of the literature on loud speech, rounded: 0.3 semitones and 0.4 dB of lift for each dB; words longer
    by a hundredth for each dB.
    """
    return Effort(pitch=2.0 ** (0.3 * rise / 12.0), stretch=1.0 + 0.01 * rise, lift_db=0.4 * rise)


EFFORTS: dict[EffortName, Effort] = {"normal": Effort(), "raised": effort_at(rise_db(LOUDEST_MEASURED_DBA))}
"""Raised is the voice at the loudest noise that was measured; nothing is said here of what lies beyond."""


def lifted(sound: Sound, lift_db: float) -> Sound:
    """The sound with a flatter spectrum, at the same power: full lift above 1.5 kHz, none below 500 Hz."""
    if lift_db == 0.0:
        return sound
    spectrum = np.fft.rfft(sound)
    octaves = np.log2(np.maximum(np.fft.rfftfreq(len(sound), 1.0 / RATE), 1.0) / 500.0) / np.log2(3.0)
    lifted_sound = np.fft.irfft(spectrum * 10.0 ** (lift_db / 20.0 * np.clip(octaves, 0.0, 1.0)), len(sound))
    gain = 10.0 ** ((power_db(sound) - power_db(lifted_sound.astype(np.float32))) / 20.0)
    return (lifted_sound * gain).astype(np.float32)
