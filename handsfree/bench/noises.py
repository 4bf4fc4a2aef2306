"""What an apron sounds like: noise of several kinds, each of its own making, the same for the same seed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from handsfree.bench.speech_level import Sound, convolved, fast_length
from handsfree.bench.voices import TUNING_VOICES, spoken
from handsfree.hearing.recogniser import RATE

Noise = Callable[[int, Generator], Sound]
"""So many samples of it, at no level in particular."""
Curve = NDArray[np.float32]
Shape = Callable[[Curve], NDArray[np.floating]]
"""The amplitude at each frequency in hertz."""


def white(samples: int, random: Generator) -> Sound:
    """The same power in every hertz."""
    return random.standard_normal(samples, dtype=np.float32)


def pink(samples: int, random: Generator) -> Sound:
    """The same power in every octave: falls by 3 dB an octave from 20 Hz on."""
    return _shaped(samples, random, lambda hertz: np.maximum(hertz, 20.0) ** -0.5)


def turbine(samples: int, random: Generator) -> Sound:
    """A small gas turbine near by, as of an auxiliary power unit: a whine that wanders, and the roar of its exhaust."""
    roar = _unit(_shaped(samples, random, lambda hertz: 1.0 / (1.0 + (hertz / 400.0) ** 2) ** 0.4))
    whine = _tones(random.uniform(1800.0, 2600.0) * (1.0 + 0.01 * _slow(samples, random, 0.5)), (1.0, 0.5, 0.25))
    hum = _tones(random.uniform(380.0, 420.0) * (1.0 + 0.003 * _slow(samples, random, 0.5)), (1.0, 0.4))
    return (roar + 0.6 * whine * (1.0 + 0.3 * _slow(samples, random, 2.0)) + 0.3 * hum).astype(np.float32)


def propeller(samples: int, random: Generator) -> Sound:
    """A propeller that turns: its blades pass some 80 times a second, with harmonics, over the roar of the air."""
    roar = _unit(_shaped(samples, random, lambda hertz: 1.0 / (1.0 + (hertz / 250.0) ** 2) ** 0.5))
    passing = random.uniform(70.0, 95.0) * (1.0 + 0.01 * _slow(samples, random, 0.5))
    strengths = tuple(0.85**number for number in range(16))
    beat = 1.0 + 0.25 * _slow(samples, random, 4.0)
    return (_unit(_tones(passing, strengths)) * beat + 0.6 * roar).astype(np.float32)


def wind(samples: int, random: Generator) -> Sound:
    """Wind at the microphone: low, and in gusts."""
    rumble = _unit(_shaped(samples, random, lambda hertz: 1.0 / (1.0 + (hertz / 60.0) ** 2)))
    hiss = _unit(_shaped(samples, random, lambda hertz: 1.0 / (1.0 + (hertz / 800.0) ** 2)))
    gusts = np.exp(0.7 * _slow(samples, random, 0.7))
    return ((rumble + 0.1 * hiss * gusts) * gusts).astype(np.float32)


def rain(samples: int, random: Generator) -> Sound:
    """Rain on a hood: drops of all sizes that each make it ring for a moment, over the hiss of the rain around."""
    hiss = _unit(_shaped(samples, random, lambda hertz: np.minimum(hertz / 1000.0, 1.0) ** 0.5))
    drops = np.zeros(samples, dtype=np.float32)
    for hertz, ring_s, per_second in (
        (500.0, 0.012, 25),
        (1100.0, 0.006, 80),
        (2300.0, 0.003, 200),
        (4600.0, 0.002, 300),
    ):
        drops += convolved(_impulses(samples, random, per_second), _ring(hertz, ring_s))[:samples]
    return (_unit(drops) + 0.4 * hiss).astype(np.float32)


def babble(samples: int, random: Generator) -> Sound:
    """Six people who talk at once, none of them to the tool.  Raises VoiceError."""
    together = np.zeros(samples, dtype=np.float32)
    for talk in _talkers():
        start = int(random.integers(len(talk)))
        together += np.resize(np.roll(talk, -start), samples)
    return together


NOISES: Mapping[str, Noise] = {
    "white": white,
    "pink": pink,
    "turbine": turbine,
    "propeller": propeller,
    "wind": wind,
    "rain": rain,
    "babble": babble,
}


def _unit(sound: Sound) -> Sound:
    """At a root mean square of one."""
    return sound / np.float32(np.sqrt(np.mean(np.square(sound))) + 1e-12)


def _shaped(samples: int, random: Generator, amplitude: Shape) -> Sound:
    """White noise with its spectrum multiplied by a shape."""
    size = fast_length(samples)
    spectrum = np.fft.rfft(random.standard_normal(size, dtype=np.float32))
    hertz = np.fft.rfftfreq(size, 1.0 / RATE).astype(np.float32)
    return np.fft.irfft(spectrum * amplitude(hertz), size)[:samples].astype(np.float32)


def _slow(samples: int, random: Generator, hertz: float) -> Curve:
    """Something that wanders about zero, about one in size, and changes some so many times a second."""
    points = random.standard_normal(int(samples * hertz / RATE) + 3, dtype=np.float32)
    place = np.arange(samples) * (hertz / RATE) + random.random()
    before = place.astype(np.int64)
    part = (place - before).astype(np.float32)
    smooth = part * part * (3.0 - 2.0 * part)  # sets out and arrives level
    return (points[before] + np.diff(points)[before] * smooth).astype(np.float32)


def _tones(hertz: Curve, strengths: tuple[float, ...]) -> Sound:
    """A tone whose frequency is a curve, with its harmonics."""
    turns = np.cumsum(hertz, dtype=np.float64) / RATE
    angle = (2.0 * np.pi * (turns % 1.0)).astype(np.float32)  # a float32 is too coarse for turns in the thousands
    before, now = np.zeros_like(angle), np.sin(angle)
    twice_cosine = 2.0 * np.cos(angle)
    sound = np.zeros_like(angle)
    for strength in strengths:
        sound += np.float32(strength) * now
        before, now = now, twice_cosine * now - before  # sin((k+1)a) = 2 cos(a) sin(ka) - sin((k-1)a)
    return sound


def _impulses(samples: int, random: Generator, per_second: float) -> Sound:
    """Single samples at random times (a Poisson process), many small and few large."""
    count = random.poisson(per_second * samples / RATE)
    sound = np.zeros(samples, dtype=np.float32)
    signs = random.choice(np.array([-1.0, 1.0]), count)
    np.add.at(
        sound, random.integers(samples, size=count), (signs * random.lognormal(0.0, 1.0, count)).astype(np.float32)
    )
    return sound


def _ring(hertz: float, seconds: float) -> Sound:
    """What a surface answers to a knock; of the same power at every pitch."""
    time = np.arange(round(6 * seconds * RATE)) / RATE
    ring = np.exp(-time / seconds) * np.sin(2 * np.pi * hertz * time)
    return (ring / np.sqrt(np.sum(ring**2))).astype(np.float32)


_TALK = (
    "did you watch the match last night, they never should have lost that one",
    "the coffee machine upstairs is broken again and nobody knows who to call",
    "my sister moved house on saturday so we carried boxes the whole weekend",
    "if the train is late once more this month I shall simply take the bus",
    "she wants to paint the kitchen yellow but I am not at all convinced",
    "we had soup and bread and then went for a long walk by the river",
)


@cache
def _talkers() -> tuple[Sound, ...]:
    voices = [TUNING_VOICES[number] for number in (0, 1, 2, 3, 4, 6)]
    return tuple(
        np.concatenate([_unit(spoken(_TALK[(start + number) % len(_TALK)], voice)) for number in range(3)])
        for start, voice in enumerate(voices)
    )
