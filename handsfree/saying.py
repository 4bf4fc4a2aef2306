"""The command that speaks items of a checklist, as they are spoken on a walk."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist, Item
from handsfree.errors import Mendable
from handsfree.languages import language as language_of
from handsfree.resources import find_checklist
from handsfree.terminal import fail, row_out
from handsfree.walking import (
    ChecklistArgument,
    LanguageOption,
    LoudspeakerOption,
    RateOption,
    VoiceOption,
    VolumeOption,
    prompts_folder,
    voice_settings,
)

if TYPE_CHECKING:
    from handsfree.speaking.loudspeakers import Loudspeaker


def say(  # noqa: PLR0913, PLR0917  # one option a setting
    checklist: ChecklistArgument,
    which: Annotated[str | None, typer.Argument(help="An item or a zone; else all of it.", metavar="ITEM")] = None,
    full: Annotated[bool, typer.Option("--full", help="Also the full prompt, what to look for, and why.")] = False,
    out: Annotated[Path | None, typer.Option(help="Into this WAV file instead of a loudspeaker.")] = None,
    language: LanguageOption = "",
    voice: VoiceOption = "",
    rate: RateOption = 150,
    volume: VolumeOption = 1.0,
    loudspeaker: LoudspeakerOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line, for machines.")] = False,
) -> None:
    """Speak items of a checklist as on a walk, and say how long each takes.

    Examples:  handsfree say my.yaml nose-tyres  |  handsfree say my.yaml nose --full --out nose.wav
    """
    from handsfree.speaking.voice import Voice  # noqa: PLC0415  # slow to load

    made = load(find_checklist(checklist), language)
    items = _chosen(made, which)
    settings = voice_settings(voice or language_of(made.language).tongue.voice, rate, volume, named=True)
    with ExitStack() as stack:
        speaking = stack.enter_context(Voice(settings, prompts_folder(), _speaker(stack, out, loudspeaker)))
        for where, kind, text in _spoken(made, items, which, full=full):
            seconds = speaking.say(text)
            row = {"item": where, "kind": kind, "text": text, "seconds": round(seconds, 2)}
            row_out(row, as_json, f"{seconds:5.1f} s  {where}, {kind}: {text}")


def _spoken(
    checklist: Checklist, items: Sequence[Item], which: str | None, *, full: bool
) -> Iterator[tuple[str, str, str]]:
    """Where, what kind of text, and the text; a zone's name and caution come before its items, as on a walk."""
    here: str | None = None
    for item in items:
        zone = checklist.zone_of(item.id)
        if zone.id != here and which != item.id:
            here = zone.id
            yield zone.id, "zone", zone.name
            yield from ((zone.id, "caution", text) for text in (zone.caution,) if text)
        yield from ((item.id, kind, text) for kind, text in _texts(item, full=full))


def _chosen(checklist: Checklist, which: str | None) -> Sequence[Item]:
    if which is None:
        return checklist.items()
    zones = {zone.id: zone.items for zone in checklist.zones}
    if which in zones:
        return zones[which]
    found = [item for item in checklist.items() if item.id == which]
    if not found:
        items = ", ".join(item.id for item in checklist.items())
        fail(f"there is no item and no zone '{which}'", f"its zones are: {', '.join(zones)}; its items are: {items}")
    return found


def _texts(item: Item, *, full: bool) -> list[tuple[str, str]]:
    told = [("caution", item.caution)] if item.caution else []
    told.append(("prompt", item.prompt))
    if full:
        told += [("full", item.full), ("look for", item.look_for)]
        told += [("why", item.why)] if item.why else []
    return told


def _speaker(stack: ExitStack, out: Path | None, device: str | None) -> Loudspeaker:
    if out is None:
        from handsfree.portaudio import AudioError  # noqa: PLC0415
        from handsfree.speaking.portaudio_speaker import PortAudioSpeaker  # noqa: PLC0415

        speaker = PortAudioSpeaker(device)
        try:
            speaker.device()
        except AudioError as error:
            hint = f"{error.hint}; or" if device else "plug in a loudspeaker or a headset, or"
            raise AudioError(error.message, f"{hint} write a sound file: --out said.wav") from error
        return speaker
    from handsfree.speaking.loudspeakers import FileSpeaker  # noqa: PLC0415

    try:
        return stack.enter_context(FileSpeaker(out))
    except OSError as error:
        raise Mendable(f"{out} cannot be written: {error.strerror}", "give a file in a folder of your own") from error
