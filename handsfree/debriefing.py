"""The command that makes an instructor's debrief of a walk or an attempt: a page, paper, or rows."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, cast

import typer
from pydantic import BaseModel

from handsfree.errors import Mendable
from handsfree.journal.disk import write_synced
from handsfree.journal.keys import SigningKey, read_key
from handsfree.shown import harmless, json_line

if TYPE_CHECKING:
    from handsfree.debrief.gathering import Debrief
    from handsfree.debrief.remarks import ScoreLine

_NOT_IN_A_NAME = re.compile(r"[^A-Za-z0-9._-]+")


def debrief(  # noqa: PLR0913, PLR0917  # one option a kind of file
    logs: Annotated[
        list[Path],
        typer.Argument(
            help="The folder of a walk, or its log.jsonl; further ones are compared with it.", metavar="LOG"
        ),
    ],
    out: Annotated[Path | None, typer.Option(help="Where the page goes; else NAME-OF-THE-WALK.html, here.")] = None,
    pdf: Annotated[Path | None, typer.Option(help="Also on paper, without sounds.")] = None,
    csv: Annotated[Path | None, typer.Option(help="Also as rows for a spreadsheet, of all walks given.")] = None,
    parquet: Annotated[Path | None, typer.Option(help="Also as rows with their types, of all walks given.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object for the first walk, and no page.")] = False,
    to_note: Annotated[
        bool, typer.Option("--open", help="Serve the page on this machine only, so that notes can be added to it.")
    ] = False,
    sign: Annotated[Path | None, typer.Option(help="Sign the notes with this key; see handsfree key.")] = None,
) -> None:
    """Make a page of a walk or an attempt to talk it through: what was said when and where, with its sounds.

    The page is one file; it opens without a network, and can be mailed. It holds voices and names: mind who gets it.
    With --open it is served to the browser of this machine until Ctrl-C; notes go to notes.jsonl beside the log.

    Examples:  handsfree debrief walks/20260101T080000Z-twin-turboprop  |  handsfree debrief MINE REFERENCE --pdf my.pdf
    """
    from handsfree.debrief.gathering import gather_all, sounds_of  # noqa: PLC0415

    walks = gather_all(logs)
    first = walks[0]
    if to_note:
        _serve(walks, read_key(sign) if sign else None)
        return
    if sign is not None:
        raise Mendable("--sign is for notes", "give it together with --open")
    files: list[tuple[Path, bytes, str]] = []
    if pdf is not None:
        from handsfree.debrief.pdf import as_pdf  # noqa: PLC0415

        files.append((pdf, as_pdf(first), "on paper"))
    if csv is not None:
        from handsfree.debrief.flat import as_csv  # noqa: PLC0415

        files.append((csv, as_csv(walks).encode(), "rows"))
    if parquet is not None:
        from handsfree.debrief.parquet import as_parquet  # noqa: PLC0415

        files.append((parquet, as_parquet(walks), "rows"))
    if out is not None or not as_json:
        from handsfree.debrief.notes import read_notes  # noqa: PLC0415
        from handsfree.debrief.page import page  # noqa: PLC0415
        from handsfree.debrief.remarks import remarks_of  # noqa: PLC0415

        sounds = sounds_of(first)
        said = remarks_of(read_notes(first.folder).notes)
        made = page(first, sounds, others=walks[1:], score=score_of(first), notes=said).encode()
        about = f"the page, with {len(sounds.mp3)} clips"
        files.append((out or _name_of(first), made, about))
    for file, _, _ in files:
        _refuse_the_record(file, walks)
    for file, data, what in files:
        _write(file, data)
        typer.echo(harmless(f"{file}: {what}, {len(data) / 1000:,.0f} kB"), err=as_json)
    if as_json:
        typer.echo(json_line(_as_json(walks)))
    if first.torn:
        typer.echo(f"the last line was cut off and does not count ({first.torn} bytes)", err=True)


def score_of(walk: Debrief) -> tuple[ScoreLine, ...]:
    """Of a practised walk with an exercise; else nothing."""
    from handsfree.debrief.remarks import score_lines  # noqa: PLC0415
    from handsfree.drill.score import score  # noqa: PLC0415

    return score_lines(score(walk.attempt, walk.checklist)) if walk.attempt else ()


def _serve(walks: tuple[Debrief, ...], key: SigningKey | None) -> None:
    """Until Ctrl-C."""
    from handsfree.debrief.gathering import sounds_of  # noqa: PLC0415
    from handsfree.debrief.note_writing import NotesWriter  # noqa: PLC0415
    from handsfree.debrief.notes import Note  # noqa: PLC0415
    from handsfree.debrief.page import page  # noqa: PLC0415
    from handsfree.debrief.remarks import remarks_of  # noqa: PLC0415
    from handsfree.debrief.server import serve  # noqa: PLC0415

    first = walks[0]
    sounds, points = sounds_of(first), score_of(first)

    def render(notes: Sequence[Note], token: str) -> str:
        return page(first, sounds, others=walks[1:], score=points, notes=remarks_of(notes), notes_token=token)

    with NotesWriter(first.folder, key=key) as writer:
        serve(render, writer, lambda address: typer.echo(f"Open this address, once:  {address}\nEnd with Ctrl-C."))


def _name_of(walk: Debrief) -> Path:
    """A file in the folder where the command runs."""
    return Path(f"{_NOT_IN_A_NAME.sub('-', walk.folder.resolve().name) or 'walk'}.html")


def _refuse_the_record(file: Path, walks: tuple[Debrief, ...]) -> None:
    """Nothing is written over a log, or into its folder where it would pass for a part of it."""
    there = file.resolve().parent
    for walk in walks:
        folder = walk.folder.resolve()
        if there == folder or folder in there.parents:
            raise Mendable(f"{file} is in the folder of a walk's record", "give a file elsewhere")


def _write(file: Path, data: bytes) -> None:
    try:
        write_synced(file, data)
    except OSError as error:
        raise Mendable(f"{file} cannot be written: {error.strerror}", "give a file in a folder of your own") from error


def _as_json(walks: tuple[Debrief, ...]) -> dict[str, Any]:
    from handsfree.debrief.comparison import compare  # noqa: PLC0415

    first = walks[0]
    told: dict[str, Any] = {
        "log": str(first.folder),
        "summary": dataclasses.asdict(first.summary),
        "timeline": _plain(first.timeline),
        "entries": [dataclasses.asdict(one) for one in first.entries],
        "record": dataclasses.asdict(first.record),
    }
    if walks[1:]:
        told["comparison"] = _plain(compare(walks)) | {"walks": [str(walk.folder) for walk in walks]}
    return told


def _plain(value: Any) -> Any:
    """Dataclasses, models and sets as JSON knows them."""
    match value:
        case frozenset():
            return sorted(cast("frozenset[str]", value))
        case tuple():
            return [_plain(one) for one in cast("tuple[Any, ...]", value)]
        case BaseModel():
            return value.model_dump(mode="json")
        case _ if dataclasses.is_dataclass(value):
            return {one.name: _plain(getattr(value, one.name)) for one in dataclasses.fields(value)}
        case _:
            return value
