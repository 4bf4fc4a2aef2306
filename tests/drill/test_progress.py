"""From attempt to attempt: points, d', and where the learning curve leads."""

from __future__ import annotations

from handsfree.drill.detection import Counts, detect
from handsfree.drill.order import compare
from handsfree.drill.progress import as_text, progress
from handsfree.drill.score import Score


def scored(points: int, hits: int = 5) -> Score:
    counts = Counts(hits=hits, misses=10 - hits, false_alarms=1, correct_rejections=20 if hits else 0)
    return Score(points, (), counts, detect(counts), compare((), ()))


def test_a_learner_who_comes_on_is_led_further() -> None:
    made = progress([scored(one) for one in (40, 60, 70, 75, 78)])
    assert made.points == (40, 60, 70, 75, 78)
    assert made.next_points is not None
    assert 78 < made.next_points.value < 85
    assert made.next_points.low <= made.next_points.value <= made.next_points.high <= 100
    assert "40, 60, 70, 75, 78 points" in as_text(made)[0]
    assert as_text(made)[-1].startswith("  the learning curve leads to 79 (")


def test_where_there_is_no_curve_it_says_why() -> None:
    assert as_text(progress([scored(40), scored(60)]))[-1] == "  no learning curve: fewer than 4 attempts"
    assert "same score" in as_text(progress([scored(50)] * 5))[-1]


def test_what_is_predicted_is_never_more_than_can_be_had() -> None:
    made = progress([scored(one) for one in (70, 85, 95, 100)])
    assert made.next_points is not None
    assert made.next_points.high <= 100
