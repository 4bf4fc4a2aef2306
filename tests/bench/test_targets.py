"""What should be reached, and whether it is."""

from __future__ import annotations

import pytest

from handsfree.bench import targets
from handsfree.bench.targets import TARGETS, Target, held_against
from tests.bench.made import report, trial


@pytest.mark.parametrize(("limit", "reached"), [(0.5, True), (0.6, False)])
def test_more_is_better_for_what_is_right(limit: float, reached: bool) -> None:
    found = report(trial(seed=1), trial(seed=2, verdict="wrong"))
    (result,) = held_against(found, [Target(targets.RIGHT, "clean", limit)])
    assert result.reached is reached
    assert str(result) == f"right at first, clean: 50.00 % (wanted ≥ {100 * limit:.2f} %)"


@pytest.mark.parametrize(("limit", "reached"), [(0.2, True), (0.1, False)])
def test_less_is_better_for_times(limit: float, reached: bool) -> None:
    (result,) = held_against(report(trial()), [Target(targets.FINDINGS_MEDIAN, "all", limit)])
    assert result.reached is reached


def test_what_was_not_measured_is_not_reached() -> None:
    results = held_against(report(trial()), [target for target in TARGETS if target.where == "5 dB"])
    assert {(result.got, result.reached) for result in results} == {("not measured", False)}


def test_a_few_trials_cannot_show_that_a_false_pass_is_rare() -> None:
    seen, bound = held_against(
        report(trial()), [Target(targets.FALSE_PASSES, "clean", 0), Target(targets.FALSE_PASS_BOUND, "clean", 0.001)]
    )
    assert (seen.reached, bound.reached) == (True, False)


def test_every_target_has_a_figure() -> None:
    measured = report(
        *(trial(seed=n, condition=c) for n, c in enumerate(("clean", "pink 10 dB", "pink 5 dB", "pink 0 dB")))
    )
    unmeasured = [result.target.measure.name for result in held_against(measured, TARGETS) if result.value is None]
    assert unmeasured == ["passes decided, median"]  # no pass is among them
