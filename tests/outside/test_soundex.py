"""Soundex, by the examples that the US National Archives give for it (values from memory)."""

import pytest

from handsfree.checklist.lint.near_words import soundex


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("washington", "W252"),
        ("lee", "L000"),
        ("gutierrez", "G362"),
        ("pfister", "P236"),
        ("jackson", "J250"),
        ("tymczak", "T522"),
        ("vandeusen", "V532"),
        ("ashcraft", "A261"),
    ],
)
def test_published_codes(name: str, code: str) -> None:
    assert soundex(name) == code
