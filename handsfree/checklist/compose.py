"""Phrase patterns put together from smaller ones, and a few examples that stand for very many ways to say a thing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from handsfree.language.errors import GrammarError
from handsfree.language.expansion import Expansion
from handsfree.language.grammars import Grammars
from handsfree.language.jsgf_tree import Alternatives, Named, Node, Null, Optional, Repeat, Sequence, Tagged, Token
from handsfree.language.tongue import Tongue
from handsfree.shown import shortened

Pattern = Node
"""What a phrase pattern is made of."""


class Patterns:
    """Texts to patterns, each text parsed once: many items share the same findings and positions."""

    def __init__(self, grammars: Grammars) -> None:
        self._grammars = grammars
        self._known: dict[str, Expansion] = {}

    @property
    def tongue(self) -> Tongue:
        """The language of the phrases."""
        return self._grammars.lexicon.tongue

    def expansion(self, text: str) -> Expansion:
        """A rule expansion with its references resolved.  Raises GrammarError."""
        if text not in self._known:
            self._known[text] = self._grammars.expansion(text)
        return self._known[text]

    def __call__(self, text: str) -> Pattern:
        """The pattern of a rule expansion.  Raises GrammarError."""
        return self.expansion(text).pattern

    def first(self, text: str) -> Pattern:
        """Only the first way to say an expansion that has any words: the one to teach.  Raises GrammarError."""
        path = next((path for path in self.expansion(text).paths() if path.written), None)
        if path is None:
            raise GrammarError("phrase", 1, 1, f"'{shortened(text)}' has no words to say")
        return Tagged(Token(path.written), path.slots) if path.slots else Token(path.written)

    def whole(self, pattern: Pattern, text: str) -> Expansion:
        """A pattern that was put together, ready for a vocabulary; ``text`` is its name in messages."""
        return Expansion(text, pattern, self._grammars.lexicon)


def either(patterns: Iterable[Pattern]) -> Pattern:
    """One of several."""
    return Alternatives(tuple(patterns))


def one_after_the_other(*patterns: Pattern) -> Pattern:
    """All of them in order."""
    return Sequence(patterns)


def maybe_one(words: Iterable[str]) -> Pattern:
    """One of these words, or none of them."""
    return Optional(either(found)) if (found := tuple(map(Token, words))) else Null()


def maybe(pattern: Pattern) -> Pattern:
    """With it or without."""
    return Optional(pattern)


def examples(pattern: Pattern) -> tuple[Pattern, ...]:
    """A few ways to say a pattern in which every word of it occurs: as many as its longest list of choices.

    Along a sequence the choices of each part take turns, so that different neighbours meet.
    """
    match pattern:
        case Token() | Null():
            found: Iterable[Pattern] = (pattern,)
        case Alternatives(items):
            found = chain.from_iterable(map(examples, items))
        case Sequence(items):
            found = _in_turn([examples(item) for item in items])
        case Optional(item):
            found = (Null(), *examples(item))
        case Repeat(item) | Named(_, item):
            found = examples(item)
        case Tagged(item, slots):
            found = (Tagged(one, slots) for one in examples(item))
        case _:
            found = ()
    return tuple(found)


def tokens(pattern: Pattern) -> Iterator[str]:
    """Everything that is written to be spoken in a pattern, with repeats."""
    match pattern:
        case Token(text):
            yield text
        case Alternatives(items) | Sequence(items):
            for item in items:
                yield from tokens(item)
        case Optional(item) | Repeat(item) | Named(_, item) | Tagged(item):
            yield from tokens(item)
        case _:
            pass


def _in_turn(parts: list[tuple[Pattern, ...]]) -> list[Pattern]:
    """Sequences of one from each part; nothing when a part can never be said."""
    lines = max(map(len, parts)) if all(parts) else 0
    return [Sequence(tuple(part[line % len(part)] for part in parts)) for line in range(lines)]
