"""The interval of a share against a published table.

Source: R. G. Newcombe, "Two-sided confidence intervals for the single proportion: comparison of seven methods",
Statistics in Medicine 17 (1998), pages 857 to 872, table I, method 3 (Wilson's score method without continuity
correction), 95 %.
"""

from __future__ import annotations

import pytest

from handsfree.drill.estimate import share


@pytest.mark.parametrize(
    ("hits", "of", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_newcombes_examples(hits: int, of: int, low: float, high: float) -> None:
    found = share(hits, of)
    assert found is not None
    assert (found.low, found.high) == (pytest.approx(low, abs=0.00005), pytest.approx(high, abs=0.00005))
