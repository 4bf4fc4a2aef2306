"""One order against another: how far apart, what is missing, what must be moved."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb, sqrt


@dataclass(frozen=True, slots=True)
class Order:
    """The way that was gone, against the way that was expected."""

    distance: int
    """Insertions, deletions and substitutions from the one to the other."""
    tau: float | None
    """Kendall's τ-b of what is in both: 1 = the same order, -1 = backwards; None with fewer than two in common."""
    omitted: tuple[str, ...]
    """Expected, and never come to; in the order expected."""
    out_of_place: tuple[str, ...]
    """The fewest that must be moved for the rest to be in order; in the order gone."""


def compare(went: Sequence[str], expected: Sequence[str]) -> Order:
    """Compare two ways, by the names of the places.

    Of what comes several times in one, the first time has its place in the order, and the distance counts all.  Where
    the fewest can be chosen in several ways, those that came too early are out of place: of two that were swapped, the
    one that was gone to first.
    """
    due = {element: place for place, element in enumerate(dict.fromkeys(expected))}
    first = tuple(element for element in dict.fromkeys(went) if element in due)
    places = [due[element] for element in first]
    kept = _longest_rise(places)
    return Order(
        distance=edit_distance(went, expected),
        tau=kendall_tau(range(len(places)), places),
        omitted=tuple(element for element in due if element not in first),
        out_of_place=tuple(element for number, element in enumerate(first) if number not in kept),
    )


def edit_distance(one: Sequence[Hashable], other: Sequence[Hashable]) -> int:
    """Insertions, deletions and substitutions of one element that turn one into the other (Levenshtein, 1966)."""
    before = list(range(len(other) + 1))
    for row, element in enumerate(one, start=1):
        now = [row]
        for column, counterpart in enumerate(other, start=1):
            now.append(min(before[column] + 1, now[-1] + 1, before[column - 1] + (element != counterpart)))
        before = now
    return before[-1]


def kendall_tau(one: Sequence[float], other: Sequence[float]) -> float | None:
    """Kendall's τ-b (1945), which allows for ties: -1 to 1; None where either has nothing to rank.

    Different lengths are a ValueError.
    """
    pairs = list(zip(one, other, strict=True))
    agreement = sum(_sign(b - a) * _sign(d - c) for (a, c), (b, d) in combinations(pairs, 2))
    untied = _untied(one) * _untied(other)
    return agreement / sqrt(untied) if untied else None


def _sign(number: float) -> int:
    return (number > 0) - (number < 0)


def _untied(values: Sequence[float]) -> int:
    """Pairs of different values."""
    return comb(len(values), 2) - sum(comb(times, 2) for times in Counter(values).values())


def _longest_rise(numbers: Sequence[int]) -> frozenset[int]:
    """Indices of a longest rising subsequence of different numbers (Schensted, 1961)."""
    ends: list[int] = []  # the least number that a rise of each length ends with
    holders: list[int] = []  # its index
    before: list[int | None] = []  # for each number, the index of the one below it in its rise
    for index, number in enumerate(numbers):
        length = bisect_left(ends, number)
        before.append(holders[length - 1] if length else None)
        ends[length : length + 1] = [number]
        holders[length : length + 1] = [index]
    kept: set[int] = set()
    index = holders[-1] if holders else None
    while index is not None:
        kept.add(index)
        index = before[index]
    return frozenset(kept)
