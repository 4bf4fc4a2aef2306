"""The command ``handsfree bench``."""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, Self, TypeVar

import typer
from platformdirs import user_data_path
from rich.console import Console

from handsfree.shown import harmless, readable_json

if TYPE_CHECKING:
    from handsfree.bench.plan import Settings
    from handsfree.bench.report import Report
    from handsfree.bench.running import Place, Runner
    from handsfree.bench.trial import Trial

_Done = TypeVar("_Done")
REGRESSED = 1
INTERRUPTED = 3


def bench(  # noqa: PLR0913, PLR0917  # one option a setting
    checklist: Annotated[
        str, typer.Argument(help="A checklist file, or the name of a shipped one.")
    ] = "twin-turboprop",
    short: Annotated[
        bool, typer.Option("--short", help="A minute or two; exit code 1 when it got worse than its limits.")
    ] = False,
    count: Annotated[int | None, typer.Option(min=0, help="About so many answers in all, spread as usual.")] = None,
    seed: Annotated[int, typer.Option(min=0, help="Another seed: other answers, other noise.")] = 1,
    voices: Annotated[
        Literal["tuning", "reporting"], typer.Option(help="Which half of the voices; adjust with the tuning half only.")
    ] = "reporting",
    compare: Annotated[
        bool, typer.Option("--compare", help="Let other ways to listen hear every 20th sound too.")
    ] = False,
    chatter: Annotated[
        bool, typer.Option("--chatter", help="Listen to hours of talk to others and of noise as well.")
    ] = False,
    audio: Annotated[
        Path | None, typer.Option(help="Hear recordings too: a folder whose manifest.csv has file,item,phrase.")
    ] = None,
    out: Annotated[Path | None, typer.Option(help="Folder of the report; an interrupted run in it goes on.")] = None,
    readme: Annotated[
        Path | None, typer.Option(help="Measure nothing: write the table of --out into this file, between its markers.")
    ] = None,
    jobs: Annotated[int | None, typer.Option(min=1, help="Trials at a time; else one a core.")] = None,
    cluster: Annotated[str | None, typer.Option(help="Address of a Dask scheduler, to try on its workers.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print report.json instead of the table.")] = False,
    model: Annotated[Path | None, typer.Option(help="Folder of the speech model; else it is looked for.")] = None,
) -> None:
    """Measure how well the ears hear: synthetic inspectors speak in noise.

    It leaves trials.jsonl, report.json and report.html.  The whole takes hours: --count makes it smaller.

    Examples:  handsfree bench --short  |  handsfree bench --count 500 --voices tuning  |
    handsfree bench --out my-bench  |  handsfree bench --out my-bench --readme README.md
    """
    from handsfree.bench.plan import Settings  # noqa: PLC0415  # what measures takes time to load
    from handsfree.bench.running import Place  # noqa: PLC0415
    from handsfree.speech_model import locate  # noqa: PLC0415

    if readme is not None:
        _write_readme(readme, out)
        return
    if model is not None and not cluster:
        model = locate(model).path
    settings = Settings(
        checklist=checklist,
        seed=seed,
        short=short,
        count=count,
        voices=voices,
        compare=compare,
        chatter=chatter,
        audio=None if audio is None else str(audio),
    )
    folder = out or user_data_path("handsfree-walkaround") / "bench" / f"{datetime.now(UTC):%Y%m%dT%H%M%SZ}"
    typer.echo(harmless(f"Folder: {folder}"), err=True)
    report, finished = _measure(settings, Place(checklist, model), folder, jobs or os.cpu_count() or 1, cluster)
    _tell(report, folder, as_json=as_json)
    if not finished:
        again = shlex.join(["handsfree", *sys.argv[1:], *(() if out else ("--out", str(folder)))])
        typer.echo(harmless(f"Interrupted. Go on with:  {again}"), err=True)
        raise typer.Exit(INTERRUPTED)
    if short:
        _hold_to_limits(report)


