"""What a recogniser searches in: all that can be said as a deterministic acceptor, against the strict parse."""

from __future__ import annotations

from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.language.acceptor import Acceptor
from handsfree.language.entries import Kind
from handsfree.language.expansion import Expansion
from handsfree.language.grammars import Grammars
from handsfree.language.jsgf_reader import read_expansion
from handsfree.language.jsgf_tree import Node
from handsfree.language.spelling import Lexicon
from handsfree.language.vocabulary import Entry, NumberEntry, Source, Vocabulary
from tests.language.patterns import WORDS, patterns

UP_TO_FIVE_WORDS = [" ".join(words) for length in range(1, 6) for words in product(WORDS, repeat=length)]
COSTS: dict[Kind, float] = {"own": 1.0, "general": 2.0, "denied": 3.0, "before": 4.0, "elsewhere": 5.0}
STRANGER_COST = 9.0


def by_kind(source: Source) -> float:
    return COSTS[source.kind]


def acceptor(*entries: Entry, numbers: tuple[NumberEntry, ...] = (), strangers: tuple[str, ...] = ()) -> Acceptor:
    vocabulary = Vocabulary.build(entries, numbers, strangers)
    return vocabulary.acceptor(by_kind, dict.fromkeys(vocabulary.strangers, STRANGER_COST))


def entry(text: str, kind: Kind = "own") -> Entry:
    return Entry(Expansion(text, read_expansion(text)), "finding", kind=kind)


def cost(states: Acceptor, words: str) -> float | None:
    """What these words cost as one phrase; None when they are none."""
    at = 0
    for word in words.split():
        if word not in states[at].arcs:
            return None
        at = states[at].arcs[word]
    return states[at].cost


def test_each_phrase_has_its_cost_and_its_beginning_has_none() -> None:
    states = acceptor(entry("cut [on tyre two]"), entry("leak", "general"))
    assert cost(states, "cut") == cost(states, "cut on tire two") == COSTS["own"]
    assert cost(states, "leak") == COSTS["general"]
    for words in ("", "cut on", "cut on tire", "on tire two", "leak cut", "tire"):
        assert cost(states, words) is None


def test_words_that_mean_several_things_cost_as_much_as_the_cheapest() -> None:
    states = acceptor(entry("worn", "elsewhere"), entry("worn", "before"), entry("worn out", "elsewhere"))
    assert cost(states, "worn") == COSTS["before"]
    assert cost(states, "worn out") == COSTS["elsewhere"]


def test_words_are_those_of_the_recogniser() -> None:
    lexicon = Lexicon({"nacelle": "na sell"})
    made = Expansion("text", read_expansion("nacelle tyre niner"), lexicon)
    states = acceptor(Entry(made, "finding"))
    assert cost(states, "na sell tire niner") == COSTS["own"]
    assert cost(states, "nacelle tyre niner") is None


def test_what_is_too_much_to_list_is_all_in_it(grammars: Grammars) -> None:
    anywhere = grammars.expansion("<findings.any> [<positions.side>] [<positions.number>] [<positions.radial>]")
    states = acceptor(Entry(anywhere, "finding", listed=False))
    assert cost(states, "fuel leak left two") == COSTS["own"]
    assert len(states) < 500


def test_numbers_are_in_it_in_each_way_to_say_them(grammars: Grammars) -> None:
    psi = NumberEntry(None, grammars.expansion("psi"), Decimal(0), Decimal(300), Decimal(5), "number")
    states = acceptor(numbers=(psi,))
    for words in ("one eight five", "one hundred eighty five psi", "one hundred and eighty five"):
        assert cost(states, words) == COSTS["own"]
    assert cost(states, "one eight four") is None


def test_strangers_are_heard_at_their_cost_and_mean_nothing() -> None:
    vocabulary = Vocabulary.build([entry("cut"), entry("cut open", "elsewhere")], strangers=["cut off", "cup"])
    states = vocabulary.acceptor(by_kind, {"cut off": STRANGER_COST})
    assert cost(states, "cut off") == STRANGER_COST
    assert not vocabulary.parse("cut off").clauses
    assert cost(states, "cut") == COSTS["own"]
    assert cost(states, "cup") is None, "a recogniser that does not know the word does without"


def test_words_that_contradict_each_other_are_in_it_and_the_strict_parse_refuses_them() -> None:
    sides = Entry(
        Expansion("text", read_expansion("(left {side=left} | right {side=right})+")), "finding", listed=False
    )
    vocabulary = Vocabulary.build([sides])
    assert cost(vocabulary.acceptor(by_kind, {}), "left right") == COSTS["own"]
    assert len(vocabulary.parse("left right").clauses) == 2, "not one thing, but two"


@given(patterns)
@settings(max_examples=100, deadline=None)
def test_every_state_leads_to_the_end_of_a_phrase(pattern: Node) -> None:
    random = Entry(Expansion("random", pattern), "finding", listed=False)
    states = acceptor(random, entry("c [c]"), strangers=("b c",))
    ends = {at for at, state in enumerate(states) if state.cost is not None}
    for _ in states:
        ends |= {at for at, state in enumerate(states) if ends & set(state.arcs.values())}
    assert ends == set(range(len(states)))


KINDS: st.SearchStrategy[Kind] = st.sampled_from(tuple(COSTS))


@given(st.lists(st.tuples(patterns, KINDS), min_size=1, max_size=3))
@settings(max_examples=60, deadline=None)
def test_it_accepts_what_the_strict_parse_understands_as_one_clause(made: list[tuple[Node, Kind]]) -> None:
    """The slow oracle says it of every text up to five words, and each costs as much as its cheapest pattern."""
    expansions: list[tuple[Expansion, Kind]] = [(Expansion("random", pattern), kind) for pattern, kind in made]
    vocabulary = Vocabulary.build([Entry(one, "finding", kind=kind, listed=False) for one, kind in expansions])
    states = vocabulary.acceptor(by_kind, {})
    for text in UP_TO_FIVE_WORDS:
        parse = vocabulary.parse(text)
        one_clause = bool(parse.clauses) and "," not in parse.text
        assert (cost(states, text) is not None) == one_clause, text
        if one_clause:
            assert cost(states, text) == min(COSTS[kind] for one, kind in expansions if one.accepts(text)), text


@pytest.mark.parametrize("twice", [entry("(a | b)+"), entry("a b* | a b b")], ids=["a loop", "two ways"])
def test_it_is_small_however_many_ways_lead_to_the_same(twice: Entry) -> None:
    assert len(acceptor(twice)) <= 4
