"""Rows of walks as Parquet, with their types, for who counts over many walks."""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any, Final, cast

from handsfree.debrief.extra import missing
from handsfree.debrief.flat import flat
from handsfree.debrief.gathering import Debrief

_TYPES: Final = {
    "event": "int64", "seconds": "float64", "confidence": "float64", "snr_db": "float64", "confirmed": "bool",
    "elsewhere": "bool",
}  # fmt: skip
"""All other fields are texts."""


def as_parquet(walks: Iterable[Debrief]) -> bytes:
    """A whole file.  Raises Mendable where the library is not installed."""
    try:
        import pyarrow as pa  # noqa: PLC0415  # an extra
        from pyarrow import parquet  # noqa: PLC0415
    except ImportError as error:
        raise missing("Parquet", "pyarrow") from error
    library, writer = cast("Any", pa), cast("Any", parquet)  # they have no types
    rows = [asdict(row) for row in flat(walks)]
    names = list(rows[0]) if rows else []
    schema = library.schema([(name, library.type_for_alias(_TYPES.get(name, "string"))) for name in names])
    file = io.BytesIO()
    writer.write_table(library.Table.from_pylist(rows, schema=schema), file, compression="zstd")
    return file.getvalue()
