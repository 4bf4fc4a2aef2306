"""Findings as sentences: what was said, and never more."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from handsfree.debrief.entries import PRACTICE
from handsfree.debrief.gathering import Debrief
from handsfree.journal import events as log
from tests.debrief import made

_MORNING = datetime(2026, 1, 5, 6, 12, 30, tzinfo=UTC)


def in_the_morning(event: log.AnyEvent) -> log.AnyEvent:
    return event.model_copy(update={"time": _MORNING})


def sentences(walk: Debrief) -> list[str]:
    return [one.sentence for one in walk.entries]


def test_a_finding_is_a_sentence_with_chapter_place_words_and_time(tmp_path: Path) -> None:
    walk = made.changed(made.golden("finding-affirmed", tmp_path), tmp_path / "walk", in_the_morning)
    assert sentences(walk) == [
        "ATA 32. Nose gear: cut, tyre two. Reported by AB at 06:12:30Z, spoken 'cut on tyre two', confirmed."
    ]


def test_what_nobody_confirmed_is_not_called_confirmed(tmp_path: Path) -> None:
    (sentence,) = sentences(made.golden("read-back-not-understood", tmp_path))
    assert sentence.endswith("'cut on tyre two', not confirmed.")


def test_a_finding_of_a_place_has_the_chapter_that_was_known_and_names_no_item(tmp_path: Path) -> None:
    walk = made.changed(made.golden("elsewhere-free", tmp_path), tmp_path / "walk", in_the_morning)
    assert sentences(walk) == [
        "Fuel leak, left wing. Reported by AB at 06:12:30Z, spoken 'fuel leak on the left wing', confirmed."
    ]


def test_they_come_by_chapter_and_those_without_one_last(tmp_path: Path) -> None:
    assert [one.ata for one in made.story(tmp_path).entries] == ["26", "32", "32", None]
    assert [one.ata for one in made.golden("summary-by-severity", tmp_path).entries] == ["32", "33", "34"]


def test_what_does_not_stand_any_more_is_no_entry(tmp_path: Path) -> None:
    assert sentences(made.golden("finding-refused", tmp_path)) == []


def test_without_a_name_nobody_is_named(tmp_path: Path) -> None:
    def nameless(event: log.AnyEvent) -> log.AnyEvent:
        return event.model_copy(update={"who": ""}) if isinstance(event, log.Identity | log.Opened) else event

    walk = made.changed(made.golden("finding-affirmed", tmp_path), tmp_path / "walk", nameless)
    assert "Reported at " in sentences(walk)[0]


def test_after_midnight_the_date_is_named(tmp_path: Path) -> None:
    def late(event: log.AnyEvent) -> log.AnyEvent:
        begun = _MORNING.replace(hour=23, minute=59)
        return event.model_copy(update={"time": begun + timedelta(minutes=event.seq - 1)})

    walk = made.changed(made.golden("finding-affirmed", tmp_path), tmp_path / "walk", late)
    assert " at 2026-01-06 00:" in sentences(walk)[0]


def test_what_was_typed_was_not_spoken(tmp_path: Path) -> None:
    def typed(event: log.AnyEvent) -> log.AnyEvent:
        return event.model_copy(update={"source": "typed"}) if isinstance(event, log.Opened) else event

    walk = made.changed(made.golden("finding-affirmed", tmp_path), tmp_path / "walk", typed)
    assert ", typed 'cut on tyre two'," in sentences(walk)[0]


def test_a_finding_of_practice_can_never_be_taken_for_an_entry(tmp_path: Path) -> None:
    told = sentences(made.attempt(tmp_path / "walk"))
    assert len(told) == 3
    assert all(one.startswith(PRACTICE) for one in told)
