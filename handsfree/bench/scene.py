"""One answer as the microphone takes it in: noise, the end of a prompt, somebody speaks, noise."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from handsfree.bench.channels import CHANNELS, room
from handsfree.bench.noises import NOISES
from handsfree.bench.speech_level import Sound, convolved, power_db, speech_level
from handsfree.bench.voices import PROMPT_VOICE, Voice, spoken
from handsfree.hearing.recogniser import RATE

SPEECH_DB = -26.0
"""The active level of speech, in dB of full scale."""
FLOOR_DB = -75.0
"""A microphone's own noise, which is there in every scene."""
_TAIL_S = 0.3
_TAIL_DB = -40.0
_PROMPT = "Say nothing found, or what you found."
_LOUDEST = 1.0
"""Louder scenes are turned down as a whole, which leaves the ratio of speech and noise as it is."""


@dataclass(frozen=True, slots=True)
class Condition:
    """Where somebody speaks."""

    noise: str
    """ "clean" or one of `NOISES`."""
    snr_db: float | None
    """The active level of the speech over the power of the noise in the whole band; None when it is clean."""
    channel: str = "plain"
    """What is between mouth and ears, one of `CHANNELS`, or "raised" for somebody who raises their voice."""

    def __post_init__(self) -> None:
        """Raises ValueError for a noise or channel that does not exist, and for noise without a ratio."""
        known = self.noise == "clean" or self.noise in NOISES
        if not known or self.channel not in CHANNELS or (self.noise == "clean") != (self.snr_db is None):
            raise ValueError(f"there is no such condition: {self.noise}, {self.snr_db} dB, {self.channel}")

    @property
    def name(self) -> str:
        """How reports call it: "pink 5 dB", "clean", "rain 5 dB, bluetooth"."""
        noise = self.noise if self.snr_db is None else f"{self.noise} {self.snr_db:g} dB"
        return noise if self.channel == "plain" else f"{noise}, {self.channel}"


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Sound for the ears, and the truth about it."""

    sound: NDArray[np.int16]
    speech_start_s: float
    speech_end_s: float


def make_scene(  # noqa: PLR0913 - what is said and by whom, where, and what surrounds it
    text: str,
    voice: Voice,
    condition: Condition,
    seed: int,
    *,
    before_s: float = 2.0,
    after_s: float = 2.0,
    prompt_tail: bool = True,
) -> Scene:
    """Somebody says `text` after `before_s` of noise; `after_s` of it follow.

    The noise depends on its kind, the seed and the length only: the same at every ratio.  The tail of a prompt is what
    the room still holds of it when the microphone opens.  Raises VoiceError.
    """
    speech = spoken(text, voice, "raised" if condition.channel == "raised" else "normal")
    return scene_of(speech, condition, seed, before_s=before_s, after_s=after_s, prompt_tail=prompt_tail)


def scene_of(  # noqa: PLR0913 - as `make_scene`
    speech: Sound,
    condition: Condition,
    seed: int,
    *,
    before_s: float = 2.0,
    after_s: float = 2.0,
    prompt_tail: bool = True,
) -> Scene:
    """The same with speech that is there already, such as a recording, of any level."""
    speech = speech * _gain(SPEECH_DB - speech_level(speech).active_db)
    start = round(before_s * RATE)
    mixed = np.zeros(start + len(speech) + round(after_s * RATE), dtype=np.float32)
    mixed[start : start + len(speech)] = speech
    random = np.random.default_rng([seed, zlib.crc32(condition.noise.encode())])
    mixed += _noise(condition, len(mixed), random)
    if prompt_tail:
        tail = _tail()[: len(mixed)]
        mixed[: len(tail)] += tail
    taken = CHANNELS[condition.channel](mixed)
    taken = taken * np.float32(min(1.0, _LOUDEST / max(float(np.abs(taken).max()), 1e-9)))
    return Scene(np.rint(taken * 32767.0).astype(np.int16), start / RATE, (start + len(speech)) / RATE)


def _noise(condition: Condition, samples: int, random: Generator) -> Sound:
    """The noise at its ratio to the speech, over that of the microphone itself."""
    floor = random.standard_normal(samples, dtype=np.float32) * _gain(FLOOR_DB)
    if condition.snr_db is None:
        return floor
    noise = NOISES[condition.noise](samples, random)
    return (floor + noise * _gain(SPEECH_DB - condition.snr_db - power_db(noise))).astype(np.float32)


@cache
def _tail() -> Sound:
    """What is left of a prompt in the room once the loudspeaker is silent, fading."""
    prompt = spoken(_PROMPT, PROMPT_VOICE)
    heard = convolved(prompt, room(0.4))[len(prompt) :][: round(_TAIL_S * RATE)]
    fading = heard * np.linspace(1.0, 0.0, len(heard), dtype=np.float32)
    return fading * _gain(_TAIL_DB - power_db(fading))


def _gain(decibels: float) -> np.float32:
    return np.float32(10.0 ** (decibels / 20.0))
