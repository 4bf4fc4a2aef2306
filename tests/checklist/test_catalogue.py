"""Numbers of what is looked at, explained warnings, mends, and SARIF."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sarif_pydantic import Sarif

from handsfree.checklist.accepted import explained
from handsfree.checklist.coverage import Cell, Row, coverage, shipped, unexplained
from handsfree.checklist.coverage import as_markdown as coverage_table
from handsfree.checklist.lint.catalogue import RULES, as_markdown, rule_of
from handsfree.checklist.linter import check, notes
from handsfree.checklist.loading import load, read
from handsfree.checklist.marked_yaml import read_marked
from handsfree.checklist.mending import SCHEMA_LINE, mended, missing_schema_line
from handsfree.checklist.problems import ChecklistError, Mend, Problem
from handsfree.checklist.rules import published_rules
from handsfree.checklist.sarif import as_sarif
from handsfree.language.grammars import Grammars
from tests.checklist.written import checklist, item, of_items, zone
from tests.support.commands import SMALL, Commands
from tests.support.said import pronounce

ROOT = Path(__file__).parents[2]
SOURCES = [*(ROOT / "handsfree/checklist").rglob("*.py")]


def test_every_problem_has_a_number_and_every_number_a_problem() -> None:
    used = {code for file in SOURCES for code in re.findall(r'code="([a-z-]+)"', file.read_text(encoding="utf-8"))}
    used |= {"file"}  # whole_file is told its code
    assert used == {one.name for one in RULES}
    assert len({one.number for one in RULES}) == len(RULES)


def test_levels_are_those_of_the_catalogue() -> None:
    """The rule says it where it finds something, and the catalogue says it to readers."""
    for file in SOURCES:
        for code, level in re.findall(r'code="([a-z-]+)"[^)]*?level="([a-z]+)"', file.read_text(encoding="utf-8")):
            assert rule_of(code).level == level, code


def test_the_table_in_the_documents_is_current() -> None:
    assert (ROOT / "docs/rules.md").read_text(encoding="utf-8") == as_markdown()


# ---- explained


WARNING = Problem("it may be misheard", code="sounds-alike", level="warning", file="a.yaml", line=2, column=3)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("a: 1\nb: 2  # accepted HF209: no other word is used here\n", "no other word is used here"),
        ("# accepted HF209: tried by six voices\nb: 2\n", "tried by six voices"),
        ("a: 1\nb: 2  # accepted HF208: another rule\n", ""),
        ("a: 1\nb: 2  # accepted HF209:\n", ""),
        ("a: 1\nb: 2\n# accepted HF209: too late\n", ""),
    ],
)
def test_a_warning_is_explained_beside_its_line(text: str, reason: str) -> None:
    (told,) = explained([WARNING], text)
    assert told.accepted == reason
    assert ("[accepted: " in str(told)) == bool(reason)


def test_an_error_cannot_be_explained_away() -> None:
    error = Problem("broken", code="phrase", file="a.yaml", line=1)
    assert explained([error], "a: (  # accepted HF201: never mind\n") == [error]


# ---- mends


def text_of(name: str) -> str:
    return (ROOT / "checklists" / name).read_text(encoding="utf-8")


def test_a_chapter_without_quotes_is_put_in_quotes(tmp_path: Path) -> None:
    file = tmp_path / "a.yaml"
    file.write_text(text_of("twin-turboprop.yaml").replace('ata: "32"', "ata: 32"), encoding="utf-8")
    with pytest.raises(ChecklistError) as refused:
        load(file)
    text, done = mended(file.read_text(encoding="utf-8"), refused.value.problems)
    assert len(done) > 5
    file.write_text(text, encoding="utf-8")
    assert load(file) == load(ROOT / "checklists/twin-turboprop.yaml")
    assert text == text_of("twin-turboprop.yaml"), "nothing else was touched"


def test_the_line_for_editors() -> None:
    (problem,) = missing_schema_line("format: 1\n")
    assert mended("format: 1\n", [problem])[0] == f"{SCHEMA_LINE}\nformat: 1\n"
    assert missing_schema_line(text_of("twin-turboprop.yaml")) == []
    assert missing_schema_line(f"# a comment\n{SCHEMA_LINE}\nformat: 1\n") == []


@given(st.lists(st.tuples(st.integers(1, 3), st.integers(1, 6), st.sampled_from(["32", "x", ""])), max_size=6))
def test_a_mend_is_done_only_where_what_it_mends_still_stands(places: list[tuple[int, int, str]]) -> None:
    text = "ata: 32\nb: 5\nx\n"
    problems = [
        Problem("p", code="schema", mend=Mend(line, column, old, f'"{old}"')) for line, column, old in places if old
    ]
    told, done = mended(text, problems)
    again, once_more = mended(told, done)
    assert told.count('"') == 2 * len(done)
    assert told.replace('"', "") == text
    assert again.replace('"', "") == text
    assert len(once_more) <= len(done)


def test_fix_mends_the_file_and_says_what(run: Commands, tmp_path: Path, model: Path) -> None:
    file = tmp_path / "mine.yaml"
    whole = Path(SMALL).read_text(encoding="utf-8")
    file.write_text(whole.replace('ata: "32"', "ata: 32"), encoding="utf-8")
    assert run("check", file, "--model", model).code == 1
    ran = run("check", file, "--fix", "--model", model)
    assert ran.code == 0
    assert "mended: " in ran.out
    assert "[HF103 schema]" in ran.out
    assert load(file) == load(Path(SMALL))
    before = file.read_bytes()
    assert "mended" not in run("check", file, "--fix", "--model", model).out
    assert file.read_bytes() == before


@pytest.mark.parametrize(
    ("good", "written"),
    [
        ("spoken: [nose]", "spoken: nose"),
        ('spoken: ["the nose"]', 'spoken: "the nose"'),
        ("severity: minor", "severity: Minor"),
        ("good: true", "good: yes"),
        ("good: false", "good: No"),
        (f"{SCHEMA_LINE}\n", ""),
    ],
)
def test_what_is_mended_beside_other_errors(
    run: Commands, tmp_path: Path, model: Path, good: str, written: str
) -> None:
    whole = f"{SCHEMA_LINE}\n{Path(SMALL).read_text(encoding='utf-8')}".replace("\nid: ", "\ncolour: red\nid: ", 1)
    wanted = whole if good in whole else whole.replace("spoken: [nose]", good)
    assert good in wanted
    file = tmp_path / "mine.yaml"
    file.write_text(wanted.replace(good, written, 1), encoding="utf-8")
    ran = run("check", file, "--fix", "--model", model)
    assert ran.code == 1
    assert file.read_text(encoding="utf-8") == wanted
    assert "is looked at when these are mended" in ran.out


@pytest.mark.parametrize("written", ["pass: proud, dry", "findings: worn", "good: maybe"])
def test_what_may_mean_two_things_is_not_mended(run: Commands, tmp_path: Path, model: Path, written: str) -> None:
    file = tmp_path / "mine.yaml"
    text = f"{SCHEMA_LINE}\n{Path(SMALL).read_text(encoding='utf-8')}".replace("good: true", written, 1)
    file.write_text(text, encoding="utf-8")
    assert "mended: " not in run("check", file, "--fix", "--model", model).out
    assert file.read_text(encoding="utf-8") == text


def test_what_is_no_checklist_gets_no_line_of_one(run: Commands, tmp_path: Path, model: Path) -> None:
    file = tmp_path / "other.yaml"
    file.write_text("services: {web: 1}\n", encoding="utf-8")
    assert run("check", file, "--fix", "--model", model).code == 1
    assert file.read_text(encoding="utf-8") == "services: {web: 1}\n"


def test_what_fix_mends_is_listed_where_people_look(run: Commands) -> None:
    told = " ".join(run("check", "--help").out.split())
    for words in ("quotes round a number", "a list round one text", "small letters", "yes and no", "the first line"):
        assert words in told
        assert words.removesuffix(" and no") in as_markdown()


# ---- what others read


def test_sarif_is_read_by_an_independent_library(run: Commands, tmp_path: Path, model: Path) -> None:
    """SARIF 2.1.0 of OASIS, as the package sarif-pydantic understands it."""
    file, out = tmp_path / "mine.yaml", tmp_path / "out.sarif"
    file.write_text(Path(SMALL).read_text(encoding="utf-8").replace('ata: "32"', "ata: 32"), encoding="utf-8")
    assert run("check", file, "--sarif", out, "--model", model).code == 1
    told = Sarif.model_validate_json(out.read_bytes())
    (ran,) = told.runs
    assert told.version == "2.1.0"
    assert [one.id for one in ran.tool.driver.rules or ()] == [one.number for one in RULES]
    assert {one.rule_id for one in ran.results or ()} == {"HF103", "HF104"}
    raw: dict[str, Any] = json.loads(out.read_bytes())["runs"][0]["results"][0]
    region = raw["locations"][0]["physicalLocation"]["region"]
    number: int = region["startLine"]
    line = file.read_text(encoding="utf-8").splitlines()[number - 1]
    assert line[region["startColumn"] - 1 :] == "ata: 32"
    (replacement,) = raw["fixes"][0]["artifactChanges"][0]["replacements"]
    deleted = replacement["deletedRegion"]
    assert line[deleted["startColumn"] - 1 : deleted["endColumn"] - 1] == "32"
    assert replacement["insertedContent"]["text"] == '"32"'


def test_an_explained_warning_is_suppressed_with_its_reason() -> None:
    (told,) = explained([WARNING], "\nb: 2  # accepted HF209: why\n")
    (result,) = as_sarif([told])["runs"][0]["results"]
    assert result["suppressions"] == [{"kind": "inSource", "justification": "why"}]


LEAST = """
format: 1
id: least
title: Least
notice: Invented.
aircraft: {type: X, operator: Y, registration: {pattern: "Q7[A-Z]{3}", example: Q7KTA}}
cautions: [Mind your head.]
zones:
  - id: nose
    name: nose
    spoken: [the nose]
    items:
      - id: cover
        name: cover
        ABOVE
        prompt: Look at this and at that, and at all of the rest, and once more at it. BESIDE
        full: The cover.
        look_for: None.
        pass: [removed]
        ata: "34"
