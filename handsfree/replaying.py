"""`handsfree replay`: a walk is spoken and shown again with its clips, or these are heard again."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any

import typer

from handsfree.checklist.loading import read as read_checklist
from handsfree.checklist.models import Checklist
from handsfree.debrief.playback import (
    Answer,
    AnyCue,
    Kind,
    Mark,
    Pause,
    Playing,
    Prompt,
    Remark,
    at_event,
    at_mark,
    cues_of,
    only_findings,
)
from handsfree.errors import Mendable
from handsfree.journal.belonging import refuse_what_is_not_in
from handsfree.journal.clips import ClipState, clip_of
from handsfree.journal.reader import CHECKLIST_NAME, Journal
from handsfree.journal.reader import read as read_log
from handsfree.shown import harmless, json_line, shortened
from handsfree.speaking.settings import FASTEST_SPEED, SLOWEST_SPEED

KEYS = "space pauses; n, p next and previous zone; f, F finding; 1 to 8 speed, 0 half; q ends"
_SPEEDS = f"{SLOWEST_SPEED:g} to {FASTEST_SPEED:g}"
_SHOWN_PAUSE_S = 2.0
"""A shorter pause is not worth a line."""
_PLACE = re.compile(r"(?P<event>\d{1,9})|(?P<kind>zone|finding)[ :](?P<name>\S+)")


class ReplayError(Mendable):
    """Something cannot be replayed as it was asked for."""


def replay(  # noqa: PLR0913, PLR0917  # one option a setting
    log: Annotated[Path, typer.Argument(help="The folder of a walk, or its log.jsonl.")],
    speed: Annotated[float, typer.Option(help=f"Times the speed of the walk, {_SPEEDS}.")] = 1.0,
    start: Annotated[str, typer.Option("--from", help="An event's number, zone:ID or finding:NUMBER.")] = "",
    only: Annotated[str, typer.Option(help="findings: leave out everything else.")] = "",
    silent: Annotated[bool, typer.Option("--silent", help="Show it at once, and play nothing.")] = False,
    rehear: Annotated[
        bool, typer.Option("--rehear", help="Hear the clips again, and list what would be understood otherwise today.")
    ] = False,
    loudspeaker: Annotated[str | None, typer.Option(help="Part of the loudspeaker's name.")] = None,
    model: Annotated[Path | None, typer.Option(help="With --rehear: folder of the speech model.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line, for machines.")] = False,
) -> None:
    """Speak and show a walk again with its clips, at any speed; or hear the clips again.

    In a terminal: space pauses; n, p next and previous zone; f, F next and previous finding; 1 to 8 speed, 0 half;
    q ends.  A voice keeps its pitch at every speed.  With --rehear the exit code is 1 when something differs, else 0.

    Examples:  handsfree replay walks/20260101T080000Z-twin-turboprop --only findings --speed 1.5  |
    handsfree replay LOG --from zone:nose  |  handsfree replay LOG --rehear
    """
    journal = read_log(log)
    checklist = read_checklist(journal.folder / CHECKLIST_NAME, journal.language).checklist
    refuse_what_is_not_in(checklist, journal.events, journal.folder)
    if journal.torn:
        typer.echo(f"the last line was cut off and does not count ({len(journal.torn)} bytes)", err=True)
    if rehear:
        if start or only or silent or speed != 1.0:
            raise ReplayError("--rehear plays nothing", "leave --speed, --from, --only and --silent out")
        from handsfree.rehearing import report  # noqa: PLC0415

        raise typer.Exit(report(journal, checklist, model, as_json=as_json))
    if not SLOWEST_SPEED <= speed <= FASTEST_SPEED:
        raise ReplayError(f"a speed of {speed:g} cannot be followed", f"give --speed from {_SPEEDS}")
    cues, at = _chosen(journal, checklist, start, only)
    if silent or as_json:
        for cue in cues[at:]:
            _show(journal.folder, cue, as_json=as_json)
        return
    from handsfree.player import Keys, Sounds, play  # noqa: PLC0415

    with Sounds.through(loudspeaker, journal.folder) as sounds, Keys() as keys:
        sounds.prepare(cues[at:])
        if keys.there:
            typer.echo(KEYS)
        play(cues, Playing(at, speed), lambda cue: _show(journal.folder, cue), sounds, keys)


def _chosen(journal: Journal, checklist: Checklist, start: str, only: str) -> tuple[tuple[AnyCue, ...], int]:
    """What is to come, and the index where it begins."""
    if only not in ("", "findings"):
        raise ReplayError(f"--only knows nothing of '{shortened(only)}'", "give --only findings")
    cues = cues_of(journal.events, checklist)
    at = _place(cues, start) if start else 0
    if not only:
        return cues, at
    chosen = only_findings(cues)
    if not chosen:
        raise ReplayError("there is no finding in this walk", "leave --only out")
    begin = at_event(chosen, cues[at].event)
    if begin is None:
        raise ReplayError("no finding comes after that place", "leave --from out")
    return chosen, begin


def _place(cues: Sequence[AnyCue], text: str) -> int:
    found = _PLACE.fullmatch(text.strip())
    if found is None:
        raise ReplayError(f"'{shortened(text)}' is no place in a log", "give --from 120, zone:nose or finding:2")
    if found["event"]:
        at, known = at_event(cues, int(found["event"])), f"1 to {cues[-1].event if cues else 0}"
    else:
        kind: Kind = "zone" if found["kind"] == "zone" else "finding"
        at = at_mark(cues, kind, found["name"])
        known = ", ".join(dict.fromkeys(one.name for one in cues if isinstance(one, Mark) and one.kind == kind))
    if at is None:
        raise ReplayError(f"'{shortened(text)}' is not in this log", f"there is: {known or 'none'}")
    return at


# ---- shown


def line_of(cue: AnyCue, clip: ClipState) -> str:
    """A cue on one line, nothing for what is not worth one: when, the event's number, and what."""
    match cue:
        case Prompt(text=text):
            what = text
        case Answer():
            sure = f", {cue.confidence:.0%} sure" if cue.outcome not in ("ask", "none") else ""
            why = f", {cue.why}" if cue.why else ""
            lost = f"  [clip {clip}]" if clip in ("removed", "altered") else ""
            what = f"    > {cue.words or '...'}  ({cue.outcome}{sure}{why}){lost}"
        case Pause(seconds=seconds):
            what = f"    ... {seconds:.0f} s" if seconds >= _SHOWN_PAUSE_S else ""
        case Mark(kind=kind, name=name, text=text):
            what = f"==== {kind} {name}: {text}"
        case Remark(text=text):
            what = f"    ({text})"
    minutes, seconds = divmod(int(cue.at_s), 60)
    return harmless(f"{minutes:3}:{seconds:02} {cue.event:5}  {what}") if what else ""


def _row(cue: AnyCue, clip: ClipState) -> dict[str, Any]:
    row = {"cue": type(cue).__name__.lower(), **dataclasses.asdict(cue)}
    if isinstance(cue, Answer):
        row |= {"clip": cue.clip.model_dump() if cue.clip else None, "clip_state": clip}
    return row


def _show(folder: Path, cue: AnyCue, *, as_json: bool = False) -> None:
    state, _ = clip_of(folder, cue.clip if isinstance(cue, Answer) else None)
    line = json_line(_row(cue, state)) if as_json else line_of(cue, state)
    if line:
        typer.echo(line)
