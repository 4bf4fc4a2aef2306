"""Tables that were written earlier: what they hold of a log that has not changed since need not be read again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import numpy as np

from handsfree.archive.columns import LOGS, TABLES
from handsfree.archive.database import Database
from handsfree.archive.logs import Damaged, LogFile

FORMAT: Final = 1
"""Of the tables; raise it when a row would be another one, and all is read anew."""
_COLUMNS: Final = ("format", "folder", "size", "changed_ns", "damage")


@dataclass(frozen=True)
class Earlier:
    """Logs that are as they were."""

    folders: Mapping[str, str] = field(default_factory=dict[str, str])
    """Each with what is damaged; empty = nothing is."""

    @property
    def damaged(self) -> list[Damaged]:
        """Those that are damaged still."""
        return [Damaged(folder, why) for folder, why in self.folders.items() if why]

    def add_rows(self, database: Database, logs: Sequence[LogFile]) -> None:
        """Add their rows to the tables, under the numbers that the walks have now."""
        same = [log for log in logs if log.folder in self.folders]
        if not same:
            return
        folders = np.array([log.folder for log in same], dtype=object)
        database.look_at("same", {"folder": folders, "number": np.array([log.walk for log in same], dtype=np.int32)})
        database.run("CREATE TABLE now AS SELECT walk, number FROM earlier_walks JOIN same USING (folder)")
        for table in TABLES:
            rows = f"FROM earlier_{table} AS told JOIN now USING (walk)"
            database.run(f"INSERT INTO {table} SELECT told.* REPLACE (number AS walk) {rows}")


def earlier(database: Database, tables: Path, logs: Sequence[LogFile]) -> Earlier:
    """What a folder of tables holds of these logs; nothing where it holds no such tables."""
    try:
        for table in (LOGS, *TABLES):
            database.take(f"earlier_{table}", tables / f"{table}.parquet")
    except OSError:
        return Earlier()
    fitting = {table: list(columns) for table, columns in TABLES.items()} | {LOGS: list(_COLUMNS)}
    if any(database.columns(f"earlier_{table}") != columns for table, columns in fitting.items()):
        return Earlier()
    known = {
        folder: (size, changed_ns, damage)
        for format_, folder, size, changed_ns, damage in database.rows(f"FROM earlier_{LOGS}")
        if format_ == FORMAT
    }
    return Earlier(
        {
            log.folder: known[log.folder][2]
            for log in logs
            if log.size and known.get(log.folder, ())[:2] == (log.size, log.changed_ns)
        }
    )


def tell_logs(database: Database, logs: Sequence[LogFile], damaged: Sequence[Damaged]) -> None:
    """Make the table of logs, by which they are known again."""
    why = {one.folder: one.why for one in damaged}
    database.look_at(
        "known",
        {
            "format": np.full(len(logs), FORMAT, dtype=np.int32),
            "folder": np.array([log.folder for log in logs], dtype=object),
            "size": np.array([log.size for log in logs], dtype=np.int64),
            "changed_ns": np.array([log.changed_ns for log in logs], dtype=np.int64),
            "damage": np.array([why.get(log.folder, "") for log in logs], dtype=object),
        },
    )
    database.run(f"CREATE TABLE {LOGS} AS FROM known")
