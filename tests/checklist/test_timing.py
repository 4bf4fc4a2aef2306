"""How long prompts are spoken, and numbers in them."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from handsfree.checklist.linter import check
from handsfree.checklist.models import Checklist
from handsfree.checklist.problems import Problem
from handsfree.language.grammars import Grammars
from handsfree.pronunciation import Espeak
from handsfree.speaking.settings import VoiceSettings
from tests.checklist.written import checklist, item, of_items, zone
from tests.support.said import pronounce


def a_word_in_half_a_second(texts: Sequence[str]) -> list[float | None]:
    return [len(text.split()) / 2 for text in texts]


def found(subject: Checklist, grammars: Grammars) -> list[tuple[str, str]]:
    problems: list[Problem] = check(subject, grammars, lambda _: True, pronounce, a_word_in_half_a_second)
    assert all(one.level == "warning" for one in problems)
    return [(one.code, one.field.rpartition(".")[2]) for one in problems]


@pytest.mark.parametrize(("words", "expected"), [(5, []), (6, [("slow-prompt", "prompt")])])
def test_a_short_prompt_takes_two_and_a_half_seconds(words: int, expected: object, grammars: Grammars) -> None:
    assert found(of_items(item(prompt="dry " * words)), grammars) == expected


@pytest.mark.parametrize(("words", "expected"), [(33, []), (34, [("slow-full", "full")])])
def test_a_full_prompt_takes_twenty_at_a_hundred_words_a_minute(
    words: int, expected: object, grammars: Grammars
) -> None:
    assert found(of_items(item(full="dry " * words)), grammars) == expected


@pytest.mark.parametrize(
    "text",
    [
        "Tyre pressure, 185, psi.",
        "185?",
        "Channel, one two one, on.",
        "One wing.",
        "Two tyres.",
        "Zone four",
        "B12 gauge",
    ],
)
def test_numbers_that_stand_apart(text: str, grammars: Grammars) -> None:
    assert found(of_items(item(prompt=text)), grammars) == []


@pytest.mark.parametrize("text", ["Is it 185 psi?", "Channel one two one on.", "Open, 4 latches."])
def test_numbers_that_run_into_words(text: str, grammars: Grammars) -> None:
    assert ("number-not-apart", "prompt") in found(of_items(item(prompt=text)), grammars)


def test_numbers_in_what_the_cockpit_is_asked_for(grammars: Grammars) -> None:
    hold = item("on", kind="hold", hold={"id": "on", "ask": "set 40 degrees"}, passes=["stands"])
    told = found(of_items(hold, item(needs="on"), item("off", kind="undo", undoes="on", passes=["stopped"])), grammars)
    assert ("number-not-apart", "ask") in told


def test_the_pace_is_that_of_the_prompts() -> None:
    """What the linter measures is what is spoken by default."""
    settings = VoiceSettings()
    assert (settings.voice, settings.rate) == ("en", 150)
    short, long = Espeak().seconds(["Nose tyres.", "Right front skin, windows, antennas, and all that is behind them."])
    assert short is not None
    assert long is not None
    assert 0.5 < short < 1.2
    assert 2.5 < long < 5


def test_without_the_program_nothing_is_known() -> None:
    import handsfree.pronunciation as module  # noqa: PLC0415

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "SPEAKING", ("no-such-program",))
        assert Espeak().seconds(["Nose tyres."]) == [None]


def test_a_zone_is_a_chunk(grammars: Grammars) -> None:
    things = [item(f"thing-{number}") for number in range(13)]
    assert found(checklist(zone("nose", *things[:12])), grammars) == []
    assert found(checklist(zone("nose", *things)), grammars) == [("long-zone", "zones[nose]")]
