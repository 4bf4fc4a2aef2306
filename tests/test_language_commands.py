"""Languages on the command line: chosen, kept by the log, and refused by name."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from handsfree import paper
from tests.support.commands import INTERRUPTED, SMALL, Commands

REEDLING = Path(__file__).parents[1] / "docs" / "examples" / "reedling.yaml"
ANSWERS = ("커버 제거", "두 날개 양호", "삼 리터", "잠김", "내려감", "단단", "공기압 양호", "파란색", "올라감")
LAST = ("삼 개", "결정 없음")
WHO = ("--typed", "--silent", "--who", "AB", "--registration", "Q5RL")


def test_a_walk_goes_on_in_the_language_that_it_began_in(run: Commands, tmp_path: Path) -> None:
    log = tmp_path / "walk"
    ran = run("walk", REEDLING, "--language", "ko", *WHO, "--log", log, typed=ANSWERS[:4])
    assert ran.code == INTERRUPTED
    ran = run("walk", "--resume", "--log", log, "--typed", "--silent", typed=("확인", *ANSWERS[4:], *LAST))
    assert ran.code == 0, ran.err
    assert "점검을 마쳤습니다" in ran.out
    found = json.loads(run("summary", log, "--json").out)
    assert found["outcome"] == "complete"
    assert "intact" in run("verify", log).out


def test_without_the_option_the_first_language_is_walked(run: Commands, tmp_path: Path) -> None:
    ran = run("walk", REEDLING, *WHO, "--log", tmp_path / "walk", typed=["removed"])
    assert "Propeller blades." in ran.out
    assert "on trial" not in ran.out


@pytest.mark.parametrize("command", ["walk", "phrases", "card"])
def test_a_language_that_the_checklist_lacks_is_refused(run: Commands, tmp_path: Path, command: str) -> None:
    more = ("--typed", "--log", tmp_path / "walk") if command == "walk" else ()
    run(command, SMALL, "--language", "ko", *more).failed("this checklist is not in the language 'ko'")
    assert not (tmp_path / "walk").exists()


def test_a_language_without_grammars_is_an_error_of_the_file(run: Commands, tmp_path: Path) -> None:
    file = tmp_path / "swiss.yaml"
    file.write_text(REEDLING.read_text(encoding="utf-8").replace("ko:", "de:").replace("[en, ko]", "[en, de]"), "utf-8")
    ran = run("check", file)
    assert ran.code == 1
    assert "the program has no grammars for the language 'de' (it has them for: en, ko)" in ran.out
    run("walk", file, "--language", "de", *WHO, "--log", tmp_path / "walk").failed("no grammars for the language 'de'")


@pytest.mark.parametrize("code", ["../../etc", "KO", "k", "", "k" * 4000])
def test_odd_codes_in_a_file_are_refused_by_its_line(run: Commands, tmp_path: Path, code: str) -> None:
    file = tmp_path / "odd.yaml"
    text = REEDLING.read_text(encoding="utf-8").replace("[en, ko]", f"[en, {json.dumps(code)}]")
    file.write_text(text, encoding="utf-8")
    ran = run("check", file)
    assert ran.code == 1
    assert "odd.yaml:7" in ran.out
    assert "two letters" in ran.out
    assert len(ran.out) < 2000


def test_the_phrases_are_those_of_the_language(run: Commands) -> None:
    rows = run("phrases", REEDLING, "pitot", "--language", "ko", "--json").rows
    assert [row["phrase"] for row in rows][:2] == ["커버 제거", "커버 있음"]


def test_a_card_in_hangul_is_printed(run: Commands, tmp_path: Path) -> None:
    ran = run("card", REEDLING, "--language", "ko", "--out", tmp_path / "card.pdf")
    assert ran.code == 0, ran.err
    text = "".join(page.extract_text() for page in PdfReader(tmp_path / "card.pdf").pages)
    assert "연료 뚜껑" in text
    assert "잠김" in text


def test_a_card_with_letters_that_no_font_has_is_refused(
    run: Commands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Otherwise its checks would be missing on it."""

    def nowhere(_letter: str) -> Path | None:
        return None

    monkeypatch.setattr(paper, "_font_with", nowhere)
    run("card", REEDLING, "--language", "ko", "--out", tmp_path / "card.pdf").failed("no font of this machine has the")
    assert not (tmp_path / "card.pdf").exists()
