"""Nothing in a text from outside acts on a terminal, and JSON stays JSON."""

from __future__ import annotations

import json

import pytest

from handsfree.shown import NOT_TEXT, harmless, json_line, readable_json, shortened


@pytest.mark.parametrize(
    "one", ["\x1b", "\x9b", "\0", "\a", "\b", "\x7f", "\u202e", "\u2066", "\u200b", "\ufeff", "\udcff"]
)
def test_what_acts_or_hides_is_shown_as_a_mark(one: str) -> None:
    assert harmless(f"a{one}b") == f"a{NOT_TEXT}b"


@pytest.mark.parametrize("one", ["\n", "\r", "\t", "\x85", "\u2028", "\xa0"])
def test_blanks_and_ends_of_lines_are_blanks(one: str) -> None:
    assert harmless(f"a{one}handsfree: b") == "a handsfree: b"


@pytest.mark.parametrize("text", ["", "tyre 2 [bold]", "Überprüfung ✓ 日本", "e\u0301"])
def test_what_can_be_read_is_left_as_it_is(text: str) -> None:
    assert harmless(text) == text


def test_a_long_text_says_that_there_is_more() -> None:
    assert shortened("a" * 10, 10) == "a" * 10
    assert shortened("a" * 11, 10) == "a" * 8 + " …"


def test_json_of_anything_is_one_line_of_valid_json_that_can_be_read() -> None:
    row = {
        "words": "\x1b\x9b\u202e\ud800é😀\U000e0041\n",
        "lists": [(1.5, float("nan"))],
        "end": float("-inf"),
        "n": None,
    }
    line = json_line(row)
    assert line.isprintable()
    assert json.loads(line) == row | {"lists": [[1.5, None]], "end": None}
    assert "é😀" in line


def test_json_that_is_made_already_keeps_its_meaning() -> None:
    made = json.dumps({"a": "\u202eb"}, ensure_ascii=False)
    assert readable_json(made) == '{"a": "\\u202eb"}'
