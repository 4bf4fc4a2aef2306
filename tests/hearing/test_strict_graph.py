"""The recogniser's search graph, read back from its file by a reader of its own."""

from __future__ import annotations

import math
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.hearing.settings import PhraseCosts
from handsfree.hearing.strict_graph import UNKNOWN, strict_graph, word_numbers
from handsfree.language.acceptor import Acceptor
from handsfree.language.entries import Kind
from handsfree.language.expansion import Expansion
from handsfree.language.jsgf_reader import read_expansion
from handsfree.language.jsgf_tree import Node
from handsfree.language.vocabulary import Entry, Source, Vocabulary
from tests.language.patterns import WORDS, patterns

COSTS = PhraseCosts()
KINDS: dict[Kind, float] = {"own": 1.0, "general": 2.5, "elsewhere": 6.0}
JOINING = ("and", "but")
NUMBERS = {"<eps>": 0, "and": 40, "but": 7, UNKNOWN: 99} | {word: 10 + at for at, word in enumerate(WORDS)}
"""The words of a model, in no order."""


@dataclass(frozen=True)
class Graph:
    """What the file says."""

    words: dict[str, int]
    arcs: list[list[tuple[int, int, float, int]]]
    """Of each state: input, output, cost, target."""
    finals: list[float]

    def cost(self, text: str) -> float:
        """What these words cost; infinite when they cannot be heard."""
        at, cost = 0, 0.0
        for word in text.split():
            onward = [(price, target) for number, _, price, target in self.arcs[at] if number == self.words.get(word)]
            if not onward:
                return math.inf
            ((price, at),) = onward  # deterministic
            cost += price
        return cost + self.finals[at]


def read(file: bytes) -> Graph:
    """A small reader of OpenFst's files with tables of words (version 2, "vector", "standard", little-endian)."""
    at = 0

    def take(form: str) -> tuple[int | float, ...]:
        nonlocal at
        values = struct.unpack_from(f"<{form}", file, at)
        at += struct.calcsize(f"<{form}")
        return values

    def text() -> str:
        nonlocal at
        (length,) = take("i")
        start, at = at, at + int(length)
        return file[start:at].decode()

    def table() -> dict[str, int]:
        assert take("i") == (2125658996,)
        assert text() == "words"
        next_free, count = take("qq")
        words: dict[str, int] = {}
        for _ in range(int(count)):
            word = text()
            words[word] = int(take("q")[0])
        assert next_free == max(words.values()) + 1
        return words

    assert take("i") == (2125659606,)
    assert (text(), text()) == ("vector", "standard")
    version, flags, _properties, start, states, arcs_said = take("iiQqqq")
    assert (version, flags, start) == (2, 3, 0)
    words = table()
    assert table() == words, "input and output have the same words"
    finals: list[float] = []
    arcs: list[list[tuple[int, int, float, int]]] = []
    for _ in range(int(states)):
        final, count = take("fq")
        finals.append(final)
        arcs.append([(int(i), int(o), float(c), int(t)) for i, o, c, t in (take("iifi") for _ in range(int(count)))])
    assert at == len(file)
    assert arcs_said == sum(map(len, arcs))
    return Graph(words, arcs, finals)


def by_kind(source: Source) -> float:
    return KINDS[source.kind]


def graphed(entries: Sequence[Entry]) -> tuple[Vocabulary, Acceptor, Graph]:
    vocabulary = Vocabulary.build(entries)
    phrases = vocabulary.acceptor(by_kind, {})
    return vocabulary, phrases, read(strict_graph(phrases, NUMBERS, COSTS, JOINING))


def entry(text: str, kind: Kind = "own") -> Entry:
    return Entry(Expansion(text, read_expansion(text)), "finding", kind=kind)


SMALL = (entry("a [b c]"), entry("c", "general"), entry("b a", "elsewhere"))


def test_the_file_has_only_the_words_that_may_be_said_under_the_model_s_numbers() -> None:
    _, _, graph = graphed([entry("a c")])
    assert graph.words == {word: number for word, number in NUMBERS.items() if word != "b"}


def test_the_table_of_words_is_read_back_as_it_is_from_a_model(tmp_path: Path) -> None:
    _, phrases, graph = graphed(SMALL)
    path = tmp_path / "Gr.fst"
    path.write_bytes(strict_graph(phrases, NUMBERS, COSTS, JOINING))
    assert word_numbers(path) == graph.words


def test_a_file_of_another_kind_is_refused(tmp_path: Path) -> None:
    for number, content in enumerate(
        (struct.pack("<i", 1), strict_graph(graphed(SMALL)[1], NUMBERS, COSTS, JOINING)[:40])
    ):
        path = tmp_path / str(number)
        path.write_bytes(content + bytes(80))
        with pytest.raises(ValueError, match=path.name):
            word_numbers(path)


