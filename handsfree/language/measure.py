"""How large a phrase pattern is, counted on its tree without unfolding it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

from handsfree.language.jsgf_tree import Alternatives, Named, Node, Null, Optional, Repeat, Sequence, Tagged, Token

_COUNTED: Final = 10**12
"""Counts stop here: repetitions inside each other square them, again and again."""


class Size(NamedTuple):
    """Counts, all with every reference unfolded."""

    ways: int
    """In how many ways the pattern is enumerated (repetitions as in ``Automaton.paths``; doubles count)."""
    parts: int
    """How many words and branches the pattern has: the size of its automaton."""
    through: int
    """In how many ways it is gone through without a word."""
    silent: int
    """The same of the piece of it that has most: each may add other slots, and all are kept at once."""


def measure(node: Node) -> Size:
    """The size of a pattern."""
    return _measured(node, {})


def children(node: Node) -> tuple[Node, ...]:
    """The patterns directly inside."""
    match node:
        case Sequence(items) | Alternatives(items):
            return items
        case Named() | Optional() | Repeat() | Tagged():
            return (node.item,)
        case _:
            return ()


def named(node: Node) -> Iterator[Named]:
    """The referenced rules inside a pattern, each once, inner ones first."""
    seen: set[int] = set()

    def visit(one: Node) -> Iterator[Named]:
        if id(one) in seen:
            return
        seen.add(id(one))
        for child in children(one):
            yield from visit(child)
        if isinstance(one, Named):
            yield one

    return visit(node)


def _measured(node: Node, known: dict[int, Size]) -> Size:
    if id(node) not in known:
        inner = [_measured(child, known) for child in children(node)]
        parts = len(node.text.split()) if isinstance(node, Token) else 0
        through = min(_COUNTED, _through(node, [size.through for size in inner]))
        pieces = _product([max(1, size.through) for size in inner]) if isinstance(node, Sequence) else through
        known[id(node)] = Size(
            ways=min(_COUNTED, _ways(node, [size.ways for size in inner])),
            parts=min(_COUNTED, sum(size.parts for size in inner) + parts + 1),
            through=through,
            silent=max([pieces, *(size.silent for size in inner)]),
        )
    return known[id(node)]


def _ways(node: Node, inner: list[int]) -> int:
    match node:
        case Token() | Null():
            return 1
        case Sequence():
            return _product(inner)
        case Optional():
            return inner[0] + 1
        case Repeat(_, least):
            return inner[0] + inner[0] ** 2 + (least == 0)
        case _:
            return sum(inner)


def _through(node: Node, inner: list[int]) -> int:
    match node:
        case Token():
            return 0
        case Repeat(_, least):
            return inner[0] + (least == 0)
        case _:
            return _ways(node, inner)


def _product(counts: list[int]) -> int:
    product = 1
    for count in counts:
        product = min(_COUNTED, product * count)
    return product
