"""The command that puts a checklist on paper."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Annotated

import typer

from handsfree.checklist.loading import read
from handsfree.errors import Mendable
from handsfree.journal.disk import write_synced
from handsfree.resources import find_checklist
from handsfree.shown import harmless
from handsfree.walking import ChecklistArgument, LanguageOption, prepared_book


def card(
    checklist: ChecklistArgument,
    out: Annotated[Path | None, typer.Option(help="Where the PDF goes; else NAME-card.pdf, here.")] = None,
    language: LanguageOption = "",
    phrases: Annotated[bool, typer.Option(help="Behind the card the sheet of what can be said.")] = True,
) -> None:
    """Print a pocket card of a checklist as PDF: A5, large letters, black on white; behind it what can be said.

    Examples:  handsfree card twin-turboprop  |  handsfree card my-aircraft.yaml --out card.pdf --no-phrases
    """
    from handsfree.card.pdf import as_card  # noqa: PLC0415  # an extra, and slow to load

    path = find_checklist(checklist)
    source = read(path, language)
    book = prepared_book(source)
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    data = as_card(source.checklist, book.phrasebook, digest, phrases=phrases)
    file = out or Path(f"{source.checklist.id}-card.pdf")
    try:
        write_synced(file, data)
    except OSError as error:
        raise Mendable(f"{file} cannot be written: {error.strerror}", "give a file in a folder of your own") from error
    typer.echo(harmless(f"{file}: {len(data) / 1000:,.0f} kB"))
