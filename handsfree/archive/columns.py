"""Rows on their way from one process to another: numbers only, and each text once."""

from __future__ import annotations

from array import array
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

Type = Literal["VARCHAR", "INTEGER", "DOUBLE", "BOOLEAN", "TIMESTAMP"]
"""Of a column, as SQL names it; a TIMESTAMP is in UTC."""

TABLES: Final[Mapping[str, Mapping[str, Type]]] = {
    "walks": {
        "walk": "INTEGER", "folder": "VARCHAR", "who": "VARCHAR", "registration": "VARCHAR", "checklist": "VARCHAR",
        "practice": "VARCHAR", "exercise": "VARCHAR", "began": "TIMESTAMP", "seconds": "DOUBLE", "outcome": "VARCHAR",
        "events": "INTEGER",
    },
    "visits": {
        "walk": "INTEGER", "item": "VARCHAR", "asked": "INTEGER", "asked_again": "INTEGER", "put_off": "INTEGER",
        "helped": "INTEGER", "seconds": "DOUBLE", "answered": "BOOLEAN",
    },
    "trials": {
        "walk": "INTEGER", "item": "VARCHAR", "zone": "VARCHAR", "scene": "VARCHAR", "truth": "VARCHAR",
        "difficulty": "INTEGER", "outcome": "VARCHAR", "named": "BOOLEAN",
    },
    "heard": {
        "walk": "INTEGER", "seq": "INTEGER", "item": "VARCHAR", "moment": "VARCHAR", "outcome": "VARCHAR",
        "said": "VARCHAR", "taken_back": "BOOLEAN",
    },
}  # fmt: skip
"""The tables, with the columns of each; see `handsfree.archive.walks` for what they mean."""
LOGS: Final = "logs"
"""One table more: of each log whether it is damaged, and what tells whether it has changed since."""

NOTHING: Final = float("nan")
"""Stands for a number that is not there."""


class Texts(dict[str, int]):
    """Each text and its place; asked for a new one, it gives it the next."""

    def __missing__(self, text: str) -> int:
        self[text] = place = len(self)
        return place


@dataclass
class Rows:
    """Rows of all tables, each laid one after the other; a text is its place among the texts."""

    texts: Texts = field(default_factory=Texts)
    numbers: dict[str, list[float]] = field(default_factory=lambda: {table: [] for table in TABLES})

    def packed(self) -> Packed:
        """To be sent to another process."""
        return Packed(list(self.texts), {table: array("d", numbers) for table, numbers in self.numbers.items()})


@dataclass(frozen=True)
class Packed:
    """The same, small."""

    texts: list[str]
    numbers: dict[str, array[float]]
