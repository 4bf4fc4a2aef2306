"""How large a pattern is, counted without unfolding it, however much it would grow."""

from __future__ import annotations

import pytest

from handsfree.language.errors import GrammarError, VocabularyError
from handsfree.language.grammars import Grammars
from handsfree.language.jsgf_reader import LONGEST, read_expansion
from handsfree.language.measure import measure
from handsfree.language.vocabulary import Entry, Vocabulary


@pytest.mark.parametrize("text", ["x" + "+" * 45, "x" + "+*" * 22, " ".join(["[a]"] * 1000), "(a | b) " * 500])
def test_counting_ends(text: str) -> None:
    """Each repetition of a repetition squares the number of ways: it would have more figures than there is memory."""
    assert 10**9 < measure(read_expansion(text)).ways <= 10**12


@pytest.mark.parametrize(
    ("text", "through", "silent"),
    [
        ("a", 0, 0),
        ("[a]", 1, 1),
        ("[a] [b] [c]", 1, 1),
        ("a*", 1, 1),
        ("<NULL> | a", 1, 1),
        ("[<NULL> {x=1}]", 2, 2),
        ("[<NULL> {x=1}] [<NULL> {y=1}]", 4, 4),
        ("a [<NULL> {x=1}] [<NULL> {y=1}] b", 0, 4),
        ("(<NULL> {x=1} | <NULL> {x=2} | <NULL> {x=3}) a", 0, 3),
    ],
)
def test_ways_through_without_a_word(text: str, through: int, silent: int) -> None:
    size = measure(read_expansion(text))
    assert (size.through, size.silent) == (through, silent)


def test_slots_that_nobody_speaks_are_limited(grammars: Grammars) -> None:
    def slots(count: int) -> str:
        return " ".join(f"[<NULL> {{s{at}=x}}]" for at in range(count)) + " end"

    grammars.expansion(slots(6)).check_enumerable()
    with pytest.raises(GrammarError, match="128 ways to say nothing in it; 64 can be kept"):
        grammars.expansion(slots(7)).check_enumerable()


def test_a_phrase_has_a_longest_length() -> None:
    read_expansion("a " * (LONGEST // 2))
    with pytest.raises(GrammarError, match=f"more than {LONGEST} characters"):
        read_expansion("a " * (LONGEST // 2) + "a")


def test_many_patterns_together_are_limited_too(grammars: Grammars) -> None:
    entries = [Entry(grammars.expansion(f"{'[a] ' * 13}w{one}"), "pass") for one in range(5)]
    assert len(Vocabulary.build(entries[:1]).phrases) == 14
    with pytest.raises(VocabularyError, match="more than 40000 ways to answer, all together"):
        Vocabulary.build(entries)
