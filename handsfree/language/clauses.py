"""Several things in one breath: all ways to cut an utterance into clauses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from handsfree.language.meaning import Meaning
from handsfree.language.tongue import Tongue

_ALSO_JOINING: Final = frozenset({"end"})
"""What the recogniser often makes of "and"."""
_MOST_READINGS: Final = 24
"""Kept for each place in the utterance: more than two are already a question to the speaker."""


class Clause(NamedTuple):
    """One thing said."""

    meaning: Meaning
    written: str


Reading = tuple[Clause, ...]
"""One way to understand the whole utterance."""


def joiners(tongue: Tongue) -> frozenset[str]:
    """Words that may stand between two clauses and mean nothing."""
    return _ALSO_JOINING.union(tongue.joining)


def readings(
    words: Sequence[str], clauses_at: Mapping[int, Sequence[tuple[int, Clause]]], tongue: Tongue
) -> tuple[Reading, ...]:
    """All readings of the words that differ in meaning, those with the fewest clauses first.

    ``clauses_at`` gives, for each place where a clause begins, where it ends and what it is.  A thing said twice counts
    once.  Numbers are never cut up: no clause begins between two number words ("one two" is twelve, not one and two),
    and no reading gives one quantity twice ("one hundred and five" is not one hundred and then five).
    """
    joining, numbers = joiners(tongue), tongue.number_words
    from_here: dict[int, dict[tuple[Meaning, ...], Reading]] = {len(words): {(): ()}}
    for start in range(len(words) - 1, -1, -1):
        found: dict[tuple[Meaning, ...], Reading] = {}
        for end, clause in sorted(clauses_at.get(start, ()), key=lambda one: -one[0]):
            for rest in _continuations(words, end, from_here, joining, numbers):
                if not _repeats_a_quantity(clause, rest):
                    reading = (clause, *rest)
                    key = _meanings(reading)
                    if key not in found or len(reading) < len(found[key]):
                        found[key] = reading
        shortest = sorted(found.items(), key=lambda one: len(one[1]))
        from_here[start] = dict(shortest[:_MOST_READINGS])
    return tuple(from_here[0].values()) if words else ()


def _continuations(
    words: Sequence[str],
    end: int,
    from_here: Mapping[int, Mapping[tuple[Meaning, ...], Reading]],
    joining: frozenset[str],
    numbers: frozenset[str],
) -> list[Reading]:
    """What may come after a clause that ends here: the end, a clause, or a joining word and a clause."""
    inside_number = end < len(words) and words[end - 1] in numbers and words[end] in numbers
    rest = [] if inside_number else list(from_here[end].values())
    if end < len(words) - 1 and words[end] in joining:
        rest += from_here[end + 1].values()
    return rest


def _meanings(reading: Reading) -> tuple[Meaning, ...]:
    return tuple(dict.fromkeys(clause.meaning for clause in reading))


def _repeats_a_quantity(clause: Clause, rest: Reading) -> bool:
    return clause.meaning.outcome == "value" and any(
        _quantity(clause.meaning) == _quantity(other.meaning) for other in rest if other.meaning.outcome == "value"
    )


def _quantity(meaning: Meaning) -> tuple[str | None, str | None]:
    return meaning.get("item"), meaning.get("quantity")
