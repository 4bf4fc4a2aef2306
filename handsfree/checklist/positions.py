"""How a position is spoken: "tyre two", "left outer tyre", "number two"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handsfree.checklist.compose import Pattern, Patterns, either, maybe, maybe_one, one_after_the_other
from handsfree.checklist.models import Item
from handsfree.language.jsgf_tree import Token


@dataclass(frozen=True, slots=True)
class Spots:
    """The positions of an item as patterns."""

    any_way: Pattern
    """Every way to name one of them, or the thing without a position."""
    taught: tuple[Pattern, ...]
    """One short way for each."""


def spots(item: Item, patterns: Patterns) -> Spots | None:
    """The positions of an item; None when it has neither positions nor a noun for its things.  Raises GrammarError."""
    axes = _Axes(item, patterns)
    ways = axes.ways()
    return Spots(either(ways), tuple(axes.taught())) if ways else None


class _Axes:
    """Side, radial, number and noun of one item, each a pattern or None."""

    def __init__(self, item: Item, patterns: Patterns) -> None:
        self._patterns = patterns
        where = item.positions
        self._sides = [f"<positions.{side}>" for side in where.side]
        self._radials = [f"<positions.{radial}>" for radial in where.radial]
        self._numbers = [f"<positions.n{number}>" for number in where.number]
        self._called = item.called
        self._number = patterns.tongue.number

    def ways(self) -> list[Pattern]:
        noun = self._patterns(self._called) if self._called else None
        side, radial, number = map(self._any_of, (self._sides, self._radials, self._numbers))
        before = maybe_one(self._number)
        numbered = one_after_the_other(before, number) if number else None
        ways: list[Pattern] = []
        if number:
            ways.append(one_after_the_other(*self._word_before_number(), number))
            ways += [one_after_the_other(noun, before, number)] if noun else []
        if side:
            ways.append(_in_a_row(side, radial, noun, numbered))
        if radial:
            ways.append(_in_a_row(radial, noun, numbered))
        return [*ways, noun] if noun else ways

    def taught(self) -> list[Pattern]:
        noun = [self._patterns.first(self._called)] if self._called else []
        sides, radials, numbers = (
            [self._patterns.first(text) for text in texts] for texts in (self._sides, self._radials, self._numbers)
        )
        before_number = noun or self._word_before_number()
        return [
            *(one_after_the_other(*before_number, number) for number in numbers),
            *(one_after_the_other(side, *noun) for side in sides),
            *(one_after_the_other(radial, *noun) for radial in radials),
            *(one_after_the_other(side, radial, *noun) for side in sides for radial in radials),
        ]

    def _word_before_number(self) -> list[Pattern]:
        return [either(map(Token, self._number))] if self._number else []

    def _any_of(self, texts: Sequence[str]) -> Pattern | None:
        return either(map(self._patterns, texts)) if texts else None


def _in_a_row(first: Pattern, *more: Pattern | None) -> Pattern:
    """The first, then each of the others that the item has, if it is said."""
    return one_after_the_other(first, *(maybe(one) for one in more if one is not None))
