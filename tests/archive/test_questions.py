"""What an instructor asks of a small class whose answers are known."""

from __future__ import annotations

from collections.abc import Generator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from statistics import mean

import pytest

from handsfree.archive.facts import facts_of
from handsfree.archive.questions import MOST_NAMED, Answers, answers
from handsfree.drill.detection import detect
from handsfree.drill.estimate import share
from tests.archive.made import BEGAN, Story


@contextmanager
def asked(folder: Path) -> Generator[Answers]:
    with facts_of(folder) as facts:
        yield answers(facts)


def attempt(  # noqa: PLR0913
    who: str, day: int, *, finds: int, passes: int, alarms: int = 0, right: int = 4
) -> Story:
    """Defects at "tyres", and at "oil" what is none."""
    story = Story(who, began=BEGAN + timedelta(days=day), exercise=f"day-{day}")
    for number, (truth, reported) in enumerate(
        [("defect", True)] * finds
        + [("defect", False)] * passes
        + [("sound", True)] * alarms
        + [("odd", False)] * right
    ):
        item = f"{'tyre' if truth == 'defect' else 'oil'}-{number}"
        story.ask(item, truth)
        story = story.finds(item) if reported else story.passes(item)
    return story.end()


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Answers:
    """Two trainees with three and two attempts, in folders whose names are in another order; and a real walk."""
    folder = tmp_path_factory.mktemp("class")
    attempt("AB", 0, finds=1, passes=3, alarms=1).write(folder / "z")
    attempt("AB", 1, finds=2, passes=2).write(folder / "y")
    attempt("AB", 2, finds=4, passes=0).write(folder / "x")
    attempt("CD", 0, finds=3, passes=1).write(folder / "w")
    attempt("CD", 3, finds=4, passes=0).write(folder / "v")
    Story("EF", practice="").ask("tyre-0").leave("tyre-0").ask("oil").hear("ask", "mumble", "oil").passes("oil").end(
        "tyre-0"
    ).write(folder / "real")
    with asked(folder) as found:
        return found


def test_attempts_are_numbered_in_the_order_of_time(told: Answers) -> None:
    assert [(one.who, one.number, one.exercise, one.folder) for one in told.attempts] == [
        ("AB", 1, "day-0", "z"), ("AB", 2, "day-1", "y"), ("AB", 3, "day-2", "x"),
        ("CD", 1, "day-0", "w"), ("CD", 2, "day-3", "v"),
    ]  # fmt: skip


def test_d_prime_is_that_of_the_score(told: Answers) -> None:
    for one in told.attempts:
        wanted = detect(one.counts).d_prime
        assert wanted is not None
        assert one.d_prime == pytest.approx(wanted.value)
    first = told.attempts[0].counts
    assert (first.hits, first.misses, first.false_alarms, first.correct_rejections) == (1, 3, 1, 4)


def test_the_class_at_each_attempt_is_the_mean_of_those_who_came_so_far(told: Answers) -> None:
    d_primes = {(one.who, one.number): one.d_prime for one in told.attempts}
    first, second, third = told.steps
    assert [one.trainees for one in told.steps] == [2, 2, 1]
    assert first.d_prime.value == pytest.approx(mean([d_primes["AB", 1] or 0, d_primes["CD", 1] or 0]))
    assert second.hit_rate == share(6, 8)
    assert first.false_alarm_rate == share(1, 9)
    assert third.d_prime.low == third.d_prime.value == d_primes["AB", 3]
    assert told.paces[0].why_not == "fewer than 4 attempts"


def test_items_are_told_by_the_surest_misses(told: Answers) -> None:
    missed = {one.name: one for one in told.items}
    assert next(iter(missed)) == "tyre-3"
    assert (missed["tyre-3"].defects, missed["tyre-3"].passed, missed["tyre-3"].omitted) == (5, 3, 0)
    assert missed["tyre-3"].share == share(3, 5)
    assert missed["tyre-3"].by == (("AB", 2), ("CD", 1))
    assert missed["tyre-0"].share == share(0, 5)
    assert "oil-4" not in missed


