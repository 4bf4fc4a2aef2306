"""A phrase pattern ready for use: a rule expansion whose references are resolved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

from handsfree.language.automaton import Automaton, Path
from handsfree.language.errors import GrammarError
from handsfree.language.jsgf_tree import Node
from handsfree.language.measure import Size, measure, named
from handsfree.language.spelling import Lexicon, compared_form
from handsfree.shown import shortened

MOST_PHRASES: Final = 20_000
"""More ways than this to say one pattern are refused; a vocabulary is meant to be heard apart."""
MOST_SILENT: Final = 64
"""Ways through a piece of a pattern without a word."""
_LARGEST: Final = 200_000
_COUNTED_OUT: Final = 10**9


@dataclass(frozen=True)
class Expansion:
    """What ``Grammars.expansion`` makes of a text."""

    text: str
    """As written."""
    pattern: Node = field(repr=False)
    """Without references."""
    lexicon: Lexicon = field(default=Lexicon(), repr=False)

    def check_enumerable(self) -> None:
        """Raise GrammarError, naming the rule, when there are too many phrases to list."""
        if self._size.ways > MOST_PHRASES:
            raise self._beyond(lambda size: size.ways, MOST_PHRASES, "ways to say it; {} can be listed")
        if self._size.silent > MOST_SILENT:
            raise self._beyond(lambda size: size.silent, MOST_SILENT, "ways to say nothing in it; {} can be kept")

    @property
    def ways(self) -> int:
        """In how many ways it is listed."""
        return self._size.ways

    def check_compilable(self) -> None:
        """Raise GrammarError, naming the rule, when the pattern is too large even to compile."""
        if self._size.parts > _LARGEST:
            raise self._beyond(lambda size: size.parts, _LARGEST, "parts when written out; {} can be compiled")

    def paths(self) -> tuple[Path, ...]:
        """All ways to say it, in the author's order; repetitions are bounded as ``Automaton.paths`` says.

        Raises GrammarError when there are too many.
        """
        self.check_enumerable()
        automaton, start = self._compiled
        return tuple(automaton.paths(start))

    def accepts(self, words: str) -> bool:
        """Whether the whole text is one way to say it; any spelling.

        Raises GrammarError when the pattern is too large to compile.
        """
        automaton, _ = self._compiled
        runs = automaton.begin()
        for word in compared_form(words, self.lexicon):
            runs = automaton.feed(runs, word)
        return next(automaton.accepted(runs), None) is not None

    @cached_property
    def _compiled(self) -> tuple[Automaton, int]:
        self.check_compilable()
        automaton = Automaton()
        return automaton, automaton.add(self.pattern, 0, self.lexicon)

    @cached_property
    def _size(self) -> Size:
        return measure(self.pattern)

    def _beyond(self, count: Callable[[Size], int], most: int, what: str) -> GrammarError:
        """The error for a pattern beyond a limit, at the innermost rule that is already beyond it."""
        explained = what.format(most)
        for one in named(self.pattern):
            amount = count(measure(one))
            if amount > most:
                place = one.place
                return GrammarError(place.file, place.line, place.column, f"<{one.rule}>: {_many(amount)} {explained}")
        return GrammarError("phrase", 1, 1, f"'{shortened(self.text)}': {_many(count(self._size))} {explained}")


def _many(count: int) -> str:
    return f"{count}" if count <= _COUNTED_OUT else f"over {_COUNTED_OUT:,}"
