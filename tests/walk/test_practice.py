"""Practice: scenes are told, help is counted, nobody is prompted who goes from memory, the place is lost on purpose."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from handsfree.walk.events import (
    AskedNote,
    Effect,
    HelpedNote,
    InterruptedNote,
    ReturnedNote,
    Say,
    ServicingNote,
    SightNote,
    Silence,
)
from tests.drill.practised import practising
from tests.walk.conversation import Conversation, small

BEFORE_THE_CALL = ("negative", "cover on right", "affirm", "nose gear serviceable", "pressure on", "pins proud")
BEFORE_SERVICING = (
    *BEFORE_THE_CALL, "brake lines", "lines dry", "one five zero", "affirm", "disc red", "pump off", "caps locked",
)  # fmt: skip


def said(effects: Sequence[Effect]) -> str:
    return " ".join(one.text for one in effects if isinstance(one, Say))


def helps(talk: Conversation) -> list[tuple[str | None, str]]:
    return [(one.item, one.help) for one in talk.effects if isinstance(one, HelpedNote)]


# ---- scenes


def test_it_says_that_it_is_practice_and_what_the_situation_is() -> None:
    words = said(practising("scenes").effects)
    assert "Caution. Stay clear of the propellers." in words, "the cautions stay"
    assert "This is practice. You hear what is to be seen." in words
    assert "It is a dry morning." in words


def test_at_each_item_the_scene_follows_the_question_and_its_truth_is_noted_and_not_said() -> None:
    talk = practising("scenes")
    effects = talk.say("negative")
    assert said(effects).endswith("Pitot covers? The left tube is bare. Over the right one hangs a grey bag.")
    note = next(one for one in effects if isinstance(one, SightNote))
    assert (note.item, note.zone, note.scene, note.truth) == ("pitot-covers", "nose", "cover-left", "defect")
    assert said(talk.say("say again")) == "Pitot covers? The left tube is bare. Over the right one hangs a grey bag."


def test_a_scene_where_no_item_asks_is_told_with_its_zone_and_once() -> None:
    talk = practising("scenes")
    words = said(talk.say(*BEFORE_THE_CALL[:4]))
    assert "Left wing. Caution: The brakes may be hot. Under the left wing a drop hangs and falls" in words
    notes = [one for one in talk.effects if isinstance(one, SightNote) and one.item is None]
    assert [(one.zone, one.scene) for one in notes] == [("left-wing", "wing-drip")]
    talk.say("fuel leak left wing", "affirm")
    assert [one.item for one in talk.effects if isinstance(one, SightNote)].count(None) == 1


def test_a_walk_round_a_real_aircraft_knows_none_of_the_words_of_practice() -> None:
    talk = Conversation(small())
    talk.say("negative")
    for words in ("tell me why", "what comes next", "what does bad look like", "brake lines"):
        assert talk.hear(words).outcome in ("ask", "none"), words


# ---- help


@pytest.mark.parametrize(
    ("words", "help_", "answer"),
    [
        ("tell me why", "why", "The checklist does not say why."),
        ("what does bad look like", "what bad looks like", "A cover, tape or insects are a finding."),
        ("what do I look for", "what to look for", "Both tubes bare"),
        ("what comes next", "what comes next", "Next: nose gear."),
        ("where are we", "where", "pitot covers"),
        ("what is left", "what is left", "9 to go"),
    ],
)
def test_each_help_is_given_and_noted_and_the_question_is_put_again(words: str, help_: str, answer: str) -> None:
    talk = practising("scenes")
    talk.say("negative")
    effects = talk.say(words)
    assert answer in said(effects)
    assert said(effects).endswith("grey bag.")
    assert helps(talk) == [("pitot-covers", help_)]


def test_a_guided_trainee_is_told_what_to_look_for_with_the_question_and_shorter_when_it_is_put_again() -> None:
    talk = practising("guided", bare=True)
    talk.state = talk.state.but(full_prompts=True)
    words = said(talk.say("negative"))
    assert "Check that both pitot covers are removed" in words
    assert "Both tubes bare" in words
    assert "Both tubes bare" not in said(talk.turn(Silence()))
    talk.say("short prompts")
    assert said(talk.say("covers off")).endswith("Nose gear, tyres and leaks?")


# ---- interruptions


def test_a_call_comes_between_question_and_answer_and_the_trainee_says_where_to_go_on() -> None:
    talk = practising("scenes")
    effects = talk.say(*BEFORE_THE_CALL)
    assert said(effects).endswith("The radio calls you. Answer it. When you are back, say where you go on.")
    assert [one.item for one in effects if isinstance(one, InterruptedNote)] == ["brake-lines"]
    assert talk.state.moment == "where"
    assert talk.turn(Silence()) == (), "who answers a call may take their time"
    effects = talk.say("brake lines")
    assert [(one.item, one.due) for one in effects if isinstance(one, ReturnedNote)] == [("brake-lines", "brake-lines")]
    assert (talk.state.moment, talk.state.item) == ("item", "brake-lines")
    assert "You were at" not in said(effects)


@pytest.mark.parametrize(("words", "named"), [("main tyre pressure", "tyre-pressure"), ("tail", None)])
def test_who_goes_on_at_another_place_is_put_right_and_it_is_noted(words: str, named: str | None) -> None:
    talk = practising("scenes")
    effects = talk.say(*BEFORE_THE_CALL, words)
    assert "You were at: brake lines." in said(effects)
    assert [(one.item, one.due) for one in effects if isinstance(one, ReturnedNote)] == [(named, "brake-lines")]
    assert talk.state.item == "brake-lines"


def test_nothing_interrupts_the_same_item_twice() -> None:
    talk = practising("scenes")
    talk.say(*BEFORE_THE_CALL, "brake lines", "leave for later", "one five zero", "affirm", "disc red")
    assert talk.state.item == "brake-lines"
    assert sum(isinstance(one, InterruptedNote) for one in talk.effects) == 1


def test_who_does_not_know_asks_and_that_is_a_help() -> None:
    talk = practising("scenes")
    words = said(talk.say(*BEFORE_THE_CALL, "where are we"))
    assert "brake lines" in words
    assert helps(talk)[-1] == ("brake-lines", "where")
    assert talk.state.moment == "where"


def test_a_finding_said_during_the_interruption_is_kept() -> None:
    talk = practising("scenes")
    talk.say(*BEFORE_THE_CALL, "fuel leak left wing", "affirm")
    assert talk.state.answers[-1].confirmed
    assert (talk.state.moment, said(talk.say("say again"))) == ("where", "When you are back, say where you go on.")
    talk.say("brake lines")
    assert talk.state.item == "brake-lines"


def test_after_servicing_its_items_are_asked_again_once_it_is_reported() -> None:
    talk = practising("scenes")
    effects = talk.say(*BEFORE_SERVICING)
    assert "A fuel truck has come and has gone again." in said(effects)
    effects = talk.say("servicing done")
    assert [one.items for one in effects if isinstance(one, ServicingNote)] == [("fuel-caps",)]
    talk.say("covers in hand", "four")
    assert talk.state.item == "fuel-caps"


# ---- from memory


def test_from_memory_nothing_is_prompted_and_the_scene_is_told_where_the_trainee_says_to_be() -> None:
    talk = practising("memory")
    effects = talk.say("negative")
    assert (talk.state.moment, said(effects)) == ("where", "Where are you?")
    assert talk.turn(Silence()) == ()
    assert said(talk.say("nose gear")).endswith("A yellow stripe runs from the rim to the rubber.")
    assert said(talk.say("tyres good")) == "", "nobody asks for the rest"
    assert said(talk.say("no leak")) == ""
    assert talk.state.item == "nose-gear", "the trainee says where to go"
    talk.say("pitot covers", "cover on right", "affirm")
    assert [one.item for one in talk.effects if isinstance(one, AskedNote)] == ["nose-gear", "pitot-covers"]


def test_from_memory_an_item_waits_for_what_it_needs_of_the_cockpit() -> None:
    talk = practising("memory")
    words = said(talk.say("negative", "left wing", "brake wear pins"))
    assert words == "Not yet: brake wear pins. Something must be asked of the cockpit first."
    talk.say("hydraulic pressure", "pressure on", "brake wear pins")
    assert talk.state.item == "brake-pins"


def test_from_memory_the_cautions_of_a_zone_are_still_given() -> None:
    talk = practising("memory")
    assert "Caution: The brakes may be hot." in said(talk.say("negative", "left wing"))


def test_from_memory_the_end_names_what_was_left_out_and_that_is_noted() -> None:
    talk = practising("memory")
    effects = talk.say("negative", "pitot covers", "covers off", "end the walk")
    assert "nose gear" in said(effects)
    assert helps(talk)[-1] == ("pitot-covers", "what was left out")
    talk.say("affirm")
    assert talk.state.outcome == "incomplete"


def test_from_memory_an_item_can_be_come_back_to_and_answered_anew() -> None:
    talk = practising("memory")
    talk.say("negative", "pitot covers", "covers off", "nose gear", "nose gear serviceable", "pitot covers")
    talk.say("cover on left", "affirm")
    standing = talk.state.standing_at("pitot-covers")
    assert [one.kind for one in standing] == ["finding"]


def test_from_memory_a_report_before_any_item_can_be_refused() -> None:
    talk = practising("memory")
    talk.say("negative", "fuel leak left wing", "negative")
    assert talk.state.answers[-1].standing == "withdrawn"
    assert talk.state.moment == "where"
    assert said(talk.say("tell me why")) == "Where are you?"
