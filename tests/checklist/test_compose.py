"""Examples stand for very many ways to say a thing: few, all of them sayable, and no word left out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.checklist.compose import Patterns, examples, tokens
from handsfree.language.expansion import Expansion
from handsfree.language.grammars import Grammars
from handsfree.language.jsgf_tree import Alternatives, Node, Null, Optional, Repeat, Sequence, Tagged, Token, Void

WORDS = st.sampled_from(["cut", "leak", "tyre", "two", "left", "worn", "out"]).map(Token)


def bigger(smaller: st.SearchStrategy[Node]) -> st.SearchStrategy[Node]:
    several = st.lists(smaller, min_size=1, max_size=3).map(tuple)
    return st.one_of(
        several.map(Alternatives),
        several.map(Sequence),
        smaller.map(Optional),
        smaller.map(lambda one: Tagged(one, (("slot", "x"),))),
        smaller.map(lambda one: Repeat(one, 1)),
    )


PATTERNS: st.SearchStrategy[Node] = st.recursive(st.one_of(WORDS, st.just(Null())), bigger, max_leaves=8)


@given(PATTERNS)
def test_examples_are_ways_to_say_the_pattern_and_use_all_its_words(pattern: Node) -> None:
    whole = Expansion("whole", pattern)
    found = [path for one in examples(pattern) for path in Expansion("example", one).paths()]
    assert all(whole.accepts(path.heard) for path in found if path.heard)
    assert {word for path in found for word in path.written.split()} == set(tokens(pattern))


def test_choices_along_a_sequence_take_turns() -> None:
    pattern = Sequence(
        (Alternatives((Token("cut"), Token("worn"), Token("low"))), Alternatives((Token("left"), Token("right"))))
    )
    said = [path.written for one in examples(pattern) for path in Expansion("", one).paths()]
    assert said == ["cut left", "worn right", "low left"]


def test_there_are_as_many_as_the_longest_list_of_choices(grammars: Grammars) -> None:
    patterns = Patterns(grammars)
    findings, numbers = patterns("<findings.any>"), patterns("<positions.number>")
    both = Sequence((findings, Optional(Token("on")), Token("tyre"), numbers))
    assert len(examples(both)) == len(examples(findings)) > len(examples(numbers))


def test_what_can_never_be_said_has_no_example() -> None:
    assert examples(Sequence((Token("cut"), Void()))) == ()
    assert examples(Void()) == ()


@pytest.mark.parametrize(
    ("text", "first"),
    [("cut | gash", "cut"), ("[nose] tyre", "tyre"), ("[nose]", "nose"), ("<positions.left>", "left")],
)
def test_the_first_way_that_has_words_is_the_one_to_teach(grammars: Grammars, text: str, first: str) -> None:
    patterns = Patterns(grammars)
    (path,) = patterns.whole(patterns.first(text), "first").paths()
    assert path.written == first


def test_the_first_way_keeps_its_slots(grammars: Grammars) -> None:
    patterns = Patterns(grammars)
    (path,) = patterns.whole(patterns.first("<findings.cut>"), "first").paths()
    assert path.slots == (("finding", "cut"),)
