"""The spectra that the names of noises stand for: pink has the same power in each octave, white 3 dB more in the next.

Per hertz that is a fall of 10 log10(2) = 3.01 dB an octave, or none.
"""

import numpy as np
import pytest

from handsfree.bench.noises import NOISES

RATE = 16_000
CENTRES_HZ = [63, 125, 250, 500, 1000, 2000, 4000]
"""Octave bands of IEC 61260-1, nominal."""


@pytest.mark.parametrize(("name", "per_hertz_db"), [("pink", -3.01), ("white", 0.0)])
def test_the_slope_of_power_density(name: str, per_hertz_db: float) -> None:
    sound = NOISES[name](30 * RATE, np.random.default_rng(7))
    power = np.abs(np.fft.rfft(sound)) ** 2
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE)
    density = [10 * np.log10(power[(hertz >= c / 2**0.5) & (hertz < c * 2**0.5)].mean()) for c in CENTRES_HZ]
    slope = np.polyfit(np.log2(CENTRES_HZ), density, 1)[0]
    assert slope == pytest.approx(per_hertz_db, abs=0.1)
