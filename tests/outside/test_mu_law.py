"""ITU-T G.711 with mu-law: some 37 dB between a tone and what the 8 bits add to it, over a wide range of levels.

From memory of textbooks on companding (second-hand); 8 bits without it would have 20 dB less for the softest tone here.
"""

import numpy as np
import pytest

from handsfree.bench.channels import bluetooth

RATE = 16_000


@pytest.mark.parametrize("level_db", [-6, -16, -26, -36])
def test_a_tone_stays_clear_at_all_levels(level_db: int) -> None:
    tone = np.sin(2 * np.pi * 1020 * np.arange(RATE * 2) / RATE).astype(np.float32)
    tone *= np.float32(10 ** (level_db / 20))
    heard = bluetooth(tone)[RATE // 2 : -RATE // 2]
    tone = tone[RATE // 2 : -RATE // 2]
    added = heard - tone * (np.sum(heard * tone) / np.sum(tone**2))
    ratio_db = 10 * np.log10(np.mean(tone**2) / np.mean(added**2))
    assert 33 < ratio_db < 42
