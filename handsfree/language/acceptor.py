"""A vocabulary as a deterministic acceptor of words, each complete phrase with a cost: what a recogniser searches in.

Every way to say something is in it, also those too many to list ("any finding at any place").  Slots are left out: they
say what words mean, and the strict parse finds them again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from handsfree.language.automaton import Automaton


@dataclass(frozen=True, slots=True)
class State:
    """A point between two words."""

    cost: float | None
    """What the phrase that ends here costs, at its cheapest; None when none does."""
    arcs: Mapping[str, int]
    """Each word (as the recogniser spells it) that may follow, and the number of the state that it leads to."""


Acceptor = Sequence[State]
"""Deterministic; begins at state 0."""


def acceptor(automaton: Automaton, cost: Callable[[int], float], strangers: Mapping[str, float]) -> Acceptor:
    """The subset construction; ``cost`` gives what a pattern costs by its label; strangers are plain phrases."""
    numbers: dict[_Subset, int] = {}
    waiting: list[_Subset] = []

    def number(subset: _Subset) -> int:
        if subset not in numbers:
            numbers[subset] = len(numbers)
            waiting.append(subset)
        return numbers[subset]

    tree = _Tree(strangers)
    states: dict[int, State] = {}
    number(_Subset(automaton.reached_without_a_word({0}), 0))
    while waiting:
        subset = waiting.pop()
        costs = [cost(label) for label in automaton.labels_at(subset.states)]
        costs += [tree.ends[subset.stranger]] if subset.stranger in tree.ends else []
        moves = automaton.heard_from(subset.states)
        further = tree.arcs[subset.stranger] if subset.stranger is not None else {}
        arcs = {
            word: number(_Subset(moves.get(word, frozenset()), further.get(word)))
            for word in dict.fromkeys((*moves, *further))
        }
        states[numbers[subset]] = State(min(costs, default=None), arcs)
    return tuple(states[at] for at in range(len(states)))


@dataclass(frozen=True, slots=True)
class _Subset:
    states: frozenset[int]
    """Of the automaton."""
    stranger: int | None
    """The place in the tree of strangers; None when these words begin none."""


class _Tree:
    """Plain phrases by their words."""

    def __init__(self, phrases: Mapping[str, float]) -> None:
        self.arcs: list[dict[str, int]] = [{}]
        self.ends: dict[int | None, float] = {}
        for phrase, cost in phrases.items():
            at = 0
            for word in phrase.split():
                if word not in self.arcs[at]:
                    self.arcs[at][word] = len(self.arcs)
                    self.arcs.append({})
                at = self.arcs[at][word]
            self.ends[at] = cost
