"""One of what is counted."""

import pytest

from handsfree.language.plural import singular


@pytest.mark.parametrize(
    ("many", "one"),
    [
        ("covers", "cover"),
        ("litres", "litre"),
        ("inches", "inch"),
        ("boxes", "box"),
        ("glasses", "glass"),
        ("batteries", "battery"),
        ("rubber plugs", "rubber plug"),
    ],
)
def test_a_plural_has_a_form_for_one(many: str, one: str) -> None:
    assert singular(many) == one


@pytest.mark.parametrize("unit", ["psi", "of full", "lbs", "gas", "glass", "bus", "axis"])
def test_other_words_stay_as_they_are(unit: str) -> None:
    assert singular(unit) == unit
