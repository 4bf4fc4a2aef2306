"""All figures of a bench; `report.json` is what the tables, the plots and the page are made from."""

from __future__ import annotations

import os
import platform
import sys
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from handsfree import __version__
from handsfree.bench import figures as of
from handsfree.bench.calibration import Reliability, reliability
from handsfree.bench.chatter import Chatter, Overheard
from handsfree.bench.chatter import figures as chatter_figures
from handsfree.bench.figures import Confused, Cost, Figure, Figures
from handsfree.bench.plan import Settings, columns
from handsfree.bench.prediction import Correlation, correlation, counts_by_item
from handsfree.bench.tasks import kind_of
from handsfree.bench.trial import Trial
from handsfree.pronunciation import Espeak

_MOST_CONFUSED = 40
_MOST_FALSE_PASSES = 200


class Machine(Figure):
    """Where it was measured."""

    processor: str
    cores: int
    memory_gb: float
    system: str
    python: str
    vosk: str

    def __str__(self) -> str:
        return f"{self.cores} cores of {self.processor}, {self.memory_gb:.0f} GB, {self.system}, Python {self.python}"


class FalsePass(Figure):
    """A defect that was taken for "nothing found"."""

    item: str
    words: str
    condition: str
    voice: str
    said: str
    """What was understood at the first try."""


class Other(Figure):
    """A way to listen."""

    name: str
    columns: tuple[Figures, ...]
    cost: Cost


class Report(Figure):
    """The figures of one bench."""

    version: str
    command: str
    day: str
    settings: Settings
    machine: Machine
    processes: int
    """How many trials ran at a time."""
    planned: int
    """How many answers there should be: an interrupted bench has fewer."""
    voices: tuple[str, ...]
    all: Figures
    """The columns together."""
    columns: tuple[Figures, ...]
    """Each the mean over the main noises at one level."""
    lines: tuple[Figures, ...]
    """Each one condition."""
    by_kind: tuple[Figures, ...]
    by_voice: tuple[Figures, ...]
    times: Mapping[str, tuple[int, ...]]
    """How often each decision time came, in bins as `figures.histogram` counts them."""
    cost: Cost
    reliability: Reliability
    """How far the ears' own confidence can be believed."""
    foretold: Correlation
    """How far `handsfree check` foretells which phrases are confused."""
    confused: tuple[Confused, ...]
    false_passes: tuple[FalsePass, ...]
    others: tuple[Other, ...] = ()
    """Other ways to listen, and first this one, on the sounds that all of them heard."""
    recorded: Figures | None = None
    recorded_confused: tuple[Confused, ...] = ()
    """Recordings of one's own, and what of them was not understood."""
    chatter: tuple[Chatter, ...] = ()
    """Hours in which nobody answered."""

    @property
    def tried(self) -> int:
        """How many trials there were."""
        return sum(line.tried for line in self.lines)


def report_of(  # noqa: PLR0913  # all that is told
    trials: Sequence[Trial],
    settings: Settings,
    *,
    ours: str,
    processes: int,
    recorded: Sequence[Trial] = (),
    overheard: Sequence[Overheard] = (),
) -> Report:
    """The figures of all trials, in whatever order they came."""
    ordered = sorted(trials, key=lambda trial: (trial.by, trial.seed))
    mine = [trial for trial in ordered if trial.by == ours]
    in_columns = [trial for column in _in_columns(mine, settings).values() for trial in column]
    compared = {trial.seed for trial in ordered if trial.by != ours}
    return Report(
        version=__version__,
        command=_command(),
        day=f"{datetime.now(UTC):%Y-%m-%d}",
        settings=settings,
        machine=this_machine(),
        processes=processes,
        planned=sum(line.count for line in settings.lines),
        voices=tuple(sorted({trial.voice for trial in mine})),
        all=of.figures("all", in_columns),
        columns=_columns(mine, settings),
        lines=_lines(mine, settings),
        by_kind=of.grouped(in_columns, lambda trial: kind_of(trial.wanted)),
        by_voice=tuple(sorted(of.grouped(in_columns, lambda trial: trial.voice), key=lambda one: one.name)),
        times={
            "findings and controls": _histogram(in_columns, "finding", "control", "two clauses"),
            "passes": _histogram(in_columns, "pass"),
        },
        cost=of.cost(mine),
        reliability=reliability(in_columns),
        foretold=correlation(counts_by_item(mine), Espeak().pronounce),
        confused=of.confused(mine, _MOST_CONFUSED),
        false_passes=_false_passes(mine),
        others=_by_listener([trial for trial in ordered if trial.seed in compared], ours, settings),
        recorded=of.figures("recordings", recorded) if recorded else None,
        recorded_confused=of.confused(recorded, _MOST_CONFUSED),
        chatter=chatter_figures(overheard),
    )


def this_machine() -> Machine:
    """What is known of this machine."""
    return Machine(
        processor=_first_of("/proc/cpuinfo", "model name") or platform.processor() or platform.machine(),
        cores=os.cpu_count() or 1,
        memory_gb=round(os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30, 1),
        system=platform.platform(terse=True),
        python=platform.python_version(),
        vosk=version("vosk"),
    )


def _in_columns(trials: Sequence[Trial], settings: Settings) -> dict[str, list[Trial]]:
    return {
        name: [trial for trial in trials if trial.condition in conditions]
        for name, conditions in columns(settings.lines).items()
    }


def _columns(trials: Sequence[Trial], settings: Settings) -> tuple[Figures, ...]:
    return tuple(of.figures(name, column) for name, column in _in_columns(trials, settings).items())


def _lines(trials: Sequence[Trial], settings: Settings) -> tuple[Figures, ...]:
    names = [line.condition.name for line in settings.lines]
    return tuple(of.figures(name, [trial for trial in trials if trial.condition == name]) for name in names)


def _by_listener(trials: Sequence[Trial], ours: str, settings: Settings) -> tuple[Other, ...]:
    found: list[Other] = []
    for name in sorted({trial.by for trial in trials}, key=lambda name: (name != ours, name)):
        heard = [trial for trial in trials if trial.by == name]
        found.append(Other(name=name, columns=_columns(heard, settings), cost=of.cost(heard)))
    return tuple(found)


def _histogram(trials: Sequence[Trial], *kinds: str) -> tuple[int, ...]:
    return of.histogram(trial.decided_after_s for trial in trials if kind_of(trial.wanted) in kinds)


def _false_passes(trials: Sequence[Trial]) -> tuple[FalsePass, ...]:
    return tuple(
        FalsePass(
            item=trial.item, words=trial.words, condition=trial.condition, voice=trial.voice,
            said=f"{trial.outcome}: {trial.said}",
        )
        for trial in trials
        if trial.false_pass
    )[:_MOST_FALSE_PASSES]  # fmt: skip


def _command() -> str:
    return " ".join([Path(sys.argv[0]).name, *sys.argv[1:]])


def _first_of(file: str, name: str) -> str:
    """The first value of a name in a table of the system's; empty where there is none."""
    try:
        lines = Path(file).read_text(encoding="utf-8").splitlines()
    except OSError:
        return ""
    return next((line.partition(":")[2].strip() for line in lines if line.startswith(name)), "")
