"""How much a voice rises in noise: Bottalico, Passione, Graetzer and Hunter, 2017 (abstract and conference text read).

A change point at 43.3 dB(A); 0.24 dB for each dB of noise below it, 0.65 dB above; noise from 20 to 65 dB(A).
"""

import pytest

from handsfree.bench.effort import rise_db


@pytest.mark.parametrize(("low", "high", "slope"), [(20, 43, 0.24), (44, 65, 0.65)])
def test_the_slopes(low: float, high: float, slope: float) -> None:
    assert (rise_db(high) - rise_db(low)) / (high - low) == pytest.approx(slope)


def test_the_change_point_is_where_both_lines_meet() -> None:
    assert rise_db(43.3) == 0.0
    assert rise_db(43.3 + 1e-9) == pytest.approx(0.0, abs=1e-6)


def test_nothing_is_claimed_beyond_the_noise_that_was_measured() -> None:
    assert rise_db(65) == rise_db(110) == pytest.approx(14.1, abs=0.1)
