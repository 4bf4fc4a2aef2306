"""The tables as Parquet, one file each, for who counts further: in a notebook, or on a cluster."""

from __future__ import annotations

import tempfile
from pathlib import Path

from handsfree.archive.columns import LOGS, TABLES
from handsfree.archive.database import Database
from handsfree.archive.errors import ArchiveError
from handsfree.journal.disk import OWNER_ONLY, sync_folder


def write_tables(database: Database, folder: Path) -> None:
    """Write every table; each file is either as it was or whole.  Raises ArchiveError."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder) as new:  # a link by the name of a table is replaced, not followed
            for table in (*TABLES, LOGS):  # last what tells which logs the others hold
                file = Path(new, f"{table}.parquet")
                database.write(table, file)
                file.chmod(OWNER_ONLY)
                file.replace(folder / file.name)
        sync_folder(folder)
    except OSError as error:
        raise ArchiveError(
            f"tables cannot be written to {folder}: {error.strerror}", "give a folder of your own"
        ) from error
