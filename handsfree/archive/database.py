"""Tables in memory, asked in SQL: the only module that imports duckdb."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, Self

from numpy.typing import NDArray

from handsfree.archive.errors import ArchiveError

Row = tuple[Any, ...]

_SETTINGS: Final[dict[str, Any]] = {
    "autoinstall_known_extensions": "false",  # nothing is fetched from outside
    "autoload_known_extensions": "false",
    "temp_directory": "",  # what is in a log goes to no disk but those that are named
}


class Database:
    """A connection; all that come of one see the same tables, and each is for one thread.

    Raises ArchiveError where duckdb is not installed.
    """

    def __init__(self, connection: Any = None) -> None:
        self._connection: Any = connection or _duckdb().connect(config=_SETTINGS)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._connection.close()

    def beside(self) -> Database:
        """Another connection to the same tables, for another thread; temporary tables are its own."""
        return Database(self._connection.cursor())

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

    def write(self, table: str, file: Path) -> None:
        """Write a table as a new Parquet file.  Raises ArchiveError where it cannot be written."""
        error: type[Exception] = _duckdb().Error
        try:
            self._connection.table(table).write_parquet(str(file), compression="zstd")
        except error as refused:
            raise ArchiveError(f"{file} cannot be written", "name a folder that can be written") from refused


def _duckdb() -> Any:
    try:
        import duckdb  # noqa: PLC0415  # an extra
    except ModuleNotFoundError as error:
        raise ArchiveError(
            f"a class needs the package '{error.name}'", "install this program with its extra: [class]"
        ) from error
    return duckdb
