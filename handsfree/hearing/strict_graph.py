"""The search graph of one moment: whole phrases, each with a cost, and unknown words; in OpenFst's binary form.

Vosk's own phrase lists become a two-word model, in which pieces recombine ("fluid leak on the left slat" from a list
that has only "strut") and come back alone.  In this graph only whole phrases and their beginnings can be heard, one
after the other, so that what is heard so far is exactly what the grammar says may be said so far.  Costs are natural
logarithms: a phrase that costs 1 more must fit the sound e times better.
"""

from __future__ import annotations

import heapq
import math
import struct
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import BinaryIO

from handsfree.hearing.settings import PhraseCosts
from handsfree.language.acceptor import Acceptor

UNKNOWN = "[unk]"
"""The model's word for a sound that is none of the others."""

# OpenFst's file format, version 2 of a vector machine (fst/vector-fst.h, fst/symbol-table.cc); little-endian.
_FST_MAGIC = 2125659606
_SYMBOLS_MAGIC = 2125658996
_HEADER = struct.Struct("<iiQqqq")  # version, flags, properties, start, states, arcs
_STATE = struct.Struct("<fq")  # cost of ending here, arcs
_ARC = struct.Struct("<iifi")  # input, output, cost, target
_SYMBOLS_FOLLOW = 3
_EXPANDED_MUTABLE = 3

_Arc = tuple[int, float, int]
"""A word's number, what it costs, and where it leads; sorted by word, as the search needs them."""


def word_numbers(graph: Path) -> dict[str, int]:
    """The words that a model's own graph knows, and their numbers, from the table in its file.

    Raises OSError when it cannot be read, ValueError when it is no such file.
    """
    with graph.open("rb") as file:
        if _number(file, "<i") != _FST_MAGIC:
            raise ValueError(f"{graph.name} is not a graph of words")
        for _ in ("kind of graph", "kind of costs"):
            _text(file)
        file.read(_HEADER.size)
        if _number(file, "<i") != _SYMBOLS_MAGIC:
            raise ValueError(f"{graph.name} holds no table of words")
        _text(file)
        _number(file, "<q")
        count = _number(file, "<q")
        return {_text(file): _number(file, "<q") for _ in range(count)}


def strict_graph(
    phrases: Acceptor, numbers: Mapping[str, int], costs: PhraseCosts, joining_words: Iterable[str]
) -> bytes:
    """The file of the graph; ``joining_words`` may stand between two phrases.

    Words that the model does not know must not be in the phrases; raises KeyError.
    """
    known = [word for word in joining_words if word in numbers]
    arcs, finals = _weighted(phrases, numbers)
    beginnings = tuple(arcs[0])
    complete = {at: final for at, final in enumerate(finals) if at and final < math.inf}
    _add_silence_and_unknown_words(arcs, finals, beginnings, complete, numbers[UNKNOWN], costs)
    joining = [numbers[word] for word in known]
    _add_further_clauses(arcs, finals, beginnings, complete, joining, costs.further_clause)
    words = {word for state in phrases for word in state.arcs} | {"<eps>", UNKNOWN, *known}
    return _file(arcs, finals, _symbols(words, numbers))


def _weighted(phrases: Acceptor, numbers: Mapping[str, int]) -> tuple[list[list[_Arc]], list[float]]:
    """The phrases with each cost as near their beginning as it is certain, so that the search can use it early."""
    ahead = _cheapest_ends(phrases)
    arcs = [
        [(numbers[word], ahead[target] - (ahead[at] if at else 0.0), target) for word, target in state.arcs.items()]
        for at, state in enumerate(phrases)
    ]
    finals = [math.inf if state.cost is None else state.cost - ahead[at] for at, state in enumerate(phrases)]
    return arcs, finals


def _cheapest_ends(phrases: Acceptor) -> list[float]:
    """For each state what the cheapest phrase through it costs (Dijkstra's algorithm, backwards)."""
    sources: list[list[int]] = [[] for _ in phrases]
    for at, state in enumerate(phrases):
        for target in state.arcs.values():
            sources[target].append(at)
    ahead = [math.inf if state.cost is None else state.cost for state in phrases]
    waiting = [(cost, at) for at, cost in enumerate(ahead) if cost < math.inf]
    heapq.heapify(waiting)
    while waiting:
        cost, at = heapq.heappop(waiting)
        for source in sources[at]:
            if cost < ahead[source]:
                ahead[source] = cost
                heapq.heappush(waiting, (cost, source))
    return ahead


def _add_silence_and_unknown_words(  # noqa: PLR0913, PLR0917  # what the whole is made of
    arcs: list[list[_Arc]],
    finals: list[float],
    beginnings: Sequence[_Arc],
    complete: Mapping[int, float],
    unknown: int,
    costs: PhraseCosts,
) -> None:
    """Nothing at all may be said, and any number of unknown words before, between and after phrases."""
    finals[0] = 0.0  # otherwise silence would have to be some word
    before, after = len(arcs), len(arcs) + 1
    arcs.append([(unknown, costs.unknown_word, before), *beginnings])
    arcs.append([(unknown, costs.unknown_word, after), *_dearer(beginnings, costs.further_clause)])
    finals += [0.0, 0.0]
    arcs[0].append((unknown, costs.unknown_word, before))
    for at, final in complete.items():
        arcs[at].append((unknown, final + costs.unknown_word, after))


def _add_further_clauses(  # noqa: PLR0913, PLR0917  # what the whole is made of
    arcs: list[list[_Arc]],
    finals: list[float],
    beginnings: Sequence[_Arc],
    complete: Mapping[int, float],
    joining: Sequence[int],
    cost: float,
) -> None:
    """After a whole phrase another may begin, unless the word goes on with the phrase itself."""
    joined = len(arcs)
    arcs.append(list(beginnings))
    finals.append(math.inf)
    next_words = [*beginnings, *((word, 0.0, joined) for word in joining)]
    for at, final in complete.items():
        taken = {word for word, _, _ in arcs[at]}
        arcs[at] += _dearer((arc for arc in next_words if arc[0] not in taken), final + cost)


def _dearer(arcs: Iterable[_Arc], cost: float) -> list[_Arc]:
    return [(word, price + cost, target) for word, price, target in arcs]


def _symbols(words: set[str], numbers: Mapping[str, int]) -> bytes:
    table = sorted((numbers[word], word) for word in words)
    head = struct.pack("<i", _SYMBOLS_MAGIC) + _packed("words") + struct.pack("<qq", table[-1][0] + 1, len(table))
    return head + b"".join(_packed(word) + struct.pack("<q", number) for number, word in table)


def _file(arcs: Sequence[Sequence[_Arc]], finals: Sequence[float], symbols: bytes) -> bytes:
    header = _HEADER.pack(2, _SYMBOLS_FOLLOW, _EXPANDED_MUTABLE, 0, len(arcs), sum(map(len, arcs)))
    parts = [struct.pack("<i", _FST_MAGIC), _packed("vector"), _packed("standard"), header, symbols, symbols]
    for leaving, final in zip(arcs, finals, strict=True):
        parts.append(_STATE.pack(final, len(leaving)))
        parts += (_ARC.pack(word, word, cost, target) for word, cost, target in sorted(leaving))
    return b"".join(parts)


def _packed(text: str) -> bytes:
    encoded = text.encode()
    return struct.pack("<i", len(encoded)) + encoded


def _text(file: BinaryIO) -> str:
    return file.read(_number(file, "<i")).decode()


def _number(file: BinaryIO, form: str) -> int:
    (value,) = struct.unpack(form, file.read(struct.calcsize(form)))
    return int(value)
