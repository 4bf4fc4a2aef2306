"""Questions at the start that were answered before the walk: read out in one breath, and asked no more."""

from __future__ import annotations

from pathlib import Path

from handsfree.book import Book
from handsfree.journal.reader import read
from handsfree.journal.writer import JournalWriter
from handsfree.replay import replay
from handsfree.session import Session
from handsfree.walk import route
from handsfree.walk.events import Begin, ConditionNote, IdentityNote, Say
from tests.checklist.written import checklist, item, zone
from tests.walk.conversation import Conversation, kept
from tests.walk.performance import Ears, Mouth, Screen

QUESTIONS = [{"id": one, "ask": f"{one}?"} for one in ("night", "first-of-day", "wet")]
ITEMS = [item(f"{one['id']}-item", only_if=one["id"]) for one in QUESTIONS]
BOOK = kept(Book(checklist(zone("nose", *ITEMS), conditions=QUESTIONS)))


def begun(*given: tuple[str, bool]) -> Conversation:
    return Conversation(BOOK, Begin(who="AB", registration="Q7KTA", level_check=False, given=given))


def spoken(talk: Conversation) -> list[str]:
    return [one.text for one in talk.effects if isinstance(one, Say)]


def noted(talk: Conversation) -> list[tuple[str, bool, bool]]:
    return [(one.condition, one.holds, one.assumed) for one in talk.effects if isinstance(one, ConditionNote)]


def test_only_the_others_are_asked() -> None:
    talk = begun(("first-of-day", True))
    assert [one for one in spoken(talk) if one.endswith("?")] == ["night?"]
    talk.say("negative")
    assert spoken(talk)[-1] == "wet?"
    talk.say("affirm")
    assert talk.state.item == "first-of-day-item"


def test_all_are_read_out_for_whoever_walks() -> None:
    assert "Given beforehand. Wet: yes. First of day: no." in spoken(begun(("wet", True), ("first-of-day", False)))
    assert not [one for one in spoken(begun()) if "beforehand" in one]


def test_they_decide_as_answers_do_and_are_written_as_such() -> None:
    talk = begun(("night", False), ("first-of-day", True), ("wet", False))
    assert noted(talk) == [("night", False, False), ("first-of-day", True, False), ("wet", False, False)]
    assert [route.status(talk.state, one) for one in BOOK.checklist.items()] == ["not asked", "open", "not asked"]
    assert len([one for one in talk.effects if isinstance(one, IdentityNote)]) == 1


def test_who_walks_is_still_asked_first() -> None:
    talk = Conversation(BOOK, Begin(level_check=False, given=(("night", True),)))
    assert talk.state.moment == "who"
    assert noted(talk) == []


def test_a_log_knows_of_them_and_the_walk_is_gone_on_with(tmp_path: Path) -> None:
    writer = JournalWriter.create(tmp_path / "walk", b"")
    session = Session(BOOK, writer, Mouth(), Ears(iter(())), Screen())
    session.begin(Begin("AB", "Q7KTA", level_check=False, given=(("night", False), ("wet", True))), "", "typed")
    writer.close()
    events = read(tmp_path / "walk").events
    state, missing = replay(BOOK, events)
    assert (state.conditions, missing) == ((("night", False),), []), "the second one is asked now"
    assert state == session.state
