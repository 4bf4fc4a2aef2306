"""Our word error rate against another library (jiwer) and against published figures."""

from __future__ import annotations

import jiwer
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.language.word_errors import word_error_rate, word_errors

WORDS = st.lists(st.sampled_from(["no", "leak", "cut", "on", "tyre", "two"]), min_size=1, max_size=8).map(" ".join)


@given(st.lists(st.tuples(WORDS, WORDS), min_size=1, max_size=5))
def test_it_agrees_with_jiwer(pairs: list[tuple[str, str]]) -> None:
    said, heard = [one for one, _ in pairs], [other for _, other in pairs]
    assert word_error_rate(pairs) == pytest.approx(jiwer.wer(said, heard))


def test_kitten_and_sitting() -> None:
    """Levenshtein's distance of 3; value from memory."""
    assert word_errors("kitten", "sitting") == 3


def test_the_sample_of_sclite() -> None:
    """NIST sclite's sample report: of 21 words 14 correct, 7 substituted, 0 deleted, and 1 inserted: 8/21 = 38.1 %."""
    said = [f"w{number}" for number in range(21)]
    heard = [*said[:14], *(f"x{number}" for number in range(7)), "extra"]
    assert word_error_rate([(" ".join(said), " ".join(heard))]) == pytest.approx(8 / 21)
    assert f"{8 / 21:.1%}" == "38.1%"


def test_nothing_said_has_no_rate() -> None:
    with pytest.raises(ValueError, match="at least one"):
        word_error_rate([("", "leak")])
