"""The command that tells an instructor of a class: a page, rows for machines, tables for who counts further."""

from __future__ import annotations

import dataclasses
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, cast

import typer

from handsfree.errors import Mendable
from handsfree.extras import how_to_install
from handsfree.journal.disk import write_synced
from handsfree.journal.events import rfc3339
from handsfree.journal.reader import LOG_NAME
from handsfree.shown import harmless, json_line

if TYPE_CHECKING:
    from handsfree.archive.questions import Answers

PAGE_NAME = "class.html"


def of_class(
    folder: Annotated[Path, typer.Argument(help="The folder that holds the folders of walks.", metavar="DIR")],
    out: Annotated[Path | None, typer.Option(help=f"Where the page goes; else {PAGE_NAME}, here.")] = None,
    parquet: Annotated[
        Path | None,
        typer.Option(help="Also the tables as Parquet, into this folder; next time only logs that changed are read."),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="One JSON object; a page only where --out says where.")
    ] = False,
) -> None:
    """Tell an instructor of a class: what is missed and by whom, how fast it learns, what is misheard.

    All logs below a folder are counted, of practice and of real walks. Damaged ones are named and left out.

    Examples:  handsfree class walks  |  handsfree class walks --out monday.html --parquet monday
    """
    try:
        from handsfree.archive.facts import facts_of  # noqa: PLC0415  # an extra, and slow to load
        from handsfree.archive.page import in_short, page  # noqa: PLC0415
        from handsfree.archive.parquet import write_tables  # noqa: PLC0415
        from handsfree.archive.questions import answers  # noqa: PLC0415
    except ModuleNotFoundError as error:
        raise Mendable(f"a class needs {error.name}", how_to_install("class")) from error
    file = out or (None if as_json else Path(PAGE_NAME))
    for target in (file, parquet):
        _refuse_a_record(target)
    with facts_of(folder, parquet) as facts:
        told = answers(facts)
        if parquet is not None:
            write_tables(facts.database, parquet)
            typer.echo(f"Logs that were read: {facts.read} of {facts.logs}.", err=True)
    if file is not None:
        _write(file, page(told).encode())
    if as_json:
        typer.echo(json_line(as_rows(told)))
        return
    typer.echo("\n".join(map(harmless, [*in_short(told), f"Page: {file}"])))


def as_rows(told: Answers) -> dict[str, Any]:
    """For machines: times in RFC 3339, shares from 0 to 1."""
    return {one.name: _plain(getattr(told, one.name)) for one in dataclasses.fields(told)}


def _plain(value: Any) -> Any:
    match value:
        case datetime():
            return rfc3339(value.replace(tzinfo=UTC))
        case tuple():
            return [_plain(one) for one in cast("tuple[Any, ...]", value)]
        case _ if dataclasses.is_dataclass(value):
            return {one.name: _plain(getattr(value, one.name)) for one in dataclasses.fields(value)}
        case _:
            return value


def _refuse_a_record(target: Path | None) -> None:
    """Nothing is written into the folder of a walk, where it would pass for a part of its record."""
    if target is None:
        return
    with suppress(OSError):
        if any((folder / LOG_NAME).exists() for folder in (target, target.parent)):
            raise Mendable(f"{target} is in the folder of a walk's record", "give a place elsewhere")


def _write(file: Path, data: bytes) -> None:
    try:
        write_synced(file, data)
    except OSError as error:
        raise Mendable(f"{file} cannot be written: {error.strerror}", "give a file in a folder of your own") from error
