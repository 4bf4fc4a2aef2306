"""The automaton against regular expressions, and its three answers against each other."""

from itertools import product

import pytest
from hypothesis import given, settings

from handsfree.language.automaton import Automaton
from handsfree.language.expansion import Expansion
from handsfree.language.jsgf_reader import read_expansion
from handsfree.language.jsgf_tree import Node
from handsfree.language.measure import measure
from handsfree.language.spelling import Lexicon
from tests.language.patterns import WORDS, accepted_by, patterns, plain_patterns, utterances

UP_TO_FOUR_WORDS = [" ".join(words) for length in range(5) for words in product(WORDS, repeat=length)]


def expansion(pattern: Node) -> Expansion:
    return Expansion("random", pattern)


def can_grow(pattern: Node, text: str) -> bool:
    automaton = Automaton()
    automaton.add(pattern, 0, Lexicon())
    runs = automaton.begin()
    for word in text.split():
        runs = automaton.feed(runs, word)
    return automaton.can_grow(runs)


@given(patterns)
@settings(max_examples=80, deadline=None)
def test_it_accepts_what_the_regular_expression_accepts(pattern: Node) -> None:
    made = expansion(pattern)
    for text in UP_TO_FOUR_WORDS:
        assert made.accepts(text) == accepted_by(pattern, text), text


@given(patterns)
@settings(max_examples=150, deadline=None)
def test_everything_enumerated_is_accepted_and_counted_beforehand(pattern: Node) -> None:
    if measure(pattern).ways > 3000:
        return
    paths = expansion(pattern).paths()
    assert len(paths) <= measure(pattern).ways
    for written in {path.written for path in paths}:
        assert accepted_by(pattern, written)


@given(plain_patterns)
@settings(max_examples=150, deadline=None)
def test_without_repetitions_the_enumeration_is_complete_and_the_count_exact(pattern: Node) -> None:
    written = [path.written for path in expansion(pattern).paths()]
    assert len(written) == measure(pattern).ways
    short = {text for text in UP_TO_FOUR_WORDS if accepted_by(pattern, text)}
    assert {text for text in written if len(text.split()) <= 4} == short


@given(plain_patterns, utterances)
@settings(max_examples=200, deadline=None)
def test_words_can_grow_exactly_when_a_longer_phrase_begins_with_them(pattern: Node, text: str) -> None:
    phrases = [path.written.split() for path in expansion(pattern).paths()]
    words = text.split()
    longer = any(len(phrase) > len(words) and phrase[: len(words)] == words for phrase in phrases)
    assert can_grow(pattern, text) == longer


@given(patterns, utterances)
@settings(max_examples=150, deadline=None)
def test_with_repetitions_a_longer_phrase_proves_that_words_can_grow(pattern: Node, text: str) -> None:
    longer = any(accepted_by(pattern, f"{text} {more}".strip()) for more in UP_TO_FOUR_WORDS if more)
    if longer:
        assert can_grow(pattern, text)


@pytest.mark.parametrize(
    ("text", "phrases"),
    [
        ("[the] tyres (good | dry)", ["tyres good", "tyres dry", "the tyres good", "the tyres dry"]),
        ("a*", ["", "a", "a a"]),
        ("a+", ["a", "a a"]),
        ("(a | b)+", ["a", "a a", "a b", "b", "b a", "b b"]),
        ("a <NULL> b", ["a b"]),
        ("a <VOID> | b", ["b"]),
        ("[<VOID>] a", ["a"]),
        ("a <VOID>*", ["a"]),
    ],
)
def test_the_enumeration_keeps_the_author_s_order_and_goes_round_a_repetition_twice(
    text: str, phrases: list[str]
) -> None:
    assert [path.written for path in expansion(read_expansion(text)).paths()] == phrases


def test_a_repetition_accepts_more_turns_than_are_enumerated() -> None:
    assert expansion(read_expansion("a+")).accepts("a a a a a")


def test_repetitions_of_nothing_end() -> None:
    made = expansion(read_expansion("(([a {x=1}])*)* (<NULL>)+ b"))
    assert made.accepts("b")
    assert made.accepts("a a b")
    assert not made.accepts("a")


def test_a_clash_of_slots_on_the_way_ends_a_run() -> None:
    made = expansion(read_expansion("(left {side=left} | right {side=right})+"))
    assert made.accepts("left left")
    assert not made.accepts("left right")
    assert [path.written for path in made.paths() if path.clash()] == ["left right", "right left"]


def test_written_and_recognised_forms_are_kept_apart() -> None:
    made = Expansion("text", read_expansion('"Nacelle 2" tyre niner'), Lexicon({"nacelle": "na sell"}))
    (path,) = made.paths()
    assert (path.written, path.heard) == ("Nacelle 2 tyre niner", "na sell two tire niner")
    for spelling in ("nacelle two tyre nine", "NACELLE 2, tire niner", "na sell two tire nine"):
        assert made.accepts(spelling)
