"""Phrase patterns compiled to one automaton: it recognises, says what may follow, and enumerates.

A non-deterministic automaton after Thompson.  An arc takes one word, or none; arcs without a word may carry slots.
Acceptance carries the label of the pattern that accepted.  Words are compared in their compared form; arcs remember how
they are written and what the recogniser is given.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from handsfree.language.jsgf_tree import (
    Alternatives,
    Named,
    Node,
    Null,
    Optional,
    Repeat,
    Sequence,
    Tagged,
    Token,
)
from handsfree.language.spelling import Lexicon, plain_digit

Slots = tuple[tuple[str, str], ...]


class Path(NamedTuple):
    """One way to say something."""

    written: str
    heard: str
    """As the recogniser spells it."""
    slots: Slots
    """In the order met; the same name twice with different values is a clash."""

    def clash(self) -> str | None:
        """The name of a slot that has two values, or None."""
        return clashing(self.slots)


def clashing(slots: Slots) -> str | None:
    """The name of a slot that has two values, or None."""
    values: dict[str, str] = {}
    return next((name for name, value in slots if values.setdefault(name, value) != value), None)


class Run(NamedTuple):
    """A point inside the automaton while words are fed: where, with what collected on the way."""

    state: int
    slots: Slots
    written: tuple[str, ...]


class Accepted(NamedTuple):
    """A pattern that ends here."""

    label: int
    slots: Slots
    written: str


class _WordArc(NamedTuple):
    word: str
    heard: str
    written: str
    """Empty on the second and later words of one written token."""
    target: int


class _FreeArc(NamedTuple):
    target: int
    slots: Slots
    back: bool
    """Goes round a repetition once more."""


class _Move(NamedTuple):
    slots: Slots
    written: str
    target: int


@dataclass
class Automaton:
    """Grows by ``add``; then answers questions.  Adding after asking is an error of the caller."""

    _words: list[list[_WordArc]] = field(default_factory=lambda: [[]])
    _free: list[list[_FreeArc]] = field(default_factory=lambda: [[]])
    _labels: dict[int, int] = field(default_factory=dict[int, int])
    _has_dead_ends: bool = False
    """Whether something was laid that can never be completed."""
    _moves: dict[int, dict[str, list[_Move]]] = field(default_factory=dict[int, dict[str, list[_Move]]])
    _ends: dict[int, list[tuple[int, Slots]]] = field(default_factory=dict[int, list[tuple[int, Slots]]])

    # Building

    def add(self, pattern: Node, label: int, lexicon: Lexicon) -> int:
        """Add a pattern; returns its own start state (for ``paths``)."""
        start = self._fork(0)
        self._labels[self._node(pattern, start, lexicon)] = label
        return start

    def add_between(
        self, before: Node, middle: Iterable[tuple[str, Slots]], after: Node, label: int, lexicon: Lexicon
    ) -> None:
        """Add a pattern whose middle is one of many plain word strings in recognised form, each with its slots."""
        start = self._node(before, self._fork(0), lexicon)
        end = self._state()
        tree: dict[tuple[int, str], int] = {}
        for text, slots in middle:
            state = start
            for word in text.split():
                if (state, word) not in tree:
                    tree[state, word] = self._step(state, plain_digit(word), word, word)
                state = tree[state, word]
            self._free[state].append(_FreeArc(end, slots, back=False))
        self._labels[self._node(after, end, lexicon)] = label

    def _state(self) -> int:
        self._words.append([])
        self._free.append([])
        return len(self._words) - 1

    def _fork(self, state: int) -> int:
        target = self._state()
        self._free[state].append(_FreeArc(target, (), back=False))
        return target

    def _step(self, state: int, word: str, heard: str, written: str) -> int:
        target = self._state()
        self._words[state].append(_WordArc(word, heard, written, target))
        return target

    def _join(self, state: int, target: int, slots: Slots = (), *, back: bool = False) -> None:
        self._free[state].append(_FreeArc(target, slots, back))

    def _node(self, node: Node, start: int, lexicon: Lexicon) -> int:
        """Lay a pattern from ``start``; returns the state where it ends."""
        match node:
            case Token(text):
                return self._token(text, start, lexicon)
            case Null():
                return start
            case Named(_, item, _):
                return self._node(item, start, lexicon)
            case Sequence(items):
                for item in items:
                    start = self._node(item, start, lexicon)
                return start
            case _:
                end = self._state()
                self._between(start, end, node, lexicon)
                return end

    def _between(self, start: int, end: int, node: Node, lexicon: Lexicon) -> None:
        """Lay a branching pattern; the shortest way first, for it is enumerated first.

        Nothing is laid for ``<VOID>``: no way leads from start to end.
        """
        match node:
            case Alternatives(items):
                for item in items:
                    self._join(self._node(item, self._fork(start), lexicon), end)
            case Optional(item):
                self._join(start, end)
                self._join(self._node(item, self._fork(start), lexicon), end)
            case Repeat(item, least):
                if least == 0:
                    self._join(start, end)
                first = self._fork(start)
                last = self._node(item, first, lexicon)
                self._join(last, end)
                self._join(last, first, back=True)
            case Tagged(item, slots):
                self._join(self._node(item, start, lexicon), end, slots)
            case _:
                self._has_dead_ends = True

    def _token(self, text: str, start: int, lexicon: Lexicon) -> int:
        written = text
        for heard in lexicon.token(text):
            start = self._step(start, plain_digit(heard), heard, written)
            written = ""
        return start

    # Asking

    def begin(self) -> list[Run]:
        """The point before the first word."""
        return [Run(0, (), ())]

    def feed(self, runs: Iterable[Run], word: str) -> list[Run]:
        """Where a word (in compared form) leads; runs whose slots clash, and doubles, are dropped."""
        after: dict[tuple[int, Slots], Run] = {}
        for run in runs:
            for move in self._moves_from(run.state).get(word, ()):
                slots = _together(run.slots, move.slots)
                if slots is not None:
                    written = (*run.written, move.written) if move.written else run.written
                    after.setdefault((move.target, slots), Run(move.target, slots, written))
        return list(after.values())

    def accepted(self, runs: Iterable[Run]) -> Iterator[Accepted]:
        """The patterns that may end at these runs."""
        for run in runs:
            self._moves_from(run.state)
            for label, more in self._ends[run.state]:
                slots = _together(run.slots, more)
                if slots is not None:
                    yield Accepted(label, slots, " ".join(run.written))

    def can_grow(self, runs: Iterable[Run]) -> bool:
        """Whether some pattern goes on with a further word from here."""
        return any(self._moves_from(run.state) for run in runs)

    def reached_without_a_word(self, states: Iterable[int]) -> frozenset[int]:
        """These states and all that they lead to without a word, as far as something goes on or ends there."""
        seen = set(states)
        waiting = list(seen)
        while waiting:
            fresh = [
                arc.target for arc in self._free[waiting.pop()] if arc.target in self._alive and arc.target not in seen
            ]
            seen.update(fresh)
            waiting.extend(fresh)
        return frozenset(state for state in seen if self._words[state] or state in self._labels)

    def labels_at(self, states: Iterable[int]) -> list[int]:
        """The labels of the patterns that end at these states."""
        return [self._labels[state] for state in states if state in self._labels]

    def heard_from(self, states: Iterable[int]) -> dict[str, frozenset[int]]:
        """Where each word, as the recogniser spells it, leads from these states, arcs without a word followed."""
        moves: dict[str, set[int]] = {}
        for state in states:
            for arc in self._words[state]:
                if arc.target in self._alive:
                    moves.setdefault(arc.heard, set()).add(arc.target)
        return {word: self.reached_without_a_word(targets) for word, targets in moves.items()}

    def paths(self, start: int) -> Iterator[Path]:
        """All ways to say the pattern that begins at ``start``, in the author's order, the shorter way first.

        A repetition is gone round at most twice: ``x*`` gives nothing, x, x x; ``x+`` gives x, x x; an inner repetition
        counts over the whole phrase.  Slots are given as met, clashes included.
        """
        waiting: list[tuple[int, Path, frozenset[tuple[int, int]]]] = [(start, Path("", "", ()), frozenset())]
        while waiting:
            state, path, taken = waiting.pop()
            if state in self._labels:
                yield path
            onward = [
                (
                    arc.target,
                    Path(_join_words(path.written, arc.written), _join_words(path.heard, arc.heard), path.slots),
                    taken,
                )
                for arc in self._words[state]
                if arc.target in self._alive
            ]
            for arc in self._free[state]:
                key = (state, arc.target)
                if arc.target in self._alive and not (arc.back and key in taken):
                    more = taken | {key} if arc.back else taken
                    onward.append((arc.target, path._replace(slots=path.slots + arc.slots), more))
            waiting.extend(reversed(onward))

    @cached_property
    def _alive(self) -> Container[int]:
        """States from which some pattern can still be completed."""
        if not self._has_dead_ends:
            return range(len(self._words))
        sources: list[list[int]] = [[] for _ in self._words]
        for state, (words, free) in enumerate(zip(self._words, self._free, strict=True)):
            for arc in (*words, *free):
                sources[arc.target].append(state)
        alive = set(self._labels)
        waiting = list(alive)
        while waiting:
            fresh = [source for source in sources[waiting.pop()] if source not in alive]
            alive.update(fresh)
            waiting.extend(fresh)
        return alive

    def _moves_from(self, state: int) -> dict[str, list[_Move]]:
        """The words that may follow a state, through arcs without words; found once, then remembered."""
        if state not in self._moves:
            moves: dict[str, list[_Move]] = {}
            ends: list[tuple[int, Slots]] = []
            for reached, slots in self._closure(state):
                if reached in self._labels:
                    ends.append((self._labels[reached], slots))
                for arc in self._words[reached]:
                    if arc.target in self._alive:
                        moves.setdefault(arc.word, []).append(_Move(slots, arc.written, arc.target))
            self._moves[state], self._ends[state] = moves, ends
        return self._moves[state]

    def _closure(self, state: int) -> list[tuple[int, Slots]]:
        """The state and all that it reaches without a word, with the slots met on the way."""
        seen: dict[tuple[int, Slots], None] = {(state, ()): None}
        waiting: list[tuple[int, Slots]] = [(state, ())]
        while waiting:
            here, slots = waiting.pop()
            for arc in self._free[here]:
                more = _together(slots, arc.slots)
                if more is not None and (arc.target, more) not in seen:
                    seen[arc.target, more] = None
                    waiting.append((arc.target, more))
        return list(seen)


def _together(slots: Slots, more: Slots) -> Slots | None:
    """Both sets of slots, sorted; None when a name would have two values."""
    if not more:
        return slots
    merged = dict(slots)
    for name, value in more:
        if merged.setdefault(name, value) != value:
            return None
    return tuple(sorted(merged.items()))


def _join_words(left: str, right: str) -> str:
    return f"{left} {right}" if left and right else left or right
