"""ITU-T Recommendation P.56, method B: the active speech level.

Its figures (second-hand, from public programs that follow it): smoothing of 0.03 s twice over, hangover 0.2 s, margin
15.9 dB, thresholds one doubling apart, result within 0.5 dB.
"""

import numpy as np
import pytest

from handsfree.bench.speech_level import Sound, power_db, speech_level

RATE = 16_000
TOLERANCE_DB = 0.5


def noise(seconds: float, level_db: float) -> Sound:
    sound = np.random.default_rng(1).standard_normal(round(seconds * RATE))
    return (sound * 10 ** (level_db / 20)).astype(np.float32)


def by_the_letter(sound: Sound) -> float:
    """The Recommendation sample by sample: smooth, smooth again, count; then halve between the two thresholds."""
    decay = np.exp(-1 / (0.03 * RATE))
    hangover = round(0.2 * RATE)
    thresholds = [2.0**-bit for bit in range(15, 0, -1)]
    counts, waited = [0] * 15, [hangover] * 15
    once = twice = 0.0
    for magnitude in np.abs(sound).tolist():
        once = decay * once + (1 - decay) * magnitude
        twice = decay * twice + (1 - decay) * once
        for number, threshold in enumerate(thresholds):
            if twice >= threshold:
                counts[number] += 1
                waited[number] = 0
            elif waited[number] < hangover:
                counts[number] += 1
                waited[number] += 1
    energy = float(np.sum(sound.astype(np.float64) ** 2))
    levels = [10 * np.log10(energy / count) for count in counts if count]
    logs = [20 * np.log10(threshold) for threshold in thresholds]
    above = next(number for number, level in enumerate(levels) if level - logs[number] <= 15.9)
    low, high = (levels[above - 1], logs[above - 1]), (levels[above], logs[above])
    while True:
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        excess = middle[0] - middle[1] - 15.9
        if abs(excess) < 0.01:
            return float(middle[0])
        low, high = (middle, high) if excess > 0 else (low, middle)


def bursts() -> Sound:
    """Syllables of a second each at quite different levels, with pauses of all lengths between them."""
    parts = [part for level in (-20, -32, -26, -40) for part in (noise(0.4, level), noise(0.15 - level / 100, -90))]
    return np.concatenate(parts)


@pytest.mark.parametrize("gain_db", [0, -7, -20])
def test_it_agrees_with_the_recommendation_followed_sample_by_sample(gain_db: int) -> None:
    sound = (bursts() * 10 ** (gain_db / 20)).astype(np.float32)
    assert speech_level(sound).active_db == pytest.approx(by_the_letter(sound), abs=0.05)


@pytest.mark.parametrize("level_db", [-10, -26, -40])
def test_a_steady_sound_is_active_all_the_time(level_db: int) -> None:
    measured = speech_level(noise(10, level_db))
    assert measured.active_db == pytest.approx(level_db, abs=TOLERANCE_DB)
    assert measured.activity == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize("share", [0.25, 0.5, 0.75])
def test_pauses_do_not_lower_the_level(share: float) -> None:
    """Two stretches of speech at -26 dB with silence between; each is held for the hangover and the smoothing."""
    period, held = 20.0, 0.3
    speech, silence = noise(share * period, -26), np.zeros(round((1 - share) * period * RATE), dtype=np.float32)
    sound = np.concatenate([speech, silence] * 2)
    measured = speech_level(sound)
    assert power_db(sound) == pytest.approx(-26 + 10 * np.log10(share), abs=0.1)
    assert measured.active_db == pytest.approx(-26, abs=TOLERANCE_DB)
    assert measured.activity == pytest.approx(share + held / period, abs=0.01)


def test_noise_far_below_the_speech_does_not_count() -> None:
    speech, pause = noise(4, -26), np.zeros(4 * RATE, dtype=np.float32)
    sound = np.concatenate([speech, pause]) + noise(8, -56)
    assert speech_level(sound).active_db == pytest.approx(-26, abs=TOLERANCE_DB)


def test_twice_as_loud_is_six_decibels_more() -> None:
    sound = bursts()
    louder = speech_level((sound * 2).astype(np.float32)).active_db - speech_level(sound).active_db
    assert louder == pytest.approx(6.02, abs=0.1)
