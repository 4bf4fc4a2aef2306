"""A small vocabulary like that of an item, from the shipped grammars."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from handsfree.language.grammars import Grammars
from handsfree.language.vocabulary import Entry, Vocabulary

GRAMMARS = Path(__file__).parents[2] / "grammars"


@cache
def grammars() -> Grammars:
    return Grammars.load(GRAMMARS)


@cache
def tyres() -> Vocabulary:
    """Tyres: they may be good or dry, cut, worn or leaking, each with a number or a side."""
    pattern = grammars().expansion
    item = (("item", "tyres"),)
    return Vocabulary.build(
        [
            Entry(pattern("tyres good"), "pass", item),
            Entry(pattern("no leak"), "pass", item),
            Entry(pattern("dry"), "pass", item),
            Entry(pattern("<findings.cut> [[on] tyre <positions.number>]"), "finding", item),
            Entry(pattern("<findings.worn> [<positions.side>]"), "finding", item),
            Entry(pattern("<findings.leak> [<positions.side>]"), "finding", item),
            Entry(pattern("<control.any>"), "control"),
        ]
    )
