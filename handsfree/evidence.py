"""Commands about a walk's record: is it what was written, a code to hold against it, keys, and forgetting voices."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Annotated

import typer
from platformdirs import user_data_path

from handsfree.journal.anchor import anchor_of, parse_anchor
from handsfree.journal.disk import read_file
from handsfree.journal.keys import KeyFileError, is_public_key, make_key, read_key
from handsfree.journal.privacy import forget as forget_clips
from handsfree.journal.reader import log_file, raw_log, read
from handsfree.journal.verification import State, Verified
from handsfree.journal.verification import verify as look_at
from handsfree.language.alphabet import letters_and_digits, spell
from handsfree.shown import harmless, json_line, shortened

EXIT_CODES: dict[State, int] = {"intact": 0, "unsealed": 10, "cut short": 11, "altered": 12, "wrongly signed": 13}

_MOST_OF_A_KEY = 1000
"""Bytes of a file with a public key."""

LogArgument = Annotated[Path, typer.Argument(help="The folder of a walk, or its log.jsonl.")]
JsonOption = Annotated[bool, typer.Option("--json", help="One JSON object, for machines.")]


def verify(
    log: LogArgument,
    anchor: Annotated[
        list[str] | None, typer.Option(help="A code that was written down before; may be repeated.")
    ] = None,
    signer: Annotated[str | None, typer.Option(help="The public key that must have signed, or a file with it.")] = None,
    as_json: JsonOption = False,
) -> None:
    """Say whether a walk's record is what was written.

    Exit codes: 0 intact, 10 unsealed (in progress or interrupted), 11 cut short, 12 altered, 13 wrongly signed;
    2 where there is no log.

    Example:  handsfree verify walks/20260101T080000Z-twin-turboprop --anchor 41-KXQ2-MB7A-PQ3D-WLEA
    """
    anchors = [parse_anchor(one, letters_and_digits) for one in anchor or ()]
    found = look_at(log, anchors, _public_key(signer) if signer else None)
    if as_json:
        typer.echo(json_line(dataclasses.asdict(found) | {"log": str(log_file(log))}))
    else:
        typer.echo(as_text(found))
    raise typer.Exit(EXIT_CODES[found.state])


def as_text(found: Verified) -> str:
    """For people: the state, why, and what else is worth knowing."""
    where = "" if found.altered_at is None else f" at event {found.altered_at}"
    lines = [f"{found.state}{where}" + (f": {found.why}" if found.why else "")]
    lines.append(
        f"  {found.events} events, each chained to the one before" if found.state in ("intact", "unsealed") else ""
    )
    if found.signed_by:
        lines.append(f"  signed with the key {found.signed_by}")
    elif found.state == "intact":
        lines.append("  not signed: the seal shows that nothing was changed by accident, not who set it")
    lines.append(f"  clips: {found.clips_kept} as recorded" if found.clips_kept else "")
    lines.append(f"  clip removed: {found.clips_removed}; what was said stays" if found.clips_removed else "")
    lines += [f"  note: {note}" for note in found.notes]
    if found.state == "unsealed":
        lines.append("  nothing here can show that its end was not cut off; a code from 'handsfree anchor' can")
    return "\n".join(harmless(line) for line in lines if line)


def anchor(log: LogArgument, as_json: JsonOption = False) -> None:
    """Print a short code for what a log holds now, to write down or to read aloud to somebody else.

    Whoever has the code can hold the log against it later:  handsfree verify LOG --anchor CODE

    Example:  handsfree anchor walks/20260101T080000Z-twin-turboprop
    """
    file = log_file(log)
    count = len(read(file).events)
    made = anchor_of(raw_log(file).split(b"\n")[count - 1], count)
    if as_json:
        typer.echo(json_line({"events": count, "code": made.written, "spoken": made.spoken(spell)}))
        return
    typer.echo(f"{made.written}\n{made.spoken(spell)}")


def key(
    file: Annotated[Path | None, typer.Argument(help="Where to keep it; else among the program's own data.")] = None,
    show: Annotated[bool, typer.Option("--show", help="Show the public key of one that there is.")] = False,
) -> None:
    """Make a key to sign walks with, and print its public half, which others need to check a signature.

    The key is yours: whoever can read its file can sign as you. It is never written into a log.

    Examples:  handsfree key  |  handsfree key --show  |  handsfree walk --sign KEY-FILE
    """
    path = file or key_file()
    made = read_key(path) if show else make_key(path)
    typer.echo(made.public)
    where = harmless(str(path))
    typer.echo(f"the key itself is in {where}; sign a walk with:  handsfree walk --sign {where}", err=True)


def forget(log: LogArgument, as_json: JsonOption = False) -> None:
    """Remove the sound of a walk's voices, and say what stays. The record can still be verified.

    Example:  handsfree forget walks/20260101T080000Z-twin-turboprop
    """
    gone = forget_clips(log)
    if as_json:
        typer.echo(json_line(dataclasses.asdict(gone)))
        return
    typer.echo(f"{gone.clips} clips removed, {gone.seconds:.0f} s of sound.")
    typer.echo(
        f"What stays in the log: the words and meanings of {gone.words} utterances, the times, and who inspected"
        f"{f' ({harmless(gone.who)})' if gone.who else ''}. The record can be verified as before.\n"
        "Copies elsewhere, backups and this disk's free space are not reached from here."
    )


def key_file() -> Path:
    """Where the key is kept unless another file is named."""
    return user_data_path("handsfree-walkaround") / "signing-key.pem"


def _public_key(text: str) -> str:
    """A public key, given itself or a file that holds it."""
    key = text if is_public_key(text) else _written_in(Path(text))
    if not is_public_key(key):
        raise KeyFileError(f"'{shortened(text)}' is no public key", "give what 'handsfree key --show' prints")
    return key


def _written_in(file: Path) -> str:
    """The text of a small file, or nothing."""
    try:
        return read_file(file, _MOST_OF_A_KEY).decode().strip()
    except (OSError, ValueError):
        return ""
