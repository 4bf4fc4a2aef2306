"""A class on one page that needs nothing else."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from handsfree import charts
from handsfree.archive.facts import facts_of
from handsfree.archive.logs import Damaged
from handsfree.archive.page import MOST_ROWS, in_short, page
from handsfree.archive.questions import Answers, answers
from handsfree.drill.estimate import Estimate
from tests.archive.made import BEGAN, Story
from tests.bench.test_page import Reader

HOSTILE = '<script>alert("x")</script> & \'" \u202e \x1b[2J'
SHOWN = HOSTILE.replace("\u202e", "\N{REPLACEMENT CHARACTER}").replace("\x1b", "\N{REPLACEMENT CHARACTER}")


def a_class(folder: Path, name: str, item: str, said: str) -> Answers:
    """Two trainees with four attempts each, in two kinds of practice."""
    for number in range(8):
        story = Story(name if number % 2 else "CD", "memory" if number % 2 else "scenes",
                      began=BEGAN + timedelta(days=number))  # fmt: skip
        story.ask(item, "defect")
        story = story.finds(item) if number > 3 else story.passes(item, said).control("correction")
        story.ask("oil", "sound").hear("ask", said, "oil").passes("oil").end(item).write(folder / f"walk-{number}")
    with facts_of(folder) as facts:
        return answers(facts)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Answers:
    found = a_class(tmp_path_factory.mktemp("class"), HOSTILE, HOSTILE, HOSTILE)
    return replace(found, damaged=(Damaged(HOSTILE, HOSTILE),), checklists=(HOSTILE, "small"))


@pytest.fixture(scope="module")
def read(told: Answers) -> Reader:
    reader = Reader()
    reader.feed(page(told))
    assert reader.open == []
    return reader


def test_it_asks_for_nothing_from_outside(told: Answers, read: Reader) -> None:
    assert read.addresses == []
    assert not read.names & {"script", "link", "img", "iframe", "form"}
    assert not re.search(r"url\(|@import|https?:", page(told))


def test_what_comes_from_logs_stays_text(told: Answers, read: Reader) -> None:
    """Names, items, words, checklists, folders and reasons."""
    assert read.text.count(SHOWN) >= 6
    assert all(one.isprintable() or one in "\n\t" for one in page(told))


def test_each_question_has_its_section(read: Reader) -> None:
    for title in (
        "Which items are missed", "Who misses", "How fast the class learns", "Each trainee",
        "What is misheard or asked again", "What happens at items", "Logs that are left out", "How it is counted",
    ):  # fmt: skip
        assert title in read.text


def test_it_says_what_it_does_not_say(read: Reader) -> None:
    assert "handsfree verify" in read.text
    assert "no figure here makes anybody fit" in read.text


def test_night_and_paper_have_colours_of_their_own(told: Answers) -> None:
    text = page(told)
    assert "prefers-color-scheme: dark" in text
    assert "@media print" in text
    assert not re.findall(r"#[0-9a-f]{3,6}\b", "".join(re.findall(r"<svg.*?</svg>", text, re.DOTALL)))


def test_nothing_is_told_by_colour_alone() -> None:
    points = ((1, Estimate(1.0, 0.5, 1.5)), (2, Estimate(2.0, 1.5, 2.5)))
    drawn = charts.lines("picture", "d'", [charts.Series("one", points), charts.Series("two", points)])
    assert drawn.count("<circle") == drawn.count("<polygon") == 3  # two points and the legend
    assert "dash1" in drawn
    assert "dash2" in drawn


def test_a_picture_has_a_name_and_every_number_of_it_is_in_a_table(told: Answers, read: Reader) -> None:
    text = page(told)
    assert text.count("<svg") == text.count("<title>") - 1
    for step in told.steps:
        assert f"{step.d_prime.value:.2f}" in read.text


def test_an_interval_is_drawn_from_its_low_to_its_high_end() -> None:
    drawn = charts.intervals("picture", [("tyres", Estimate(0.5, 0.25, 0.75))])
    x1, x2 = re.findall(r'<line x1="([0-9.]+)"[^>]* x2="([0-9.]+)"[^>]*class="interval', drawn)[0]
    at = re.findall(r'<circle cx="([0-9.]+)"', drawn)[0]
    assert float(x1) < float(at) < float(x2)
    assert float(at) - float(x1) == pytest.approx(float(x2) - float(at), abs=0.2)


def test_a_long_table_is_cut_and_says_so(told: Answers) -> None:
    many = replace(told, damaged=tuple(Damaged(f"walk-{number}", "empty") for number in range(MOST_ROWS + 7)))
    text = page(many)
    assert "7 more; --json has all." in text
    assert f"walk-{MOST_ROWS - 1}<" in text
    assert f"walk-{MOST_ROWS}<" not in text


def test_without_practice_it_tells_what_there_is(tmp_path: Path) -> None:
    Story(practice="").ask("oil").passes("oil").end().write(tmp_path / "walk")
    with facts_of(tmp_path) as facts:
        text = page(answers(facts))
    assert "What happens at items: real walks" in text
    assert "Which items are missed" not in text


def test_in_short_the_worst_of_each(told: Answers) -> None:
    lines = in_short(told)
    assert lines[0].startswith("8 logs, 1 of them damaged and left out. 8 walks from 2026-03-02 to 2026-03-09.")
    assert any(line.startswith("Missed most: ") for line in lines)
    assert any(line.startswith("practice from memory: d' ") for line in lines)
