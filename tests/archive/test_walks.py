"""What one walk has to say: trials, visits, and what was misheard."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.archive.events import read_log
from handsfree.archive.walks import Walk, walk_of
from handsfree.drill.attempt import attempt_of
from handsfree.drill.exercise import load_exercise
from handsfree.journal import events as log
from handsfree.journal.reader import EXERCISE_NAME, LOG_NAME
from tests.archive.made import Story
from tests.drill.practised import practise
from tests.drill.test_attempt import ROUND
from tests.walk.conversation import small


def told(story: Story) -> Walk:
    return walk_of(read_log(b"\n".join(story.lines())))


def outcome(story: Story) -> tuple[str, bool]:
    (trial,) = told(story).trials
    return trial.outcome, trial.named


def test_a_defect_is_hit_missed_or_omitted() -> None:
    assert outcome(Story().ask("tyres", "defect").finds("tyres")) == ("hit", True)
    assert outcome(Story().ask("tyres", "defect").passes("tyres")) == ("miss", False)
    assert outcome(Story().ask("tyres", "defect").leave("tyres")) == ("omitted", False)


@pytest.mark.parametrize("truth", ["sound", "odd"])
def test_what_is_no_defect_is_right_or_a_false_alarm(truth: str) -> None:
    assert outcome(Story().ask("tyres", truth).passes("tyres")) == ("right", False)
    assert outcome(Story().ask("tyres", truth).finds("tyres")) == ("false alarm", False)


def test_a_hit_may_call_the_defect_something_else() -> None:
    assert outcome(Story().ask("tyres", "defect", "worn").finds("tyres", "cut")) == ("hit", False)
    both = Story().ask("tyres", "defect", "worn").finds("tyres", "cut").finds("tyres", "worn")
    assert outcome(both) == ("hit", True)


def test_what_stands_at_the_end_counts() -> None:
    taken_back = Story().ask("tyres", "defect").finds("tyres").change(1, "withdrawn")
    assert outcome(taken_back) == ("omitted", False)
    assert outcome(taken_back.passes("tyres")) == ("miss", False)
    assert outcome(taken_back.finds("tyres").change(3, "stands")) == ("hit", True)
    assert outcome(Story().ask("tyres", "sound").passes("tyres").change(1, "repeat")) == ("omitted", False)


def test_a_finding_beside_a_pass_is_a_finding() -> None:
    assert outcome(Story().ask("tyres", "defect").passes("tyres").finds("tyres")) == ("hit", True)


def test_the_last_sight_of_an_item_counts() -> None:
    story = Story().ask("tyres", "sound").passes("tyres").change(1, "repeat").ask("tyres", "defect").finds("tyres")
    assert outcome(story) == ("hit", True)


def test_where_no_item_asks_a_report_names_the_zone_or_what_is_wrong() -> None:
    def reported(place: str | None, finding: str, *findings: str) -> str:
        story = (
            Story()
            .add(log.ZoneEvent(zone="nose"))
            .add(log.ZoneEvent(zone="tail"))
            .tell("defect", *findings, zone="tail")
        )
        return outcome(story.answer("finding", None, finding=finding, place=place, elsewhere=True))[0]

    assert reported("tail", "leak") == reported("tail", "leak", "leak") == "hit"
    assert reported("tail", "cut", "leak") == reported("nose", "leak", "leak") == "omitted"
    assert reported("left-side", "leak", "leak") == "hit"  # which zones a side has, the log does not say
    assert reported("left-side", "leak") == "omitted"


def test_a_report_that_belongs_to_a_zone_says_nothing_of_the_item_it_landed_on() -> None:
    story = Story().add(log.ZoneEvent(zone="nose")).tell("defect", "leak", zone="nose").ask("tyres", "sound")
    story.answer("finding", "tyres", finding="leak", elsewhere=True).passes("tyres")
    assert [(one.scene, one.outcome) for one in told(story).trials] == [
        ("nose-defect", "hit"),
        ("tyres-sound", "right"),
    ]


SPOKEN = {
    "all is right": ROUND,
    "a defect passed": ("negative", "covers off"),
    "called something else": ("negative", "blocked right", "affirm"),
    "odd and reported": ("negative", "cover on right", "affirm", "cut on tyre two", "affirm"),
    "taken back": ("negative", "cover on right", "affirm", "cut on tyre two", "negative", "nose gear serviceable"),
    "not answered": ("negative", "leave for later", "nose gear serviceable", "end the walk", "affirm"),
    "a zone's defect not reported": tuple(one for one in ROUND if one != "fuel leak left wing"),
    "a report where nothing is wrong": ("negative", "dent on the tail", "affirm"),
}


@pytest.mark.parametrize("spoken", SPOKEN)
def test_trials_are_those_of_the_score(tmp_path: Path, spoken: str) -> None:
    """As far as the trainee came: a scene that was never told is in no log."""
    journal = practise(tmp_path / "walk", "scenes", *SPOKEN[spoken])
    exercise = load_exercise(tmp_path / "walk" / EXERCISE_NAME, small().checklist)
    wanted = attempt_of(journal.events, small().checklist, exercise).trials
    sights = {one.scene for one in journal.events if isinstance(one, log.Sight)}
    found = walk_of(read_log((tmp_path / "walk" / LOG_NAME).read_bytes())).trials
    assert {one.scene: (one.outcome, one.named) for one in found} == {
        one.scene.id: (one.outcome, bool(one.named_rightly)) for one in wanted if one.scene.id in sights
    }
    assert found


def test_an_answer_is_timed_from_its_question() -> None:
    assert told(Story().ask("tyres").passes("tyres")).visits["tyres"].seconds == 3.0
    assert told(Story().ask("tyres").leave("tyres").ask("oil").passes("tyres")).visits["tyres"].seconds is None
    again = Story().ask("tyres").add(log.ResumedEvent(tool="")).passes("tyres")
    assert told(again).visits["tyres"].seconds is None


def test_what_happens_at_an_item_is_counted() -> None:
    story = Story().ask("tyres").hear("ask", "mumble", "tyres").leave("tyres").ask("tyres").passes("tyres")
    visit = told(story.add(log.Helped(help="why", item="tyres"))).visits["tyres"]
    assert (visit.asked, visit.asked_again, visit.put_off, visit.helped, visit.answered) == (2, 1, 1, 1, True)


def test_an_item_that_was_left_open_is_not_answered() -> None:
    visits = told(Story().ask("tyres").finds("tyres").ask("oil").end("tyres", "strut")).visits
    assert {item: one.answered for item, one in visits.items()} == {"tyres": False, "oil": False, "strut": False}


def taken_back(story: Story) -> list[str]:
    walk = told(story)
    return [one.said for one in walk.heard if one.seq in walk.taken_back]


def test_what_is_called_wrong_at_once_was_misheard() -> None:
    assert taken_back(Story().ask("tyres").passes("tyres", "dry").control("correction")) == ["dry"]
    assert taken_back(Story().ask("tyres").finds("tyres", "cut").control("negative", moment="read_back")) == ["cut"]
    assert taken_back(Story().ask("tyres").passes("tyres", "dry").hear("none", "talk").control("disregard")) == ["dry"]


def test_negative_is_an_answer_where_it_is_asked_for() -> None:
    assert taken_back(Story().ask("tyres").passes("tyres", "dry").control("negative", moment="condition")) == []
    assert taken_back(Story().control("say_again").control("correction")) == []
    assert taken_back(Story().ask("tyres").passes("tyres", "dry").control("say_again").control("correction")) == []


def test_what_was_not_for_this_check_is_not_kept() -> None:
    assert told(Story().hear("none", "boarding at gate four")).heard == []


def test_servicing_after_the_end_opens_a_walk_again() -> None:
    assert told(Story().ask("tyres").end()).outcome == "complete"
    assert told(Story().ask("tyres").end("oil")).outcome == "incomplete"
    assert told(Story().ask("tyres").end().add(log.Servicing(items=("tyres",)))).outcome == "interrupted"
    assert told(Story().ask("tyres").end().add(log.Servicing(items=()))).outcome == "complete"
