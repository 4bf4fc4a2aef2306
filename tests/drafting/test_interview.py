"""A checklist is made by answering questions: checked at once, kept item by item, gone on with later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from handsfree.checklist.loading import load
from handsfree.checklist.problems import Problem
from handsfree.drafting.draft import Draft, NewFinding, NewItem, begun, pattern_of, slug
from handsfree.drafting.interview import Interview, Question
from tests.support.commands import Commands

HEAD = ("Tern 2", "Sandbar Flying Club", "q3abc", "")
CAP = (
    "left fuel cap", "", "Is the left fuel cap in and locked?", "Good is a cap that lies flush. An open one leaks.",
    "Fuel siphons out in flight.", "shut and flush", "open, missing, made of cheese", "critical", "28", "", "",
)  # fmt: skip
TYRE = (
    "left tyre", "", "Look at the left tyre.", "Good is an even tread. A cut goes deep.", "", "even and intact",
    "cut, flat spot", "", "gear", "Never probe an inflated tyre.", "14 CFR 91.7",
)  # fmt: skip
WING = ("left wing", "")


@dataclass
class Script:
    """Answers what it was told to."""

    answers: list[str]
    told: list[str] = field(default_factory=list[str])
    asked: list[str] = field(default_factory=list[str])

    def ask(self, question: Question) -> str:
        self.asked.append(question.text)
        if not self.answers:
            raise EOFError
        return self.answers.pop(0) or question.default

    def tell(self, text: str) -> None:
        self.told.append(text)


def interview(script: Script, written: list[str], problems: Sequence[Sequence[Problem]] = ()) -> Interview:
    waiting = list(problems)
    rules = {"cut": "<findings.cut>", "flat spot": "<findings.flat_spot>", "open": "<findings.open>",
             "missing": "<findings.missing>"}  # fmt: skip
    return Interview(script, lambda _: waiting.pop(0) if waiting else (), written.append, rules)


def test_each_item_is_kept_before_the_next_is_asked_for(tmp_path: Path) -> None:
    written: list[str] = []
    made = interview(Script([*HEAD, *WING, *CAP, *TYRE, "", ""]), written)
    assert made.go_on(made.head()) == 2
    assert len(written) == 2
    file = tmp_path / "tern.yaml"
    file.write_text(written[0], encoding="utf-8")
    assert [one.id for one in load(file).items()] == ["left-fuel-cap"]
    file.write_text(written[1], encoding="utf-8")
    checklist = load(file)
    assert (checklist.id, checklist.title) == ("tern-2", "Exterior inspection, Tern 2")
    assert checklist.aircraft.registration.pattern == "Q3[A-Z]{3}"
    cap, tyre = checklist.items()
    assert cap.finding_ids() == {"open", "missing", "made-of-cheese"}
    assert (cap.severity, cap.ata) == ("critical", "28")
    assert (tyre.severity, tyre.ata, tyre.caution) == ("major", "32", "Never probe an inflated tyre.")
    assert (cap.source, tyre.source) == ("common practice", "14 CFR 91.7")
    assert tyre.finding_ids() == {"cut", "flat-spot"}


def test_a_chapter_can_be_looked_for_by_its_name() -> None:
    script = Script([*HEAD, *WING, *TYRE, "", ""])
    made = interview(script, [])
    made.go_on(made.head())
    assert "Taken: 32 landing gear." in script.told


def test_a_word_of_several_chapters_is_asked_again() -> None:
    written: list[str] = []
    script = Script([*HEAD, *WING, *TYRE[:-3], "fuel", "28", *TYRE[-2:], "", ""])
    made = interview(script, written)
    made.go_on(made.head())
    assert "28 fuel; 73 engine fuel and control" in script.told
    assert 'ata: "28"' in written[0]


def test_what_was_good_of_several_words_is_kept() -> None:
    """Only the words that were named as bad are asked for anew."""
    where = ("zones", 0, "items", 0)
    errors = [
        Problem("the model does not know 'cheese'", (*where, "findings", 2, "say", 0), code="unknown-word"),
        Problem("it sounds like 'push'", (*where, "pass", 1, "say"), code="sounds-alike"),
    ]
    written: list[str] = []
    cap = [*CAP[:5], "closed, flush", *CAP[6:]]
    script = Script([*HEAD, *WING, *cap, "locked", "made of butter", "", ""])
    made = interview(script, written, [errors])
    made.go_on(made.head())
    assert "Another answer when it is good instead of 'flush', or empty" in script.asked
    assert "Other words for what can be wrong instead of 'made of cheese', or empty" in script.asked
    fields = Draft(written[0]).text()
    for kept in ("- closed", "- locked", "<findings.open>", "<findings.missing>", "made of butter"):
        assert kept in fields
    assert "cheese" not in fields
    assert "- flush" not in fields


def test_the_name_of_a_zone_is_what_reports_take() -> None:
    script = Script([*HEAD, *WING, *CAP, "", ""])
    made = interview(script, [])
    made.go_on(made.head())
    assert "What is found there while elsewhere is reported by this name: leak left wing." in script.told


def test_what_could_not_be_heard_is_asked_again_before_it_is_kept() -> None:
    error = Problem("the speech model does not know 'grommeted'", code="unknown-word")
    written: list[str] = []
    script = Script([*HEAD, *WING, *CAP, "", "", "lying flush", "", "", ""])
    made = interview(script, written, [[error], [error], []])
    made.go_on(made.head())
    assert len(written) == 1
    assert "lying flush" in written[0]
    assert "shut and flush" not in written[0]


def test_a_doubt_may_be_kept() -> None:
    doubt = Problem("it may be misheard", code="sounds-alike", level="warning")
    written: list[str] = []
    made = interview(Script([*HEAD, *WING, *CAP, "", "", "", ""]), written, [[doubt]])
    made.go_on(made.head())
    assert "shut and flush" in written[0]


def test_what_is_there_keeps_its_comments_and_is_gone_on_with() -> None:
    text = begun("tern-2", "Tern", "Tern 2", "Sandbar", "Q3ABC")
    item = NewItem("cap", "Cap.", "The cap.", "A cap.", "", ["flush"], [NewFinding("<findings.open>")], "major", "28")
    first = Draft(text).with_item({"id": "wing", "name": "Wing", "spoken": ["wing"]}, item)
    noted = first.replace("  - id: wing", "  # the tanks first\n  - id: wing")
    written: list[str] = []
    script = Script(["wing", *TYRE, "", ""])
    assert interview(script, written).go_on(noted) == 1
    assert "# the tanks first" in written[0]
    assert Draft(written[0]).zones == ("wing",)
    assert "Zones in this file: wing. Give one of these to add items to it, or a new name." in script.told
    by_its_name = Script(["Wing", *TYRE, "", ""])
    assert interview(by_its_name, written).go_on(noted) == 1
    assert Draft(written[-1]).zones == ("wing",)
    assert "What can hurt somebody there (empty = nothing of its own)" not in by_its_name.asked


def test_two_items_of_one_name_have_two_ids() -> None:
    text = begun("tern-2", "Tern", "Tern 2", "Sandbar", "Q3ABC")
    item = NewItem("cap", "Cap.", "The cap.", "A cap.", "", ["flush"], [], "major", "28")
    zone = {"id": "wing", "name": "Wing", "spoken": ["wing"]}
    assert "id: cap-2" in Draft(Draft(text).with_item(zone, item)).with_item(zone, item)


@pytest.mark.parametrize(("text", "name"), [("Nose tyres", "nose-tyres"), ("2nd tank!", "nd-tank"), ("??", "")])
def test_ids_are_words(text: str, name: str) -> None:
    assert slug(text) == name


@pytest.mark.parametrize(("example", "pattern"), [("Q7KTA", "Q7[A-Z]{3}"), ("Q123A", "Q1[0-9]{2}[A-Z]{1}")])
def test_registrations_look_like_their_example(example: str, pattern: str) -> None:
    assert pattern_of(example) == pattern


# ---- the command


def test_the_result_is_good_for_check_and_walk(run: Commands, tmp_path: Path, model: Path) -> None:
    file, answers = tmp_path / "tern.yaml", tmp_path / "answers.txt"
    answers.write_text("\n".join([*HEAD, *WING, *CAP, *TYRE, "", ""]) + "\n", encoding="utf-8")
    ran = run("new", file, "--answers", answers, "--model", model)
    assert ran.code == 0, ran.out + ran.err
    assert run("check", file, "--model", model).code == 0
    assert (tmp_path / "checklist.schema.json").exists(), "which the first line names to editors"
    walked = run("walk", file, "--typed", "--log", tmp_path / "log", "--who", "AB", "--registration", "Q3ABC",
        typed=["made of cheese", "affirm", "even and intact", "no decision"])  # fmt: skip
    assert walked.code == 0, walked.out + walked.err
    assert "Walk complete. Critical: left fuel cap: made of cheese." in walked.out


def test_an_interruption_loses_nothing_and_is_gone_on_with(run: Commands, tmp_path: Path, model: Path) -> None:
    file, answers = tmp_path / "tern.yaml", tmp_path / "answers.txt"
    answers.write_text("\n".join([*HEAD, *WING, *CAP, *TYRE[:4]]) + "\n", encoding="utf-8")
    ran = run("new", file, "--answers", answers, "--model", model)
    assert ran.code == 3
    assert f"Go on with:  handsfree new {file}" in ran.err
    assert [one.id for one in load(file).items()] == ["left-fuel-cap"]
    answers.write_text("\n".join(["left-wing", *TYRE, "", ""]) + "\n", encoding="utf-8")
    assert run("new", file, "--answers", answers, "--model", model).code == 0
    assert [one.id for one in load(file).items()] == ["left-fuel-cap", "left-tyre"]


def test_before_the_first_item_there_is_nothing_to_go_on_with(run: Commands, tmp_path: Path, model: Path) -> None:
    file, answers = tmp_path / "tern.yaml", tmp_path / "answers.txt"
    answers.write_text("\n".join([*HEAD, *WING, *CAP[:3]]) + "\n", encoding="utf-8")
    ran = run("new", file, "--answers", answers, "--model", model)
    assert ran.code == 3
    assert "Stopped. Nothing is kept: an item is kept once all its questions are answered." in ran.err
    assert "Go on with" not in ran.err
    assert not file.exists()


def test_answers_from_a_pipe_are_shown_behind_their_questions(run: Commands, tmp_path: Path, model: Path) -> None:
    ran = run("new", tmp_path / "tern.yaml", "--model", model, typed=[*HEAD, *WING, *CAP, "", ""])
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert "Which aircraft? Its type: Tern 2" in lines
    assert "Who operates it: Sandbar Flying Club" in lines
    assert lines[-1].startswith(f"{tmp_path / 'tern.yaml'}: 1 item more. Next:")


def test_what_is_no_checklist_is_not_touched(run: Commands, tmp_path: Path, model: Path) -> None:
    file = tmp_path / "letter.txt"
    file.write_text("Dear all,\n", encoding="utf-8")
    assert run("new", file, "--model", model).code == 2
    assert file.read_text(encoding="utf-8") == "Dear all,\n"
