"""One hostile input, and how it must end: refused with one clear error, or without harm."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass

from tests.faults.boxed import Ended

BAD_INPUT = 2
MOST_SHOWN = 40_000
"""Characters; more is no clear word."""


@dataclass(frozen=True, slots=True)
class Attack:
    """Something hostile that is done to the program."""

    name: str
    done: Callable[[], str]
    """Do it; what went wrong, or nothing."""


def refused(ended: Ended) -> str:
    """What is wrong unless it ended with one clear error."""
    return harmless(ended, (BAD_INPUT,))


def harmless(ended: Ended, codes: Collection[int]) -> str:
    """What is wrong unless it ended with one of the codes, and with one clear error where that says so."""
    return "; ".join(_wrong(ended, codes))


def _wrong(ended: Ended, codes: Collection[int]) -> Iterator[str]:
    if ended.broke:
        yield ended.broke
        return
    if ended.code not in codes:
        yield f"it ended with {ended.code}: {ended.shown[-200:]!r}"
    if len(ended.errors) != (ended.code == BAD_INPUT):
        yield f"{len(ended.errors)} errors were told with the exit code {ended.code}"
    if ended.acted:
        yield f"this reached the terminal: {ended.acted!r}"
    if len(ended.shown) > MOST_SHOWN:
        yield f"{len(ended.shown)} characters were shown"
