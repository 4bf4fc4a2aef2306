"""What would be understood at an item: the commands for recordings, and for whoever tries the words aloud."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, suppress
from functools import cache
from itertools import takewhile
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from handsfree.book import Book
from handsfree.checklist.loading import read
from handsfree.checklist.models import Item
from handsfree.resources import find_checklist
from handsfree.shown import harmless
from handsfree.terminal import BAD_INPUT, complain, fail, row_out
from handsfree.walking import ChecklistArgument, LanguageOption, MicrophoneOption, ModelOption, prepared_book

if TYPE_CHECKING:
    from handsfree.hearing.ears import Ears
    from handsfree.hearing.recogniser import Block
    from handsfree.language.heard import Heard
    from handsfree.language.vocabulary import Vocabulary

JsonOption = Annotated[bool, typer.Option("--json", help="One JSON object a line, for machines.")]


def hear(  # noqa: PLR0913, PLR0917  # one option a setting
    checklist: ChecklistArgument,
    item: Annotated[str, typer.Argument(help="The item that is being asked.")],
    files: Annotated[list[Path], typer.Argument(help="Sound files, one utterance each.")],
    as_json: JsonOption = False,
    language: LanguageOption = "",
    model: ModelOption = None,
) -> None:
    """Say what would be understood of recordings at an item, exactly as on a walk.

    Example:  handsfree hear twin-turboprop nose-tyres answer.wav --json
    """
    from handsfree.hearing.ears import Ears  # noqa: PLC0415  # slow to load
    from handsfree.hearing.files import blocks_from_file  # noqa: PLC0415
    from handsfree.hearing.recogniser import VoskRecogniser  # noqa: PLC0415
    from handsfree.models_by_language import locate  # noqa: PLC0415
    from handsfree.portaudio import AudioError  # noqa: PLC0415

    book = prepared_book(read(find_checklist(checklist), language))
    vocabulary = _vocabulary(book, item_of(book, item))
    path = locate(book.tongue.code, model).path
    load = cache(VoskRecogniser)  # the model is loaded once
    unreadable = 0
    for file in files:
        # Ears of each file's own: what is learnt of the noise in one must not change what is heard in the next.
        ears = Ears(path, load=load)
        try:
            heard = ears.listen(blocks_from_file(file), vocabulary, patience_s=None).heard
        except AudioError as error:
            complain(error.message, error.hint)
            unreadable += 1
            continue
        row_out({"file": str(file), **_row(heard)}, as_json, f"{file}: {_line(heard)}")
    if unreadable:
        raise typer.Exit(BAD_INPUT)


def try_out(  # noqa: PLR0913, PLR0917  # one option a setting
    checklist: ChecklistArgument,
    item: Annotated[str, typer.Argument(help="The item that is being asked.")],
    typed: Annotated[bool, typer.Option("--typed", help="Type what would be said.")] = False,
    audio: Annotated[Path | None, typer.Option(help="Listen to this sound file instead of a microphone.")] = None,
    microphone: MicrophoneOption = None,
    as_json: JsonOption = False,
    language: LanguageOption = "",
    model: ModelOption = None,
) -> None:
    """Listen, and show of each utterance what would be understood at an item; until Ctrl-C or the end of the sound.

    Nothing is kept. Without a sound card: --typed, or --audio FILE.

    Examples:  handsfree try my.yaml nose-tyres  |  handsfree try my.yaml nose-tyres --typed
    """
    if typed and audio:
        fail("--typed and --audio do not go together", "leave one of them out")
    book = prepared_book(read(find_checklist(checklist), language))
    asked = item_of(book, item)
    vocabulary = _vocabulary(book, asked)
    with suppress(KeyboardInterrupt), ExitStack() as stack:
        if not as_json:
            end = "" if audio else f" End with {'Ctrl-D' if typed else 'Ctrl-C'}."
            typer.echo(f"At {item}.{end}", err=True)
        utterances = _typed(vocabulary) if typed else _heard(stack, book, vocabulary, audio, microphone, model)
        for heard in utterances:
            near = [f"    or: {one.words} ({one.score:.2g})" for one in heard.alternatives]
            reply = _reply(book, asked, heard)
            row = _row(heard) | {"near": [{"words": one.words, "score": one.score} for one in heard.alternatives]}
            told = [f"    a walk would say: {reply}"] if reply else []
            row_out(row | {"reply": reply}, as_json, f"{_line(heard)}{_sure(heard)}", *told, *near)


def _vocabulary(book: Book, item: Item) -> Vocabulary:
    from handsfree.walk.events import Expect  # noqa: PLC0415

    return book.listening.vocabulary(Expect("item", item.id))


def _reply(book: Book, item: Item, heard: Heard) -> str:
    """What a walk would say to an answer before it goes on; empty where that is nothing, as for a pass."""
    from handsfree.walk.events import AskedNote, Say, Spoken, ZoneNote  # noqa: PLC0415
    from handsfree.walk.state import WalkState  # noqa: PLC0415

    if heard.outcome not in ("finding", "value"):
        return ""
    zone = book.checklist.zone_of(item.id).id
    holds = tuple(hold for hold in (item.needs, item.undoes) if hold)
    _, effects = book.walk.step(WalkState(moment="item", item=item.id, zone=zone, holds=holds), Spoken(heard))
    here = takewhile(lambda one: not isinstance(one, AskedNote | ZoneNote), effects)
    return " ".join(one.text for one in here if isinstance(one, Say))


def item_of(book: Book, name: str) -> Item:
    """An item by its id; ends the command when there is none."""
    try:
        return book.checklist.item(name)
    except KeyError:
        known = ", ".join(one.id for one in book.checklist.items())
        fail(f"the checklist has no item '{name}'", f"its items are: {known}")


def _typed(vocabulary: Vocabulary) -> Iterator[Heard]:
    from handsfree.listeners import understand  # noqa: PLC0415

    with suppress(EOFError):
        while True:
            line = input().strip()
            if line:
                yield understand(line, vocabulary)


def _heard(  # noqa: PLR0913, PLR0917  # what is listened with
    stack: ExitStack,
    book: Book,
    vocabulary: Vocabulary,
    audio: Path | None,
    microphone: str | None,
    model: Path | None,
) -> Iterator[Heard]:
    from handsfree.hearing.ears import Ears  # noqa: PLC0415
    from handsfree.models_by_language import locate  # noqa: PLC0415

    ears = Ears(locate(book.tongue.code, model).path)
    ears.prepare(vocabulary)
    frames = iter(_blocks(stack, audio, microphone))
    yield from _utterances(ears, frames, vocabulary)


def _blocks(stack: ExitStack, audio: Path | None, microphone: str | None) -> Iterator[Block]:
    if audio is not None:
        from handsfree.hearing.files import blocks_from_file  # noqa: PLC0415

        return iter(blocks_from_file(audio))
    from handsfree.hearing.microphone import Microphone  # noqa: PLC0415

    return iter(stack.enter_context(Microphone(microphone)))


def _utterances(ears: Ears, frames: Iterator[Block], vocabulary: Vocabulary) -> Iterator[Heard]:
    while True:
        utterance = ears.listen(frames, vocabulary, patience_s=None)
        if utterance.heard.why != "silence":
            yield utterance.heard
        if utterance.ended:
            return


def _row(heard: Heard) -> dict[str, Any]:
    meanings = [one.as_dict() for one in heard.meanings]
    return {
        "outcome": heard.outcome,
        "said": heard.said,
        "meaning": meanings[0] if len(meanings) == 1 else {"clauses": meanings} if meanings else None,
        "confidence": round(heard.confidence, 4),
        "snr_db": heard.snr_db,
        "decided_after_s": heard.decided_after_s,
    }


def _line(heard: Heard) -> str:
    return harmless(f"{heard.outcome}: {heard.said}{f' ({heard.why})' if heard.why else ''}".rstrip())


def _sure(heard: Heard) -> str:
    noise = "" if heard.snr_db is None else f", {heard.snr_db:.0f} dB over noise"
    return f"  ({heard.confidence:.0%} sure{noise})"