def _measure(
    settings: Settings, place: Place, folder: Path, processes: int, cluster: str | None
) -> tuple[Report, bool]:
    """Make the trials that are not there yet; the report, and whether it is complete."""
    from handsfree.bench import running  # noqa: PLC0415
    from handsfree.bench.chatter import Overheard, stretches  # noqa: PLC0415
    from handsfree.bench.recordings import recordings  # noqa: PLC0415
    from handsfree.bench.report import report_of  # noqa: PLC0415
    from handsfree.bench.store import PAGE_NAME, REPORT_NAME, Store  # noqa: PLC0415
    from handsfree.book import Book  # noqa: PLC0415
    from handsfree.checklist.loading import load  # noqa: PLC0415
    from handsfree.resources import find_checklist  # noqa: PLC0415

    page = _page_maker()
    book = Book(load(find_checklist(settings.checklist)))
    planned = running.jobs(settings, book)
    recorded = recordings(Path(settings.audio), book) if settings.audio else ()
    talk = stretches(settings.chatter_s, len(tuple(book.checklist.items())), settings.seed)
    store = Store(folder, settings)
    heard: list[Trial] = []
    overheard: list[Overheard] = []
    run = _runner(processes, cluster)
    finished = False
    with suppress(KeyboardInterrupt), _Progress() as shown:
        lots = running.batches(running.left(planned, store.trials))
        for trial in shown.counted("answers", run(running.attempt, place, lots), len(planned), len(store.trials)):
            store.add(trial)
        lots = [[one] for one in recorded]
        heard.extend(shown.counted("recordings", run(running.hear, place, lots), len(recorded)))
        lots = [[one] for one in talk]
        overheard.extend(shown.counted("minutes of others", run(running.listen_in, place, lots), len(talk)))
        finished = True
    report = report_of(
        store.trials, settings,
        ours=running.OURS, processes=processes, recorded=heard, overheard=overheard,
    )  # fmt: skip
    (folder / REPORT_NAME).write_text(report.model_dump_json(indent=1) + "\n", encoding="utf-8")
    (folder / PAGE_NAME).write_text(page(report), encoding="utf-8")
    return report, finished


def _runner(processes: int, cluster: str | None) -> Runner:
    """Where the work is done."""
    if cluster is not None:
        from handsfree.bench.cluster import run_on  # noqa: PLC0415

        return partial(run_on, cluster)
    from handsfree.bench import running  # noqa: PLC0415

    return partial(running.run_here, processes)


class _Progress:
    """Counts what is done on the standard error output."""

    def __init__(self) -> None:
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn  # noqa: PLC0415

        columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
        self._shown = Progress(*columns, console=Console(stderr=True))

    def __enter__(self) -> Self:
        self._shown.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._shown.stop()

    def counted(self, what: str, work: Iterator[_Done], all_of_it: int, done: int = 0) -> Iterator[_Done]:
        """The same, counted; nothing is shown of what there is nothing of."""
        if not all_of_it:
            return
        task = self._shown.add_task(what, total=all_of_it, completed=done)
        for one in work:
            yield one
            self._shown.advance(task)


def _page_maker() -> Callable[[Report], str]:
    """What makes a page of a report; asked for first, because what it needs may not be there."""
    from handsfree.bench.errors import BenchError  # noqa: PLC0415

    try:
        from handsfree.bench.page import page  # noqa: PLC0415
    except ModuleNotFoundError as error:
        raise BenchError(
            f"the pictures of the report need {error.name}", "install this program with its extra: [bench]"
        ) from error
    return page


def _tell(report: Report, folder: Path, *, as_json: bool) -> None:
    from handsfree.bench.store import PAGE_NAME  # noqa: PLC0415
    from handsfree.bench.table import show  # noqa: PLC0415

    if as_json:
        typer.echo(readable_json(report.model_dump_json()))
        return
    show(report, Console(highlight=False, markup=False, emoji=False))
    typer.echo(harmless(f"Page: {folder / PAGE_NAME}"))


def _hold_to_limits(report: Report) -> None:
    from handsfree.bench.limits import SHORT_LIMITS  # noqa: PLC0415
    from handsfree.bench.targets import held_against  # noqa: PLC0415

    worse = [one for one in held_against(report, SHORT_LIMITS) if not one.reached]
    for one in worse:
        typer.echo(f"worse than it was: {one}", err=True)
    if worse:
        raise typer.Exit(REGRESSED)


def _write_readme(readme: Path, folder: Path | None) -> None:
    from pydantic import ValidationError  # noqa: PLC0415

    from handsfree.bench.errors import BenchError  # noqa: PLC0415
    from handsfree.bench.report import Report  # noqa: PLC0415
    from handsfree.bench.store import REPORT_NAME  # noqa: PLC0415
    from handsfree.bench.table import as_markdown, write_between_markers  # noqa: PLC0415

    if folder is None:
        raise BenchError("--readme needs a report", "name the folder of a finished bench with --out")
    try:
        report = Report.model_validate_json((folder / REPORT_NAME).read_text(encoding="utf-8"))
    except (OSError, ValidationError) as error:
        raise BenchError(
            f"{folder} holds no report of this version", "run handsfree bench --out FOLDER first"
        ) from error
    write_between_markers(readme, as_markdown(report))
