"""A code that one person reads aloud and another writes down."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.journal.anchor import Anchor, AnchorError, anchor_of, parse_anchor
from handsfree.language.alphabet import letters_and_digits, spell

ANCHORS = st.builds(anchor_of, st.binary(max_size=20), st.integers(1, 999_999))


@given(ANCHORS)
def test_it_comes_back_as_it_was_written_and_as_it_was_spoken(anchor: Anchor) -> None:
    assert parse_anchor(anchor.written) == anchor
    assert parse_anchor(f" {anchor.written.lower().replace('-', ' - ')} ") == anchor
    assert parse_anchor(anchor.spoken(spell), letters_and_digits) == anchor


def test_how_it_looks_and_sounds() -> None:
    """SHA-256 of "abc" begins ba7816bf 8f01cfea 41: in groups of five bits X, J, 4, B, N, P, 4 ... (by hand)."""
    anchor = anchor_of(b"abc", 41)
    assert anchor.written[:14] == "41-XJ4B-NP4P-A"
    assert anchor.spoken(spell).startswith("four one, x-ray juliett four bravo, november papa four papa, alfa")
    assert len(anchor.written) == len("41-KXQ2-MB7A-PQ3D-WLEA")


def test_it_fits_one_line_only() -> None:
    anchor = anchor_of(b"this line", 3)
    assert anchor.fits(b"this line")
    assert not anchor.fits(b"that line")


def test_one_character_misread_or_two_exchanged_are_noticed() -> None:
    chance, noticed, tried = random.Random(7), 0, 0
    for number in range(200):
        written = anchor_of(bytes([number]), number + 1).written
        places = [at for at, one in enumerate(written) if one != "-"]
        at = chance.choice(places)
        new = chance.choice("ABCDEFGHIJKLMNOPQRSTUVWXYZ234567" if at > 4 else "0123456789")
        swap = chance.choice([one for one in places[1:] if written[one - 1] not in ("-", written[one])])
        exchanged = written[: swap - 1] + written[swap] + written[swap - 1] + written[swap + 1 :]
        for wrong in (written[:at] + new + written[at + 1 :], exchanged):
            if wrong == written:
                continue
            tried += 1
            try:
                parse_anchor(wrong)
            except AnchorError:
                noticed += 1
    assert tried > 350
    assert noticed / tried > 0.97


@pytest.mark.parametrize("text", ["", "41", "41-KXQ2", "KXQ2-MB7A-PQ3D-WLEA", "41-KXQ2-MB7A-PQ3D-WLE!", "-" * 1000])
def test_what_is_no_code_is_one_clear_error(text: str) -> None:
    with pytest.raises(AnchorError) as caught:
        parse_anchor(text)
    assert caught.value.hint
