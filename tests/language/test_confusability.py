"""How near two phrases are to the ear."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.language.confusability import NEAR, confusabilities, confusability, distances
from handsfree.language.sounds import VOWELS, Sound
from tests.support.said import pronounce

CONSONANTS = (
    "P",
    "T",
    "K",
    "B",
    "D",
    "G",
    "F",
    "TH",
    "V",
    "DH",
    "S",
    "SH",
    "CH",
    "Z",
    "ZH",
    "JH",
    "M",
    "N",
    "NG",
    "W",
    "L",
)
SOUND = st.builds(Sound, st.sampled_from([*sorted(VOWELS), *CONSONANTS, "R", "Y", "HH"]), st.booleans())
HEARD = st.lists(SOUND, max_size=7).map(tuple)


def apart(one: tuple[Sound, ...], other: tuple[Sound, ...]) -> float:
    return float(distances([one], [other])[0][0, 0])


@given(HEARD, HEARD, HEARD)
def test_the_distance_is_a_metric(one: tuple[Sound, ...], other: tuple[Sound, ...], third: tuple[Sound, ...]) -> None:
    assert apart(one, one) == 0
    assert (apart(one, other) > 0) == (one != other)
    assert apart(one, other) == pytest.approx(apart(other, one))
    assert apart(one, third) <= apart(one, other) + apart(other, third) + 1e-9


@given(HEARD, HEARD, HEARD)
def test_so_is_the_likeness_taken_from_one(
    one: tuple[Sound, ...], other: tuple[Sound, ...], third: tuple[Sound, ...]
) -> None:
    def unlikeness(left: tuple[Sound, ...], right: tuple[Sound, ...]) -> float:
        cost, together = (float(table[0, 0]) for table in distances([left], [right]))
        return 2 * cost / (together + cost) if together else 0.0

    assert 0 <= unlikeness(one, other) <= 1
    assert unlikeness(one, third) <= unlikeness(one, other) + unlikeness(other, third) + 1e-9


@given(HEARD, HEARD)
def test_many_at_once_are_what_they_are_alone(one: tuple[Sound, ...], other: tuple[Sound, ...]) -> None:
    """A longer neighbour in the table changes nothing."""
    long = (*other, *one, Sound("K", is_weak=False))
    assert distances([one], [other, long])[0][0, 0] == pytest.approx(apart(one, other))


def alike(one: str, other: str) -> float:
    return confusability(one, other, pronounce)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("cover on", "cover off"),
        ("pin in", "pin out"),
        ("both good", "both cut"),  # the recogniser took the second for the first
        ("no leak", "leak"),
        ("loos", "loose"),
        ("closed", "close"),
        ("secure", "unsecured"),
        ("correction", "corrosion"),
        ("checked", "cracked"),
        ("fifteen", "fifty"),
        ("tyre 2", "tire two"),  # spelling is no sound
    ],
)
def test_these_are_near(one: str, other: str) -> None:
    assert alike(one, other) >= NEAR


@pytest.mark.parametrize(
    ("one", "other"),
    [("dry", "leak"), ("five", "nine"), ("affirm", "negative"), ("in place", "missing"), ("clean", "ice")],
)
def test_these_are_not(one: str, other: str) -> None:
    assert alike(one, other) < NEAR


def test_weak_sounds_weigh_less() -> None:
    assert alike("back", "bat") > alike("cab", "tab")  # a stop at the end, and at the beginning
    assert alike("eat", "heat") > alike("eat", "feet")
    assert alike("cover", "cove") > alike("covert", "vert")


@pytest.mark.parametrize(("one", "other", "expected"), [("", "", 1.0), ("dry", "", 0.0), ("dry", "dry", 1.0)])
def test_nothing_is_like_nothing_only(one: str, other: str, expected: float) -> None:
    assert alike(one, other) == expected


def test_a_table_has_a_row_for_each_of_the_first() -> None:
    assert confusabilities(["dry"], ["dry", "leak", ""], pronounce).shape == (1, 3)
    assert confusabilities([], ["dry"], pronounce).shape == (0, 1)
    assert confusabilities(["dry"], [], pronounce).shape == (1, 0)
