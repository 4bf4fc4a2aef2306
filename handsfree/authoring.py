"""The command that makes a checklist by questions and answers."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist
from handsfree.checklist.problems import ChecklistError, Problem
from handsfree.checklist.schema import FILE_NAME, schema_text
from handsfree.errors import Mendable
from handsfree.journal.disk import write_synced
from handsfree.language.grammars import Grammars
from handsfree.resources import grammars_folder
from handsfree.shown import counted, harmless
from handsfree.terminal import INTERRUPTED
from handsfree.walking import LoudspeakerOption, MicrophoneOption, ModelOption, prompts_folder

if TYPE_CHECKING:
    from handsfree.drafting.interview import Person
    from handsfree.hearing.ears import Ears

_NOT_TO_NAME = frozenset({"general", "any"})
"""Rules of the grammar of findings that stand for many."""


def new(  # noqa: PLR0913, PLR0917  # one option a setting
    file: Annotated[Path, typer.Argument(help="The checklist; one that is there is gone on with.")] = Path(
        "my-aircraft.yaml"
    ),
    answers: Annotated[Path | None, typer.Option(help="Take the answers from this file, one a line.")] = None,
    voice: Annotated[
        bool, typer.Option("--voice", help="Questions are spoken, and choices answered by voice.")
    ] = False,
    microphone: MicrophoneOption = None,
    loudspeaker: LoudspeakerOption = None,
    model: ModelOption = None,
) -> None:
    """Make a checklist by answering questions. Each item is checked and kept before the next is asked for.

    With Ctrl-C or Ctrl-D it ends where it is; the same command goes on from there. Free text is always typed: a
    recogniser with a fixed grammar cannot take it.

    Examples:  handsfree new my-aircraft.yaml  |  handsfree new my-aircraft.yaml --voice
    """
    from handsfree.drafting.interview import Interview  # noqa: PLC0415  # slow to load
    from handsfree.hearing.ears import Ears  # noqa: PLC0415
    from handsfree.speech_model import locate  # noqa: PLC0415

    there = _there(file)
    grammars = Grammars.load(grammars_folder())
    ears = Ears(locate(model).path)
    with ExitStack() as stack:
        person = _person(stack, answers, ears if voice else None, grammars, microphone, loudspeaker)
        interview = Interview(
            person, _checking(ears, grammars, file), lambda text: _write(file, text), _rules(grammars)
        )
        try:
            kept = interview.go_on(there or interview.head())
        except (EOFError, KeyboardInterrupt):
            again = f"Go on with:  handsfree new {harmless(str(file))}"
            nothing = "Nothing is kept: an item is kept once all its questions are answered."
            typer.echo(f"\nStopped. {again if file.exists() else nothing}", err=True)
            raise typer.Exit(INTERRUPTED) from None
    if not file.exists():
        raise Mendable("a checklist has one item at least, and none was named", "answer with a zone and an item in it")
    typer.echo(
        harmless(
            f"{file}: {counted(kept, 'item')} more. Next:  handsfree check {file}  and  handsfree walk {file} --typed"
        )
    )


def _there(file: Path) -> str:
    """The text of a checklist that is there; one that is none is not touched."""
    if not file.exists():
        return ""
    load(file)
    return file.read_text(encoding="utf-8")


def _rules(grammars: Grammars) -> Mapping[str, str]:
    names = [one.removeprefix("findings.") for one in grammars.public_rules() if one.startswith("findings.")]
    return {name.replace("_", " "): f"<findings.{name}>" for name in names if name not in _NOT_TO_NAME}


def _write(file: Path, text: str) -> None:
    """With the JSON Schema beside it, which its first line names to editors."""
    schema = file.with_name(FILE_NAME)
    try:
        write_synced(file, text.encode())
        if not schema.exists():
            write_synced(schema, schema_text().encode())
    except OSError as error:
        raise Mendable(f"{file} cannot be written: {error.strerror}", "give a file in a folder of your own") from error


def _checking(ears: Ears, grammars: Grammars, file: Path) -> Callable[[str], Sequence[Problem]]:
    """What ``handsfree check`` would say of the newest items."""
    from handsfree.checklist.linter import check  # noqa: PLC0415
    from handsfree.pronunciation import Espeak  # noqa: PLC0415

    espeak = Espeak()

    def problems(text: str) -> Sequence[Problem]:
        known = {item.id for item in load(file).items()} if file.exists() else set[str]()
        with tempfile.TemporaryDirectory() as folder:
            tried = Path(folder) / file.name
            tried.write_text(text, encoding="utf-8")
            try:
                checklist = load(tried)
            except ChecklistError as error:
                return error.problems
        found = check(checklist, grammars, ears.knows, espeak.pronounce, espeak.seconds)
        return [one for one in found if _is_about_new(one, checklist, known)]

    return problems


def _is_about_new(problem: Problem, checklist: Checklist, known: set[str]) -> bool:
    match problem.where:
        case ("zones", int(zone), "items", int(item), *_):
            return checklist.zones[zone].items[item].id not in known
        case _:
            return False


def _person(  # noqa: PLR0913, PLR0917  # what it takes to speak and to hear
    stack: ExitStack,
    answers: Path | None,
    ears: Ears | None,
    grammars: Grammars,
    microphone: str | None,
    loudspeaker: str | None,
) -> Person:
    from handsfree.drafting.people import AtTheKeyboard, ByVoice  # noqa: PLC0415

    keyboard = AtTheKeyboard(_reading(answers), lambda text: typer.echo(harmless(text)))
    if ears is None:
        return keyboard
    from handsfree.hearing.microphone import Microphone  # noqa: PLC0415
    from handsfree.listeners import HalfDuplex  # noqa: PLC0415
    from handsfree.speaking.portaudio_speaker import PortAudioSpeaker  # noqa: PLC0415
    from handsfree.speaking.settings import VoiceSettings  # noqa: PLC0415
    from handsfree.speaking.voice import Voice  # noqa: PLC0415

    opened = stack.enter_context(Microphone(microphone))
    spoken = stack.enter_context(Voice(VoiceSettings(), prompts_folder(), PortAudioSpeaker(loudspeaker)))
    return ByVoice(keyboard, HalfDuplex(spoken, opened).say, ears, iter(opened), grammars)


def _reading(answers: Path | None) -> Callable[[str], str]:
    if answers is None:
        return input if sys.stdin.isatty() else _read_from_a_pipe
    try:
        lines = iter(answers.read_text(encoding="utf-8").splitlines())
    except (OSError, UnicodeDecodeError) as error:
        raise Mendable(f"{answers} cannot be read: {error}", "give a text file, one answer a line") from error

    def read(question: str) -> str:
        line = next(lines, None)
        if line is None:
            raise EOFError
        typer.echo(harmless(f"{question}{line}"))
        return line

    return read


def _read_from_a_pipe(question: str) -> str:
    """A line that no terminal shows: question and answer stand on one line, as if it had been typed."""
    typer.echo(harmless(question), nl=False)
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    line = line.rstrip("\n")
    typer.echo(harmless(line))
    return line
