"""Tables in memory, asked in SQL: the only module that imports duckdb."""

from __future__ import annotations

import errno
import os
from collections.abc import Mapping
from glob import escape
from pathlib import Path
from typing import Any, Final, Self

import duckdb
from numpy.typing import NDArray

Row = tuple[Any, ...]

_SETTINGS: Final[dict[str, Any]] = {
    "autoinstall_known_extensions": "false",  # nothing is fetched from outside
    "autoload_known_extensions": "false",
    "temp_directory": "",  # what is in a log goes to no disk but those that are named
}


class Database:
    """Tables in memory, which are gone when it is closed."""

    def __init__(self) -> None:
        self._connection: Any = duckdb.connect(config=_SETTINGS)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._connection.close()

    def run(self, *statements: str) -> None:
        """Do something that gives no rows."""
        for one in statements:
            self._connection.execute(one)

    def rows(self, question: str, *values: Any) -> list[Row]:
        """The rows that answer a question; ``?`` in it stands for a value each."""
        return self._connection.execute(question, list(values)).fetchall()

    def look_at(self, name: str, columns: Mapping[str, NDArray[Any]]) -> None:
        """Let columns that are in memory be a table, as long as they are."""
        self._connection.register(name, dict(columns))

    def take(self, table: str, file: Path) -> None:
        """Make a table of a Parquet file.  Raises OSError where there is none that can be read."""
        if not file.is_file():
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(file))
        try:
            self.run(f"DROP TABLE IF EXISTS {table}")
            self._connection.read_parquet(escape(str(file))).create(table)
        except duckdb.Error as error:
            raise OSError(errno.EINVAL, "it is no Parquet", str(file)) from error

    def columns(self, table: str) -> list[str]:
        """The names of a table's columns."""
        return [name for name, *_ in self.rows(f"DESCRIBE {table}")]

    def write(self, table: str, file: Path) -> None:
        """Write a table as a new Parquet file.  Raises OSError where it cannot be written."""
        try:
            self._connection.table(table).write_parquet(str(file), compression="zstd")
        except duckdb.IOException as error:
            raise OSError(errno.EIO, "Parquet cannot be written there", str(file)) from error
