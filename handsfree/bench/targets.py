"""What the ears should reach, and what they must not fall below."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from handsfree.bench.figures import Figures
from handsfree.bench.report import Report


@dataclass(frozen=True, slots=True)
class Measure:
    """One figure that has a limit."""

    name: str
    of: Callable[[Figures, Report], float | None]
    unit: str
    at_least: bool = False
    """Whether more is better."""

    def shown(self, value: float | None) -> str:
        """The value for people."""
        match value, self.unit:
            case None, _:
                return "not measured"
            case float() | int(), "%":
                return f"{100 * value:.2f} %"
            case float() | int(), "":
                return f"{value:g}"
            case _:
                return f"{value:.2f} {self.unit}"


RIGHT = Measure("right at first", lambda one, _: _known(one, one.right.share), "%", at_least=True)
WITHIN_TWO = Measure("right within two", lambda one, _: _known(one, one.right_within_two.share), "%", at_least=True)
FALSE_PASSES = Measure("false passes seen", lambda one, _: _known(one, one.false_pass.hits), "")
FALSE_PASS_BOUND = Measure("false pass, upper 95 % bound", lambda one, _: _known(one, one.false_pass.high), "%")
EARLY_AND_WRONG = Measure("wrong early decisions", lambda one, _: _known(one, one.early_and_wrong.share), "%")
FINDINGS_MEDIAN = Measure(
    "findings and controls decided, median", lambda one, _: one.findings_and_controls.median_s, "s"
)
PASSES_MEDIAN = Measure("passes decided, median", lambda one, _: one.passes.median_s, "s")
DECIDED_P95 = Measure("all answers decided, 95 of 100", lambda one, _: one.decided.p95_s, "s")
COST = Measure("cost, of real time", lambda one, report: _known(one, report.cost.of_real_time), "times")
WORK_P99 = Measure("work on 100 ms of sound, 99 of 100", lambda one, report: _known(one, report.cost.work_p99_ms), "ms")


@dataclass(frozen=True, slots=True)
class Target:
    """A limit of one figure."""

    measure: Measure
    where: str
    """A column of the table, or "all"."""
    limit: float


@dataclass(frozen=True, slots=True)
class Result:
    """A target, and what was measured."""

    target: Target
    value: float | None

    @property
    def reached(self) -> bool:
        """Whether the figure is as good as it should be; one that was not measured is not."""
        if self.value is None:
            return False
        return self.value >= self.target.limit if self.target.measure.at_least else self.value <= self.target.limit

    @property
    def wanted(self) -> str:
        """The limit for people."""
        sign = "≥" if self.target.measure.at_least else "≤"
        return f"{sign} {self.target.measure.shown(self.target.limit)}"

    @property
    def got(self) -> str:
        """The value for people."""
        return self.target.measure.shown(self.value)

    def __str__(self) -> str:
        return f"{self.target.measure.name}, {self.target.where}: {self.got} (wanted {self.wanted})"


def _at(measure: Measure, limits: Mapping[str, float]) -> tuple[Target, ...]:
    return tuple(Target(measure, where, limit) for where, limit in limits.items())


TARGETS: tuple[Target, ...] = (
    *_at(RIGHT, {"clean": 0.995, "10 dB": 0.96, "5 dB": 0.90, "0 dB": 0.75}),
    *_at(WITHIN_TWO, {"clean": 1.0, "10 dB": 0.995, "5 dB": 0.98, "0 dB": 0.90}),
    *_at(FALSE_PASSES, {"clean": 0}),
    *_at(FALSE_PASS_BOUND, {"10 dB": 0.001, "5 dB": 0.001, "0 dB": 0.003}),
    *_at(FINDINGS_MEDIAN, {"all": 0.25}),
    *_at(PASSES_MEDIAN, {"all": 0.40}),
    *_at(DECIDED_P95, {"all": 0.60}),
    *_at(EARLY_AND_WRONG, {"all": 0.002}),
    *_at(COST, {"all": 0.15}),
    *_at(WORK_P99, {"all": 30.0}),
)
"""What a full bench should reach."""


def held_against(report: Report, targets: Sequence[Target]) -> tuple[Result, ...]:
    """What was measured for each target."""
    places = {column.name: column for column in (*report.columns, report.all)}
    return tuple(
        Result(target, target.measure.of(places[target.where], report) if target.where in places else None)
        for target in targets
    )


def _known(of: Figures, value: float) -> float | None:
    return value if of.tried else None