def test_trainees_are_told_likewise(told: Answers) -> None:
    (worse, better) = told.trainees
    assert (worse.name, worse.defects, worse.passed, worse.sound, worse.alarms) == ("AB", 12, 5, 13, 1)
    assert (better.name, better.share) == ("CD", share(1, 8))


def test_who_tells_least_apart_comes_first(told: Answers) -> None:
    assert [(one.who, one.attempts) for one in told.ways] == [("AB", 3), ("CD", 2)]
    assert told.ways[0].last == detect(told.attempts[2].counts).d_prime
    assert told.ways[0].first == told.attempts[0].d_prime


def test_real_walks_are_counted_apart(told: Answers) -> None:
    real, practised = told.kinds
    assert (real.practice, real.walks, real.people, real.complete) == ("", 1, 1, 0)
    assert (practised.practice, practised.walks, practised.people, practised.complete) == ("scenes", 5, 2, 5)
    stops = {one.item: one for one in real.stops}
    assert (stops["tyre-0"].put_off, stops["tyre-0"].unanswered, stops["tyre-0"].median_s) == (1, 1, None)
    assert (stops["oil"].asked_again, stops["oil"].unanswered, stops["oil"].median_s) == (1, 0, 4.0)
    assert real.stops[0].item == "tyre-0"


def test_the_phrases_with_the_most_trouble_come_first(tmp_path: Path) -> None:
    story = Story().ask("oil")
    for _ in range(3):
        story.hear("ask", "mumble", "oil").passes("oil", "dry").control("correction", "oil")
    story.passes("oil", "dry").passes("oil", "in place").control("affirm").end().write(tmp_path / "one")
    with asked(tmp_path) as found:
        mumble, dry = sorted(found.phrases, key=lambda one: -one.asked_again)
        assert (mumble.said, mumble.heard, mumble.asked_again, mumble.taken_back) == ("mumble", 3, 3, 0)
        assert (dry.said, dry.heard, dry.asked_again, dry.taken_back) == ("dry", 4, 0, 3)
        assert dry.trouble == share(3, 4)


def test_only_the_first_few_are_named_at_an_item(tmp_path: Path) -> None:
    for number in range(MOST_NAMED + 3):
        attempt(f"T{number}", number, finds=0, passes=1).write(tmp_path / str(number))
    with asked(tmp_path) as found:
        assert found.items[0].by == tuple((f"T{number}", 1) for number in range(MOST_NAMED))


def test_an_attempt_without_a_defect_has_no_d_prime(tmp_path: Path) -> None:
    attempt("AB", 0, finds=0, passes=0).write(tmp_path / "one")
    with asked(tmp_path) as found:
        assert (found.attempts[0].d_prime, found.steps, found.items) == (None, (), ())
        assert (found.ways[0].first, found.ways[0].last) == (None, None)


def test_the_curve_of_a_class_that_comes_to_rest(tmp_path: Path) -> None:
    for day, (finds, passes) in enumerate([(2, 8), (6, 4), (8, 2), (9, 1), (9, 1), (9, 1)]):
        attempt("AB", day, finds=finds, passes=passes, right=20).write(tmp_path / str(day))
    with asked(tmp_path) as found:
        (pace,) = found.paces
        assert pace.plateau is not None
        assert pace.attempts is not None
        assert pace.plateau.value == pytest.approx(found.steps[-1].d_prime.value, abs=0.2)
        assert pace.attempts < 2


def test_damaged_logs_only_leave_nothing_to_tell(tmp_path: Path) -> None:
    folder = Story().write(tmp_path / "one")
    (folder / "log.jsonl").write_bytes(b"")
    with asked(tmp_path) as found:
        assert (found.logs, len(found.damaged), found.kinds, found.first) == (1, 1, (), None)
