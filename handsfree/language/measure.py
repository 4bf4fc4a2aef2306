"""How large a phrase pattern is, counted on its tree without unfolding it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import prod

from handsfree.language.jsgf_tree import Alternatives, Named, Node, Null, Optional, Repeat, Sequence, Tagged, Token


def ways(node: Node) -> int:
    """In how many ways the pattern is enumerated (repetitions as in ``Automaton.paths``; doubles count)."""
    return _measured(node, _ways, {})


def laid_out(node: Node) -> int:
    """How many tokens and branches the pattern has with every reference unfolded: the size of its automaton."""
    return _measured(node, _laid_out, {})


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


def _measured(node: Node, rule: Callable[[Node, list[int]], int], known: dict[int, int]) -> int:
    if id(node) not in known:
        known[id(node)] = rule(node, [_measured(child, rule, known) for child in children(node)])
    return known[id(node)]


def _ways(node: Node, inner: list[int]) -> int:
    match node:
        case Token() | Null():
            return 1
        case Sequence():
            return prod(inner)
        case Optional():
            return inner[0] + 1
        case Repeat(_, least):
            return inner[0] + inner[0] ** 2 + (least == 0)
        case _:
            return sum(inner)


def _laid_out(node: Node, inner: list[int]) -> int:
    match node:
        case Token(text):
            return len(text.split()) + 1
        case _:
            return sum(inner) + 1