def test_a_word_that_the_model_does_not_know_is_an_error() -> None:
    with pytest.raises(KeyError, match="d"):
        strict_graph(Vocabulary.build([entry("d")]).acceptor(by_kind, {}), NUMBERS, COSTS, JOINING)


def test_it_is_laid_as_the_search_needs_it() -> None:
    """Words in and out are the same, none is empty, each leads one way, they are sorted, and no cost is negative."""
    _, _, graph = graphed(SMALL)
    for leaving in graph.arcs:
        numbers = [word for word, _, _, _ in leaving]
        assert numbers == sorted(set(numbers))
        assert all(word == out and word > 0 and cost >= 0.0 for word, out, cost, _ in leaving)
    assert min(graph.finals) >= 0.0


def test_a_phrase_costs_what_its_kind_costs_and_its_beginning_cannot_be_heard_alone() -> None:
    _, _, graph = graphed(SMALL)
    assert graph.cost("a") == graph.cost("a b c") == KINDS["own"]
    assert graph.cost("c") == KINDS["general"]
    assert graph.cost("b a") == KINDS["elsewhere"]
    for beginning in ("a b", "b"):
        assert graph.cost(beginning) == math.inf


def test_a_cost_is_paid_as_soon_as_it_is_certain() -> None:
    """The search drops what is dear early only if it learns of it early."""
    _, _, graph = graphed(SMALL)
    first = {number: price for number, _, price, _ in graph.arcs[0]}
    assert first[NUMBERS["b"]] == KINDS["elsewhere"]
    assert first[NUMBERS["a"]] == KINDS["own"]


def test_silence_and_unknown_words_can_be_heard() -> None:
    _, _, graph = graphed(SMALL)
    assert graph.cost("") == 0.0
    assert graph.cost("[unk]") == COSTS.unknown_word
    assert graph.cost("[unk] [unk]") == 2 * COSTS.unknown_word
    assert graph.cost("[unk] a [unk]") == 2 * COSTS.unknown_word + KINDS["own"]
    assert graph.cost("a b [unk]") == math.inf, "in the middle of a phrase no word can be missed"


def test_a_second_thing_can_be_said_in_one_breath_at_a_price() -> None:
    _, _, graph = graphed(SMALL)
    both = KINDS["own"] + KINDS["general"] + COSTS.further_clause
    assert graph.cost("a c") == graph.cost("a and c") == graph.cost("c but a b c") == both
    for dangling in ("and a", "a and", "a and but c"):
        assert graph.cost(dangling) == math.inf


def test_an_unknown_word_between_two_things_makes_neither_cheaper() -> None:
    """Otherwise the breath between two clauses would be heard as a word, and the clear answer be asked about."""
    _, _, graph = graphed(SMALL)
    for filled, plain in (("a [unk] c", "a c"), ("a [unk] [unk] c", "a [unk] c"), ("[unk] a c", "a c")):
        assert graph.cost(filled) == graph.cost(plain) + COSTS.unknown_word


def test_a_word_with_which_a_phrase_goes_on_begins_no_other_phrase_there() -> None:
    """Each text leads one way; after "and" it can be said all the same."""
    _, _, graph = graphed(SMALL)
    assert graph.cost("a b a") == math.inf
    assert graph.cost("a and b a") < math.inf


SAYABLE = (*WORDS, "and")
UP_TO_FOUR_WORDS = [" ".join(words) for length in range(1, 5) for words in product(SAYABLE, repeat=length)]


def unlisted(pattern: Node, kind: Kind = "own") -> Entry:
    return Entry(Expansion("random", pattern), "finding", kind=kind, listed=False)


ENTRIES = st.lists(st.builds(unlisted, patterns, st.sampled_from(tuple(KINDS))), min_size=1, max_size=3)


def accepted_cost(phrases: Acceptor, text: str) -> float | None:
    at = 0
    for word in text.split():
        if word not in phrases[at].arcs:
            return None
        at = phrases[at].arcs[word]
    return phrases[at].cost


@given(ENTRIES)
@settings(max_examples=60, deadline=None)
def test_whatever_can_be_heard_is_understood_and_each_phrase_keeps_its_cost(entries: list[Entry]) -> None:
    vocabulary, phrases, graph = graphed(entries)
    for text in UP_TO_FOUR_WORDS:
        cost = accepted_cost(phrases, text)
        if cost is not None:
            assert graph.cost(text) == pytest.approx(cost), text
        if graph.cost(text) < math.inf:
            assert vocabulary.parse(text).clauses, text


@given(patterns)
@settings(max_examples=60, deadline=None)
def test_no_arc_gives_anything_back(pattern: Node) -> None:
    _, _, graph = graphed([unlisted(pattern), *SMALL])
    assert all(cost >= 0.0 for leaving in graph.arcs for _, _, cost, _ in leaving)
    assert all(final >= 0.0 for final in graph.finals)
