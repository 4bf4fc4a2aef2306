"""How much is tried in which noise."""

from __future__ import annotations

from handsfree.bench.plan import FULL, SHORT, Line, Settings, columns, scaled
from handsfree.bench.tasks import SHARES
from handsfree.bench.voices import REPORTING_VOICES
from handsfree.drill.estimate import share

DEFECTS = SHARES["finding"] + SHARES["two clauses"]


def defects(plan: tuple[Line, ...], column: str) -> int:
    return sum(int(line.count * DEFECTS) - 1 for line in plan if line.condition.name in columns(plan)[column])


def test_the_columns_are_means_over_the_main_noises() -> None:
    assert columns(FULL) == {
        "clean": ("clean",),
        "10 dB": ("pink 10 dB", "turbine 10 dB", "rain 10 dB"),
        "5 dB": ("pink 5 dB", "turbine 5 dB", "rain 5 dB"),
        "0 dB": ("pink 0 dB", "turbine 0 dB", "rain 0 dB"),
    }
    assert columns(SHORT) == columns(FULL)


def test_enough_defects_are_spoken_to_show_how_rare_a_false_pass_is() -> None:
    for column, bound in {"clean": 0.003, "10 dB": 0.001, "5 dB": 0.001, "0 dB": 0.003}.items():
        found = share(0, defects(FULL, column))
        assert found is not None
        assert found.high <= bound


def test_the_other_conditions_have_lines_of_their_own() -> None:
    in_columns = {name for names in columns(FULL).values() for name in names}
    alone = {line.condition.name for line in FULL} - in_columns
    assert {name.split()[0] for name in alone} >= {"wind", "propeller", "babble"}
    assert {name.partition(", ")[2] for name in alone} >= {"hangar", "clipped", "bluetooth", "raised"}


def test_a_count_is_spread_as_the_whole() -> None:
    small = scaled(FULL, 100)
    assert [line.condition for line in small] == [line.condition for line in FULL]
    assert abs(sum(line.count for line in small) - 100) <= len(small)
    assert Settings(checklist="any", count=100).lines == small


def test_there_are_six_voices_or_more() -> None:
    assert len(REPORTING_VOICES) >= 6
