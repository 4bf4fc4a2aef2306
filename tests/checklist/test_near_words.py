"""What is offered for a word that the speech model lacks."""

import pytest

from handsfree.checklist.lint.near_words import near_words
from handsfree.language.spelling import Lexicon
from tests.support.said import pronounce

KNOWN = {"latch", "latches", "leak", "ray", "dome", "na", "sell", "rivet", "private"}


@pytest.mark.parametrize(
    ("word", "near"),
    [
        ("latchs", ("latches", "latch")),
        ("raydome", ("ray dome",)),
        ("leek", ("leak",)),
        ("nacele", ("nacelle",)),  # a word of the lexicon, misspelt
        ("rviet", ("rivet",)),  # two letters the wrong way round
        ("xylophone", ()),
    ],
)
def test_near_words(word: str, near: tuple[str, ...]) -> None:
    assert near_words(word, KNOWN.__contains__, Lexicon({"nacelle": "na sell"}), pronounce) == near


def test_what_sounds_alike_comes_first() -> None:
    assert near_words("tyer", {"tyler", "tyre", "tier"}.__contains__, Lexicon(), pronounce) == ("tyre", "tyler", "tier")
