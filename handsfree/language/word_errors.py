"""Word error rate: how far what was heard is from what was said (NIST's measure, as in sclite)."""

from __future__ import annotations

from collections.abc import Sequence


def word_errors(said: Sequence[str], heard: Sequence[str]) -> int:
    """Fewest substitutions, deletions and insertions that turn one list of words into the other (Levenshtein)."""
    row = list(range(len(heard) + 1))
    for count, word in enumerate(said, start=1):
        before, row = row, [count]
        for at, other in enumerate(heard, start=1):
            row.append(min(before[at] + 1, row[at - 1] + 1, before[at - 1] + (word != other)))
    return row[-1]


def word_error_rate(pairs: Sequence[tuple[str, str]]) -> float:
    """Errors of all (said, heard) pairs over the words said.  Raises ValueError when no word was said."""
    words = sum(len(said.split()) for said, _ in pairs)
    if not words:
        raise ValueError("a word error rate needs at least one spoken word")
    return sum(word_errors(said.split(), heard.split()) for said, heard in pairs) / words