"""


def test_strict_counts_warnings_that_nobody_explained(run: Commands, tmp_path: Path, model: Path) -> None:
    file = tmp_path / "mine.yaml"
    file.write_text(LEAST.replace("ABOVE", "").replace("BESIDE", ""), encoding="utf-8")
    assert run("check", file, "--model", model).code == 0
    assert run("check", file, "--strict", "--model", model).code == 1
    told = LEAST.replace("ABOVE", "# accepted HF404: a story").replace("BESIDE", "# accepted HF406: a story")
    file.write_text(told, encoding="utf-8")
    ran = run("check", file, "--strict", "--model", model)
    assert ran.code == 0, ran.out
    assert ran.out.count("[accepted: a story]") == 2


def test_rules_are_listed(run: Commands) -> None:
    ran = run("check", "--rules")
    assert ran.code == 0
    assert [line.split()[0] for line in ran.out.splitlines()] == [one.number for one in RULES]


# ---- what is left open


def test_notes_say_what_an_item_lacks(grammars: Grammars) -> None:
    told = {one.code for one in notes(of_items(item()), grammars, pronounce)}
    assert {"no-why", "no-source", "rule-left-open"} <= told
    whole = item(why="It leaks.", source="common practice", asked_by=[one.id for one in published_rules().rules])
    assert notes(of_items(whole), grammars, pronounce) == []


def test_what_to_do_about_an_open_rule_can_be_copied(grammars: Grammars) -> None:
    told = [one for one in notes(of_items(item()), grammars, pronounce) if one.code == "rule-left-open"]
    (fluids,) = [one for one in told if "'asked_by: [amc-fluids]'" in one.hint]
    line = fluids.hint.partition("at the top '")[2].rstrip("'")
    node = read_marked(line)
    assert node is not None
    assert node.plain() == {"leaves_out": {"amc-fluids": "why"}}


def test_a_rule_that_is_left_out_with_its_reason_is_not_open(grammars: Grammars) -> None:
    reasons = {one.id: "not on this walk" for one in published_rules().rules}
    told = notes(of_items(item(), leaves_out=reasons), grammars, pronounce)
    assert "rule-left-open" not in {one.code for one in told}


def test_a_rule_that_is_published_nowhere(grammars: Grammars) -> None:
    told = check(
        of_items(item(asked_by=["amc-fluid"]), leaves_out={"ata-99": "no"}), grammars, lambda _: True, pronounce
    )
    assert [(one.code, one.level, one.field) for one in told] == [
        ("unknown-rule", "error", "zones[nose].items[thing].asked_by[0]"),
        ("unknown-rule", "error", "leaves_out.ata-99"),
    ]
    assert told[0].hint == "did you mean 'amc-fluids'?"


def test_people_say_the_unit_behind_a_number(grammars: Grammars) -> None:
    oil = {"called": "oil", "unit": "quarts", "sayable": [0, 12]}
    for more, noted in (({}, True), ({"spoken_unit": "quarts"}, False)):
        subject = of_items(item(kind="quantity", quantity=oil | more))
        told = [one for one in notes(subject, grammars, pronounce) if one.code == "unit-not-sayable"]
        assert bool(told) == noted


def test_what_is_critical_comes_early(grammars: Grammars) -> None:
    things = [item("a"), item("b"), item("c"), item("d", severity="critical")]
    late = [
        one.field for one in notes(checklist(zone("nose", *things)), grammars, pronounce) if one.code == "critical-late"
    ]
    assert late == ["zones[nose].items[d]"]


def test_coverage_counts_items_and_knows_what_is_not_explained() -> None:
    one = of_items(item("oil", asked_by=["faa-fuel-oil"], ata="79"), leaves_out={"amc-deferred": "in the office"})
    other = of_items(item("tyre", ata="32"), leaves_out={"ata-79": "no engine"})
    rows: dict[str, Row] = {row.key: row for row in coverage([one, other], published_rules())}
    assert rows["faa-fuel-oil"].cells == (Cell(("oil",), ""), Cell((), ""))
    assert rows["ata-79"].cells == (Cell(("oil",), ""), Cell((), "no engine"))
    left = unexplained(tuple(rows.values()))
    assert ("amc-deferred", 0) not in left
    assert {("amc-deferred", 1), ("faa-fuel-oil", 1), ("ata-32", 0)} <= set(left)
    assert ("ata-79", 1) not in left


def test_the_lines_of_a_checklist_are_kept() -> None:
    source = read(ROOT / "checklists/twin-turboprop.yaml")
    (placed,) = source.placed([Problem("p", ("zones", 0, "items", 0, "prompt"), code="slow-prompt")])
    assert "Stance" in text_of("twin-turboprop.yaml").splitlines()[placed.line - 1]


def test_the_table_of_coverage_is_current_and_every_empty_cell_explained() -> None:
    checklists = shipped()
    rows = coverage(checklists, published_rules())
    assert unexplained(rows) == []
    assert (ROOT / "docs/coverage.md").read_text(encoding="utf-8") == coverage_table(checklists, rows)
    assert len(checklists) == 5


def test_what_is_left_out_is_not_asked() -> None:
    for one in shipped():
        answered = {rule for item in one.items() for rule in item.asked_by}
        answered |= {f"ata-{item.ata}" for item in one.items()}
        assert not answered & one.leaves_out.keys(), one.id
