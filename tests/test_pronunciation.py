"""How espeak-ng says words."""

# ruff: noqa: RUF001 - the letters of the International Phonetic Alphabet

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from handsfree.pronunciation import Espeak, arpabet
from tests.support.said import pronounce

COUNTING = "import sys; open(sys.argv[1], 'a').write('started '); [print('l_ˈiː_k') for _ in sys.stdin]"


@pytest.mark.parametrize(
    ("word", "phonemes"),
    [
        ("leak", "L IY K"),
        ("cover", "K AH V ER0"),
        ("tire", "T AY ER0"),
        ("dirty", "D ER T IY0"),  # a tapped t is a t
        ("read", "R IY D"),
        ("corrosion", "K ER0 OW ZH AH0 N"),  # one r
        ("a", "AH0"),  # the article, not the letter
        ("and", "AH0 N D"),  # nor stressed
        ("wilco", "W IH L K OW0"),
        ("intake", "IH N T EY K"),
        ("isn't", "IH Z AH0 N T"),
    ],
)
def test_words_as_they_are_said(word: str, phonemes: str) -> None:
    assert pronounce([word])[word] == tuple(phonemes.split())


@pytest.mark.parametrize("word", ["", "7", "tyre.", "na\nsell", "çà"])
def test_what_is_no_word_is_not_asked(word: str) -> None:
    assert word not in pronounce([word, "leak"])


def test_many_words_take_one_start_and_none_the_second_time(tmp_path: Path) -> None:
    espeak = Espeak([sys.executable, "-c", COUNTING, str(tmp_path / "starts")])
    for _ in range(2):
        assert espeak.pronounce(["leak", "leek"])["leek"] == ("L", "IY", "K")
    assert (tmp_path / "starts").read_text(encoding="utf-8") == "started "


@pytest.mark.parametrize(
    "command",
    [["no-such-program"], [sys.executable, "-c", "raise SystemExit(1)"], [sys.executable, "-c", "print('l\\nl\\nl')"]],
)
def test_a_program_that_is_missing_or_answers_otherwise_says_nothing(command: list[str]) -> None:
    espeak = Espeak(command)
    assert not espeak.answers()
    assert espeak.pronounce(["leak"])["leak"] == ()


def test_sounds_of_other_languages_are_not_put_into_english_ones() -> None:
    assert arpabet("b_ˈɑː_x") == ()
    assert Espeak().answers()
