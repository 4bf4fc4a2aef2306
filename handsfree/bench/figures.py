"""From trials to figures: shares with their intervals, times, and what was confused with what.  Pure."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from math import ceil

from pydantic import BaseModel, ConfigDict

from handsfree.bench.tasks import kind_of
from handsfree.bench.trial import BLOCK, Trial
from handsfree.drill.estimate import Estimate, share
from handsfree.hearing.recogniser import RATE

BIN_MS = 50
"""The width of a bar of the distribution of decision times.  In whole milliseconds, so that none is misplaced."""
FIRST_BIN_MS = -500
BINS = 50
"""Earlier and later times are counted in the first and the last bin."""


class Figure(BaseModel):
    """Frozen, and an unknown field is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)


class Share(Figure):
    """How many of how many, with the interval of 95 % confidence of their share."""

    hits: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """0 to 1; 0 where there was none to count."""
        return self.hits / self.of if self.of else 0.0


class Times(Figure):
    """A distribution of times, in seconds."""

    count: int
    median_s: float | None
    p95_s: float | None


class Figures(Figure):
    """What came of a number of trials."""

    name: str
    conditions: tuple[str, ...]
    tried: int
    right: Share
    right_within_two: Share
    """Right at first, or when the same was said again in fresh noise."""
    asked: Share
    missed: Share
    wrong: Share
    false_pass: Share
    """Of the defects that were spoken: taken for "nothing found", in either of the two tries."""
    false_finding: Share
    """Of the passes that were spoken: taken for a defect, in either of the two tries."""
    early_and_wrong: Share
    """Decided before the speech had ended, and wrong."""
    decided: Times
    """From the true end of speech to the decision, all answers."""
    findings_and_controls: Times
    passes: Times
    numbers: Times
    answered: Times
    """From the true end of speech to the answer, all answers."""


class Cost(Figure):
    """What hearing costs on this machine."""

    of_real_time: float
    """Seconds of work for each second of sound."""
    work_median_ms: float
    work_p99_ms: float
    """Milliseconds of work on each 100 ms of sound."""
    memory_mb: float
    """The most memory that a process of the bench needed."""


class Confused(Figure):
    """A phrase that was not understood at first, the worst first."""

    item: str
    words: str
    tried: int
    asked: int
    missed: int
    wrong: int
    false_passes: int
    heard: str
    """What it was most often taken for, where it was asked about or wrong."""


def share_of(flags: Iterable[bool]) -> Share:
    """How many are true; with nothing to count it may be any share."""
    counted = Counter(flags)
    found = share(counted[True], counted.total()) or Estimate(0.0, 0.0, 1.0)
    return Share(hits=counted[True], of=counted.total(), low=found.low, high=found.high)


def percentile(values: Iterable[float], part: float) -> float | None:
    """The least value that this part of the values (0 to 1) does not exceed; None where there is none."""
    ordered = sorted(values)
    return ordered[max(0, ceil(part * len(ordered)) - 1)] if ordered else None


def times(values: Iterable[float | None]) -> Times:
    """The figures of times; None is left out."""
    known = [value for value in values if value is not None]
    return Times(count=len(known), median_s=percentile(known, 0.5), p95_s=percentile(known, 0.95))


def figures(name: str, trials: Sequence[Trial]) -> Figures:
    """The figures of some trials."""

    def decided(*kinds: str) -> Times:
        return times(trial.decided_after_s for trial in trials if kind_of(trial.wanted) in kinds)

    return Figures(
        name=name,
        conditions=tuple(dict.fromkeys(trial.condition for trial in trials)),
        tried=len(trials),
        right=share_of(trial.verdict == "right" for trial in trials),
        right_within_two=share_of(trial.right_within_two for trial in trials),
        asked=share_of(trial.verdict == "asked" for trial in trials),
        missed=share_of(trial.verdict == "missed" for trial in trials),
        wrong=share_of(trial.verdict == "wrong" for trial in trials),
        false_pass=share_of(trial.false_pass for trial in trials if trial.defect),
        false_finding=share_of(trial.false_finding for trial in trials if trial.meant == "pass"),
        early_and_wrong=share_of(trial.early_and_wrong for trial in trials),
        decided=times(trial.decided_after_s for trial in trials),
        findings_and_controls=decided("finding", "control", "two clauses"),
        passes=decided("pass"),
        numbers=decided("number"),
        answered=times(trial.answered_after_s for trial in trials),
    )


def grouped(trials: Iterable[Trial], key: Callable[[Trial], str]) -> tuple[Figures, ...]:
    """The figures of each group, in the order in which they first come."""
    groups: dict[str, list[Trial]] = defaultdict(list)
    for trial in trials:
        groups[key(trial)].append(trial)
    return tuple(figures(name, group) for name, group in groups.items())


def cost(trials: Sequence[Trial]) -> Cost:
    """What hearing cost."""
    work = [ms for trial in trials for ms in _per_100_ms(trial.blocks_ms)]
    audio_s = sum(trial.audio_s for trial in trials)
    return Cost(
        of_real_time=sum(trial.cost_s for trial in trials) / audio_s if audio_s else 0.0,
        work_median_ms=percentile(work, 0.5) or 0.0,
        work_p99_ms=percentile(work, 0.99) or 0.0,
        memory_mb=max((trial.memory_mb for trial in trials), default=0.0),
    )


def _per_100_ms(blocks_ms: Sequence[float]) -> list[float]:
    together = RATE // 10 // BLOCK
    return [sum(blocks_ms[start : start + together]) for start in range(0, len(blocks_ms), together)]


def confused(trials: Iterable[Trial], most: int) -> tuple[Confused, ...]:
    """The phrases that were not understood at first: those with false passes, then those that were wrong most often."""
    phrases: dict[tuple[str, str], list[Trial]] = defaultdict(list)
    for trial in trials:
        phrases[trial.item, trial.words].append(trial)
    rows = [_confused(item, words, group) for (item, words), group in phrases.items()]
    bad = [row for row in rows if row.asked or row.missed or row.wrong]
    bad.sort(key=lambda row: (-row.false_passes, -row.wrong, -row.missed, -row.asked, row.item, row.words))
    return tuple(bad[:most])


def histogram(values: Iterable[float | None]) -> tuple[int, ...]:
    """How many times (seconds) fall in each of the `BINS`."""
    counts = [0] * BINS
    for value in values:
        if value is not None:
            counts[min(BINS - 1, max(0, (round(value * 1000) - FIRST_BIN_MS) // BIN_MS))] += 1
    return tuple(counts)


def _confused(item: str, words: str, trials: Sequence[Trial]) -> Confused:
    verdicts = Counter(trial.verdict for trial in trials)
    taken_for = Counter(
        f"{trial.outcome}: {trial.said}" for trial in trials if trial.verdict in {"asked", "wrong"}
    ).most_common(1)
    return Confused(
        item=item,
        words=words,
        tried=len(trials),
        asked=verdicts["asked"],
        missed=verdicts["missed"],
        wrong=verdicts["wrong"],
        false_passes=sum(trial.false_pass for trial in trials),
        heard=taken_for[0][0] if taken_for else "",
    )
