"""The tables of all logs below a folder."""

from __future__ import annotations

from collections.abc import Generator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from handsfree.archive.columns import TABLES, Packed, Texts, Type
from handsfree.archive.database import Database
from handsfree.archive.earlier import Earlier, earlier, tell_logs
from handsfree.archive.logs import Damaged, logs_below
from handsfree.archive.reading import reading


@dataclass(frozen=True)
class Facts:
    """The tables, and the logs that are not among them."""

    database: Database
    logs: int
    """How many there are, damaged ones included."""
    read: int
    """How many of them were read now; what others hold was known already."""
    damaged: tuple[Damaged, ...]


@contextmanager
def facts_of(folder: Path, tables: Path | None = None) -> Generator[Facts]:
    """Read all logs below a folder.

    ``tables`` is where tables may have been written earlier: logs that have not changed since are taken from there.
    Raises ArchiveError where there is no log.
    """
    logs = logs_below(folder)
    with Database() as database:
        known = Earlier() if tables is None else earlier(database, tables, logs)
        new = [log for log in logs if log.folder not in known.folders]
        gathered, damaged = _Gathered(), known.damaged
        with reading(new) as batches:
            for batch in batches:
                gathered.add(batch.rows)
                damaged += batch.damaged
            gathered.tell(database)
        known.add_rows(database, logs)
        tell_logs(database, logs, damaged)
        yield Facts(database, len(logs), len(new), tuple(sorted(damaged, key=lambda one: one.folder)))


class _Gathered:
    """Rows of many batches, with one place for each text."""

    def __init__(self) -> None:
        self._texts = Texts()
        self._numbers: dict[str, list[NDArray[np.float64]]] = {table: [] for table in TABLES}

    def add(self, rows: Packed) -> None:
        """The rows of one batch."""
        place = np.array([self._texts[one] for one in rows.texts], dtype=np.float64)
        for table, columns in TABLES.items():
            numbers = np.array(rows.numbers[table]).reshape(-1, len(columns))
            for at, kind in enumerate(columns.values()):
                if kind == "VARCHAR":
                    numbers[:, at] = place[numbers[:, at].astype(np.int64)]
            self._numbers[table].append(numbers)

    def tell(self, database: Database) -> None:
        """Make the tables."""
        texts = [*self._texts, ""]  # an empty column has no type
        database.look_at("texts", {"place": np.arange(len(texts)), "text": np.array(texts, dtype=object)})
        for table, columns in TABLES.items():
            numbers = np.concatenate([np.empty((0, len(columns))), *self._numbers.pop(table)])
            database.look_at(
                "rows", {one: _column(numbers[:, at], kind) for at, (one, kind) in enumerate(columns.items())}
            )
            database.run(f"CREATE TABLE {table} AS {_named(columns)}")


def _column(numbers: NDArray[np.float64], kind: Type) -> NDArray[Any]:
    match kind:
        case "VARCHAR" | "INTEGER":
            return numbers.astype(np.int32)
        case "BOOLEAN":
            return numbers.astype(np.bool_)
        case "DOUBLE" | "TIMESTAMP":
            return np.ascontiguousarray(numbers)


def _named(columns: Mapping[str, Type]) -> str:
    """The question for the rows with their texts; a time is in seconds since 1970, and what is no number is nothing."""
    wanted = {
        "VARCHAR": "{0}_text.text",
        "TIMESTAMP": "make_timestamp((1e6 * rows.{0})::BIGINT)",
        "DOUBLE": "nullif(rows.{0}, 'nan'::DOUBLE)",
    }
    told = [f"{wanted.get(kind, 'rows.{0}').format(one)} AS {one}" for one, kind in columns.items()]
    texts = [
        f"JOIN texts AS {one}_text ON {one}_text.place = rows.{one}" for one in columns if columns[one] == "VARCHAR"
    ]
    return " ".join(["SELECT", ", ".join(told), "FROM rows", *texts])
