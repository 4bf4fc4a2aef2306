"""All trials of a bench: planned, made by processes or a cluster, with the same figures."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import distributed
import pytest

from handsfree.bench.cluster import run_on
from handsfree.bench.errors import BenchError
from handsfree.bench.peers import PEERS
from handsfree.bench.plan import Settings
from handsfree.bench.report import report_of
from handsfree.bench.running import OURS, Job, Place, attempt, batches, jobs, left, run_here
from handsfree.bench.trial import Trial
from handsfree.bench.voices import REPORTING_VOICES, TUNING_VOICES
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.speech_model import ModelError
from tests.bench.made import trial

CHECKLIST = Path(__file__).parents[1] / "data" / "three-items.yaml"
SETTINGS = Settings(checklist=str(CHECKLIST), count=60)
MEASURED = {"decided_after_s", "answered_after_s", "cut_off", "cost_s", "blocks_ms", "memory_mb", "confidence"}
"""What is of the machine, and what differs a little with what a process heard before: the recogniser adds a trace of
noise (dither)."""


@pytest.fixture(scope="module")
def book() -> Book:
    return Book(load(CHECKLIST))


def test_no_two_jobs_are_the_same(book: Book) -> None:
    planned = jobs(SETTINGS, book)
    assert len({job.key for job in planned}) == len(planned) == sum(line.count for line in SETTINGS.lines)


def test_the_seed_decides_everything(book: Book) -> None:
    assert jobs(SETTINGS, book) == jobs(SETTINGS, book)
    assert set(jobs(SETTINGS, book)).isdisjoint(jobs(SETTINGS.model_copy(update={"seed": 2}), book))


@pytest.mark.parametrize(("half", "voices"), [("reporting", REPORTING_VOICES), ("tuning", TUNING_VOICES)])
def test_every_voice_of_the_half_speaks(book: Book, half: str, voices: Sequence[Any]) -> None:
    settings = Settings.model_validate({**SETTINGS.model_dump(), "voices": half, "count": 17})
    assert {job.voice for job in jobs(settings, book)} == {voice.name for voice in voices}


def test_others_hear_the_very_same_sounds(book: Book) -> None:
    by: dict[str, set[tuple[object, ...]]] = {}
    for job in jobs(SETTINGS.model_copy(update={"compare": True}), book):
        by.setdefault(job.by, set()).add((job.task, job.voice, job.condition, job.seed))
    assert by.keys() == {OURS, *PEERS}
    assert all(sounds <= by[OURS] for sounds in by.values())


def test_what_is_done_is_not_done_again(book: Book) -> None:
    planned = jobs(SETTINGS, book)
    done = [trial(by=job.by, seed=job.seed) for job in planned[:5]]
    assert left(planned, done) == planned[5:]


def test_lots_are_of_one_item_and_ours_come_first(book: Book) -> None:
    planned = jobs(SETTINGS.model_copy(update={"compare": True, "count": 300}), book)
    lots = batches(planned)
    assert Counter(job.key for lot in lots for job in lot) == Counter(job.key for job in planned)
    assert all(len({(job.by, job.task.item) for job in lot}) == 1 for lot in lots)
    ours = [lot[0].by == OURS for lot in lots]
    assert ours == sorted(ours, reverse=True)
    assert len({lot[0].task.item for lot in lots[:3]}) == 3


def unmeasured(trials: Sequence[Trial]) -> dict[int, dict[str, object]]:
    """The trials without what is of the machine."""
    return {one.seed: {name: value for name, value in asdict(one).items() if name not in MEASURED} for one in trials}


@pytest.fixture(scope="module")
def few(book: Book) -> tuple[Job, ...]:
    """A few in noise and a few without, of two items."""
    planned = jobs(SETTINGS, book)
    chosen = [[job for job in planned if job.condition.name == name][:3] for name in ("clean", "pink 5 dB")]
    return tuple(job for some in chosen for job in some)


@pytest.fixture(scope="module")
def made_here(few: Sequence[Job], model: Path) -> list[Trial]:
    return list(run_here(1, attempt, Place(str(CHECKLIST), model), [few]))


def test_trials_are_made(few: Sequence[Job], made_here: list[Trial]) -> None:
    assert {(one.seed, one.words, one.voice) for one in made_here} == {(j.seed, j.task.words, j.voice) for j in few}
    clean = [one for one in made_here if one.condition == "clean"]
    assert "right" in {one.verdict for one in clean}
    assert all(one.audio_s > 2 and one.cost_s > 0 and one.memory_mb > 50 for one in made_here)
    assert all(-0.5 < one.decided_after_s < 10 for one in clean if one.decided_after_s is not None)


@pytest.mark.slow
@pytest.mark.timeout(600)
def test_a_cluster_gives_the_same_figures(few: Sequence[Job], made_here: list[Trial], model: Path) -> None:
    library: Any = distributed  # its types are incomplete
    with library.LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        there = list(run_on(cluster.scheduler_address, attempt, Place(str(CHECKLIST), model), [few[:3], few[3:]]))
    assert unmeasured(there) == unmeasured(made_here)
    here, elsewhere = (report_of(some, SETTINGS, ours=OURS, processes=1) for some in (made_here, there))
    for one, other in zip(here.columns, elsewhere.columns, strict=True):
        assert (one.right, one.right_within_two, one.false_pass) == (
            other.right,
            other.right_within_two,
            other.false_pass,
        )


def test_what_goes_wrong_in_a_worker_is_told_here(few: Sequence[Job], tmp_path: Path) -> None:
    with pytest.raises(ModelError, match="no speech model") as caught:
        list(run_here(1, attempt, Place(str(CHECKLIST), tmp_path / "none"), [few[:1]]))
    assert caught.value.hint


def test_a_worker_that_dies_is_one_clear_error(few: Sequence[Job]) -> None:
    with pytest.raises(BenchError, match="was ended"):
        list(run_here(1, die, Place(str(CHECKLIST)), [few]))


def die(_place: Place, _lot: Sequence[Job]) -> list[Trial]:
    os._exit(1)


def test_a_cluster_that_does_not_answer_is_one_clear_error(few: Sequence[Job], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("handsfree.bench.cluster._WAIT_S", 0.5)
    with pytest.raises(BenchError, match="no Dask scheduler"):
        list(run_on("tcp://127.0.0.1:9", attempt, Place(str(CHECKLIST)), [few]))
