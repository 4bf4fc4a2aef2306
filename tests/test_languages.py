"""Each language has every sentence and every rule that the program asks for, and keeps the same promises."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import polib
import pytest

from handsfree import languages
from handsfree.checklist.loading import load
from handsfree.checklist.phrases import Phrasebook
from handsfree.errors import Mendable
from handsfree.language.errors import GrammarError
from handsfree.language.grammars import Grammars
from handsfree.language.tongue import FILE_NAME, load_tongue
from handsfree.languages import SENTENCES, known_languages, language
from handsfree.resources import grammars_folder
from tests.support.sentences import finding_names, sentences

OTHERS = known_languages()[1:]
ONLY_ENGLISH = ("alphabet.", "numbers.")
"""Grammars that describe what the program says with code: other languages have it in `language.toml`."""
_NAMES = re.compile(r"\{\w+\}")
EXAMPLE = Path(__file__).parents[1] / "docs" / "examples" / "reedling.yaml"


def test_english_comes_first_and_needs_no_folder() -> None:
    assert known_languages() == ("en", "ko")
    assert language("en").grammars.lexicon.tongue.code == "en"
    assert not language("en").words.on_trial


@pytest.mark.parametrize("code", OTHERS)
def test_every_sentence_has_its_translation_with_the_same_names(code: str) -> None:
    entries = {str(one.msgid): str(one.msgstr) for one in polib.pofile(str(grammars_folder() / code / SENTENCES))}
    wanted = {*sentences(), *finding_names(language("en").grammars)}
    assert set(entries) == wanted
    for english, said in entries.items():
        assert said.strip(), english
        assert sorted(_NAMES.findall(said)) == sorted(_NAMES.findall(english)), english


@pytest.mark.parametrize("code", OTHERS)
def test_every_rule_is_there_and_its_findings_and_controls_have_the_same_names(code: str) -> None:
    english, other = language("en").grammars, language(code).grammars
    wanted = [rule for rule in english.public_rules() if not rule.startswith(ONLY_ENGLISH)]
    assert set(wanted) <= set(other.public_rules())
    for rule in wanted:
        if rule.startswith(("findings.", "control.", "positions.", "answers.", "practice.")):
            ours, theirs = (
                {slot for path in grammars.expansion(f"<{rule}>").paths() for slot in path.slots}
                for grammars in (english, other)
            )
            assert theirs == ours, rule


@pytest.mark.parametrize("code", OTHERS)
def test_no_word_of_one_rule_of_findings_means_another(code: str) -> None:
    said: dict[str, str] = {}
    for path in language(code).grammars.expansion("<findings.any>").paths():
        finding = dict(path.slots)["finding"]
        assert said.setdefault(path.heard, finding) == finding, path.heard


@pytest.mark.parametrize("code", OTHERS)
def test_a_good_answer_that_is_turned_round_passes_nothing(code: str) -> None:
    """What negates in this language: words behind the answer, before it, and the loss of the negation that it has."""
    checklist = load(EXAMPLE, code)
    book = Phrasebook(checklist, language(code).grammars)
    tongue = language(code).tongue
    doubts = [path.written for path in language(code).grammars.expansion("<doubts.word>").paths()]
    tried = 0
    for item in checklist.items():
        vocabulary = book.item(item)
        for good in (one.text for one in book.own_phrases(item) if one.meaning.outcome == "pass"):
            turned = [frame.format(good) for frame in tongue.denials] + [f"{word} {good}" for word in doubts]
            for words in turned:
                clauses = vocabulary.parse(words).clauses
                assert all(one.outcome != "pass" for one in clauses), (item.id, words)
                tried += 1
    assert tried > 100


def test_a_language_that_is_not_there_is_told_with_those_that_are() -> None:
    with pytest.raises(Mendable, match="no grammars for the language 'xx'") as caught:
        language("xx")
    assert "en, ko" in caught.value.hint


def test_a_file_of_small_words_that_is_wrong_is_told_with_its_field(tmp_path: Path) -> None:
    text = (grammars_folder() / "ko" / FILE_NAME).read_text(encoding="utf-8")
    file = tmp_path / FILE_NAME
    for wrong, told in (
        (text.replace('"칠", ', "", 1), "digits"),
        (text.replace('"{} 있음"', '"있음"', 1), "instead"),
        (text + '\nunheard_of = "x"\n', "unheard_of"),
        ("code = ", "cannot be read"),
    ):
        file.write_text(wrong, encoding="utf-8")
        with pytest.raises(GrammarError, match=told):
            load_tongue(file)


def test_sentences_that_cannot_be_read_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "grammars"
    shutil.copytree(grammars_folder(), folder)
    (folder / "ko" / SENTENCES).write_text("no such form", encoding="utf-8")
    monkeypatch.setattr(languages, "grammars_folder", lambda: folder)
    with pytest.raises(Mendable, match=r"sentences.po cannot be read"):
        language.__wrapped__("ko")


def test_a_grammar_of_hangul_is_read_like_any_other() -> None:
    phrase = Grammars.load(grammars_folder() / "ko").expansion("(왼쪽 | 오른쪽) 타이어 [이 번] <findings.worn>")
    assert [path.written for path in phrase.paths()][:2] == ["왼쪽 타이어 마모", "왼쪽 타이어 이 번 마모"]
