"""The command that looks at checklists for whoever writes them."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from functools import cache, partial
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from handsfree.checklist.lint.catalogue import RULES, rule_of
from handsfree.checklist.problems import ChecklistError, Problem
from handsfree.errors import Mendable
from handsfree.extras import how_to_install
from handsfree.journal.disk import write_synced
from handsfree.languages import known_languages
from handsfree.languages import language as language_of
from handsfree.resources import find_checklist
from handsfree.shown import harmless, json_line
from handsfree.terminal import row_out

if TYPE_CHECKING:
    from handsfree.checklist.lint.timing import Lasts
    from handsfree.checklist.lint.words import Knows
    from handsfree.language.sounds import Pronounce

_PASSES_AT_MOST = 5
"""Of mending: one mend can show the next, as an error in the form hides all that is behind it."""

_OF_FIELDS = frozenset({"schema", "translation"})
"""Problems of a file whose values could be read."""
_HIDES_THE_REST = _OF_FIELDS | {"file", "yaml"}
"""Problems with which a checklist cannot be loaded, so that the rules have not looked at it."""


def check(  # noqa: PLR0913, PLR0917  # one option a kind of answer
    files: Annotated[list[str] | None, typer.Argument(help="Checklist files, or names of shipped ones.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line, for machines.")] = False,
    sarif: Annotated[
        Path | None, typer.Option(help="Write the problems here as SARIF 2.1.0, for editors and CI.")
    ] = None,
    fix: Annotated[bool, typer.Option("--fix", help="Mend what can be mended safely, in the file.")] = False,
    notes: Annotated[bool, typer.Option("--notes", help="Show notes too: figures, and what is left open.")] = False,
    strict: Annotated[bool, typer.Option("--strict", help="End with 1 for a warning that nobody explained.")] = False,
    rules: Annotated[bool, typer.Option("--rules", help="List what is looked at, and end.")] = False,
    model: Annotated[Path | None, typer.Option(help="Folder of the speech model; else it is looked for.")] = None,
) -> None:
    """Check checklists: format, phrases, words that the speech model does not know, holds, limits, the way round.

    With --fix the file gets quotes round a number where text belongs, a list round one text, small letters in one of
    the given words, true and false for yes and no, and the first line that names the JSON Schema.

    A warning is explained by a comment on its line or the line above: # accepted HF209: no other word is used here

    Exit codes: 0 good, 1 errors (with --strict also warnings that nobody explained).

    Examples:  handsfree check my-aircraft.yaml  |  handsfree check my-aircraft.yaml --fix  |  handsfree check --rules
    """
    if rules:
        for rule in RULES:
            row_out(dataclasses.asdict(rule), as_json, f"{rule.number}  {rule.level:8} {rule.name:22} {rule.about}")
        return
    if not files:
        raise Mendable("no checklist is given", "handsfree check my-aircraft.yaml, or the name of a shipped one")
    looking = _Looking(*_means(), cache(partial(_knowing, model=model)))
    if notes and find_spec("scipy") is None:
        typer.echo(f"note: without scipy the way round is not measured: {how_to_install('authoring')}", err=True)
    found: list[Problem] = []
    for name in files:
        path = find_checklist(name)
        if fix:
            for one in looking.mend(path):
                row_out({"mended": _row(one)}, as_json, f"mended: {_line(one)}")
        here = looking.at(path)
        shown = [one for one in here if notes or one.level != "note"]
        for one in shown:
            row_out(_row(one), as_json, _line(one))
        found += here
        if not as_json:
            _sum_up(name, here, notes=notes)
    if sarif is not None:
        _write_sarif(sarif, found)
    bad = [one for one in found if one.level == "error" or (strict and one.level == "warning" and not one.accepted)]
    raise typer.Exit(1 if bad else 0)


def _means() -> tuple[Pronounce, Lasts]:
    from handsfree.pronunciation import Espeak  # noqa: PLC0415

    espeak = Espeak()
    if not espeak.answers():
        typer.echo("note: without espeak-ng (apt install espeak-ng) what sounds alike is told by letters", err=True)
    return espeak.pronounce, espeak.seconds


def _knowing(language: str, model: Path | None) -> Knows:
    """Which words the speech model of a language has; of another language than English there may be none here."""
    from handsfree.hearing.ears import Ears  # noqa: PLC0415  # slow to load
    from handsfree.models_by_language import MEASURED, locate  # noqa: PLC0415
    from handsfree.speech_model import ModelError  # noqa: PLC0415

    try:
        return Ears(locate(language, model if language == MEASURED else None).path).knows
    except ModelError as error:
        if language == MEASURED:
            raise
        typer.echo(f"note: words in '{language}' are not looked up: {error.message} ({error.hint})", err=True)
        return lambda _word: True


class _Looking:
    """Looks at files with everything that a look needs."""

    def __init__(self, pronounce: Pronounce, lasts: Lasts, knowing: Callable[[str], Knows]) -> None:
        """``knowing`` = by the language, which words its speech model has."""
        self._pronounce = pronounce
        self._lasts = lasts
        self._knowing = knowing

    def at(self, path: Path) -> list[Problem]:
        """Every problem of a file: errors first, notes last, and each level in the order of its lines."""
        from handsfree.checklist.accepted import explained  # noqa: PLC0415
        from handsfree.checklist.loading import in_order, languages, untranslated  # noqa: PLC0415

        try:
            looked = [self._in(path, language) for language in languages(path)]
            forgotten = untranslated(path)
        except ChecklistError as error:
            # What is not meant to be a checklist is not given the line of one.
            begun = all(one.code in _OF_FIELDS and one.where != ("format",) for one in error.problems)
            return [*error.problems, *(_about_file(path) if begun else ())]
        text = path.read_text(encoding="utf-8-sig")
        found = [one for problems, _ in looked for one in problems]
        noted = [one for _, notes in looked for one in notes]
        every = dict.fromkeys([*found, *forgotten, *_about_file(path), *noted])  # much is the same in each language
        return explained(in_order(every), text)

    def _in(self, path: Path, language: str) -> tuple[list[Problem], list[Problem]]:
        """The problems and the notes of a file in one of its languages."""
        from handsfree.checklist.linter import check as lint  # noqa: PLC0415
        from handsfree.checklist.linter import notes  # noqa: PLC0415
        from handsfree.checklist.loading import read  # noqa: PLC0415
        from handsfree.checklist.translations import FIELD  # noqa: PLC0415

        source = read(path, language)
        if language not in known_languages():
            hint = f"it has them for: {', '.join(known_languages())}"
            unknown = Problem(f"the program has no grammars for the language '{language}'", (FIELD,), hint=hint)
            return source.placed([dataclasses.replace(unknown, code="translation", field=FIELD)]), []
        grammars = language_of(language).grammars
        found = lint(source.checklist, grammars, self._knowing(language), self._pronounce, self._lasts)
        return source.placed(found), source.placed(notes(source.checklist, grammars, self._pronounce))

    def mend(self, path: Path) -> list[Problem]:
        """Mend a file as far as that is safe; the problems that are gone."""
        from handsfree.checklist.mending import mended  # noqa: PLC0415

        done: list[Problem] = []
        for _ in range(_PASSES_AT_MOST):
            able = [one for one in self.at(path) if one.mend is not None]
            if not able:
                break
            text, now = mended(path.read_text(encoding="utf-8"), able)
            if not now:
                break
            _write(path, text.encode())
            done += now
        return done


def _about_file(path: Path) -> list[Problem]:
    from handsfree.checklist.mending import missing_schema_line  # noqa: PLC0415

    found = missing_schema_line(path.read_text(encoding="utf-8-sig"))
    return [dataclasses.replace(one, file=str(path), line=1, column=1) for one in found]


def _row(problem: Problem) -> dict[str, Any]:
    return {"number": rule_of(problem.code).number, **dataclasses.asdict(problem)}


def _line(problem: Problem) -> str:
    return str(problem).replace(f"[{problem.code}]", f"[{rule_of(problem.code).number} {problem.code}]", 1)


def _sum_up(name: str, found: list[Problem], *, notes: bool) -> None:
    open_ones = [one for one in found if one.level != "note" and not one.accepted]
    hidden = sum(one.level == "note" for one in found)
    about_notes = f" ({hidden} notes: --notes shows them)" if hidden and not notes else ""
    if any(one.code in _HIDES_THE_REST for one in open_ones):
        typer.echo(harmless(f"{name}: what can be said, and what belongs together, is looked at when these are mended"))
    if not open_ones:
        typer.echo(harmless(f"{name}: good{about_notes}"))


def _write_sarif(file: Path, found: list[Problem]) -> None:
    from handsfree.checklist.sarif import as_sarif  # noqa: PLC0415

    _write(file, (json_line(as_sarif(found)) + "\n").encode())


def _write(file: Path, data: bytes) -> None:
    try:
        write_synced(file, data)
    except OSError as error:
        raise Mendable(f"{file} cannot be written: {error.strerror}", "give a file in a folder of your own") from error
