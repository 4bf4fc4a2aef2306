"""Choices are answered by voice, through the real recogniser; free text is typed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from demo.answering import blocks
from handsfree.drafting.interview import Question
from handsfree.drafting.people import AtTheKeyboard, ByVoice
from handsfree.hearing.ears import Ears
from handsfree.hearing.recogniser import Block
from handsfree.language.grammars import Grammars
from handsfree.resources import grammars_folder
from tests.support.sounds import joined, quiet, speech


@pytest.fixture(scope="module")
def grammars() -> Grammars:
    return Grammars.load(grammars_folder())


SEVERITY = Question("How grave is a defect there", ("critical", "major", "minor"), "major")


def heard(*words: str) -> Iterator[Block]:
    return blocks(joined(*(part for one in words for part in (quiet(0.6), speech(one), quiet(1.5)))))


def person(model: Path, grammars: Grammars, frames: Iterator[Block], said: list[str], typed: list[str]) -> ByVoice:
    keyboard = AtTheKeyboard(lambda _: typed.pop(0), lambda _: None)
    return ByVoice(keyboard, said.append, Ears(model), frames, grammars)


def test_a_choice_is_spoken(model: Path, grammars: Grammars) -> None:
    said: list[str] = []
    assert person(model, grammars, heard("critical"), said, []).ask(SEVERITY) == "critical"
    assert said == ["How grave is a defect there? critical, major, minor."]


def test_what_is_not_understood_is_typed_in_the_end(model: Path, grammars: Grammars) -> None:
    frames = heard("elephants in the garden")
    assert person(model, grammars, frames, [], ["minor"]).ask(SEVERITY) == "minor"


def test_free_text_is_typed(model: Path, grammars: Grammars) -> None:
    said: list[str] = []
    assert person(model, grammars, iter(()), said, ["left tyre"]).ask(Question("What is looked at")) == "left tyre"
    assert said == ["What is looked at."]


def test_a_typed_choice_that_is_none_is_asked_again() -> None:
    typed, shown = ["grave", ""], list[str]()
    keyboard = AtTheKeyboard(lambda _: typed.pop(0), shown.append)
    assert keyboard.ask(SEVERITY) == "major"
    assert shown == ["One of: critical, major, minor."]
