"""Our rank correlation against SciPy's, ties and all."""

from __future__ import annotations

from typing import cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import spearmanr  # pyright: ignore[reportUnknownVariableType]  # SciPy ships no types

from handsfree.bench.prediction import rank_correlation

VALUES = st.lists(st.tuples(st.integers(0, 5), st.integers(-3, 3)), min_size=3, max_size=30)


@given(VALUES)
def test_rho_is_scipys(pairs: list[tuple[int, int]]) -> None:
    one, other = (np.array(column, dtype=float) for column in zip(*pairs, strict=True))
    if len(set(one)) > 1 and len(set(other)) > 1:
        (rho, _) = cast("tuple[float, float]", spearmanr(one, other))
        assert rank_correlation(one, other) == pytest.approx(rho)
    else:
        assert rank_correlation(one, other) == 0  # SciPy warns, and says nan
