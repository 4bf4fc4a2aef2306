"""A file in several languages is read in one of them; what a language lacks, and what was forgotten, is told."""

from __future__ import annotations

from pathlib import Path

import jsonschema
import pytest

from handsfree.checklist.loading import languages, load, read, untranslated
from handsfree.checklist.marked_yaml import read_marked
from handsfree.checklist.problems import ChecklistError
from handsfree.checklist.schema import checklist_schema

EXAMPLE = Path(__file__).parents[2] / "docs" / "examples" / "reedling.yaml"


def changed(tmp_path: Path, old: str, new: str) -> Path:
    text = EXAMPLE.read_text(encoding="utf-8")
    assert old in text
    file = tmp_path / "changed.yaml"
    file.write_text(text.replace(old, new, 1), encoding="utf-8")
    return file


def refused(file: Path, language: str = "") -> list[str]:
    with pytest.raises(ChecklistError) as caught:
        read(file, language)
    return [f"{one.line}: {one.field}: {one.message} ({one.hint})" for one in caught.value.problems]


def test_the_first_language_is_read_unless_another_is_asked_for() -> None:
    assert languages(EXAMPLE) == ("en", "ko")
    assert (load(EXAMPLE).language, load(EXAMPLE).title) == ("en", "Exterior inspection, Reedling")
    assert (load(EXAMPLE, "ko").language, load(EXAMPLE, "ko").title) == ("ko", "리들링 외부 점검")


def test_but_for_its_words_the_checklist_is_the_same() -> None:
    english, korean = load(EXAMPLE), load(EXAMPLE, "ko")
    for one, other in zip(english.items(), korean.items(), strict=True):
        assert (one.id, one.kind, one.severity, one.ata, one.needs, one.undoes, one.asked_by) == (
            *(other.id, other.kind, other.severity, other.ata, other.needs, other.undoes, other.asked_by),
        )
        assert one.finding_ids() == other.finding_ids()
        assert one.prompt != other.prompt
    assert english.aircraft == korean.aircraft


def test_a_file_that_names_no_language_is_english() -> None:
    assert languages(EXAMPLE.parents[2] / "checklists" / "glider.yaml") == ("en",)


def test_a_language_that_a_file_is_not_in_is_refused() -> None:
    assert refused(EXAMPLE, "de") == ["7: languages: this checklist is not in the language 'de' (it is in: en, ko)"]


def test_every_text_that_a_language_lacks_is_named_with_its_line(tmp_path: Path) -> None:
    file = changed(tmp_path, "prompt: {en: Tyres., ko: 타이어.}", "prompt: {en: Tyres.}")
    assert load(file).item("tyres").prompt == "Tyres."
    (told,) = refused(file, "ko")
    assert "zones[wing].items[tyres].prompt: this text is not in the language 'ko' (it is in 'en')" in told


@pytest.mark.parametrize("written", ["[]", "en", "[en, en]", "[english]", "[1]", "{en: ko}"])
def test_languages_are_a_list_of_two_letters_each_once(tmp_path: Path, written: str) -> None:
    (told,) = refused(changed(tmp_path, "languages: [en, ko]", f"languages: {written}"))
    assert "this must be a list of languages, each once, by their two letters (languages: [en, ko])" in told


def test_a_language_nobody_asks_for_may_be_given_in_a_file_of_one(tmp_path: Path) -> None:
    """Where the file has one language, a group with its name is a text like any other."""
    file = changed(tmp_path, "languages: [en, ko]", "languages: [ko, en]")
    assert load(file).language == "ko"


def test_a_file_may_not_say_what_it_was_read_in(tmp_path: Path) -> None:
    """`language` is what the reader chose; in a file it would contradict the list."""
    file = changed(tmp_path, "languages: [en, ko]", "language: ko")
    assert any("there is no field 'language' here (write 'languages: [ko]')" in one for one in refused(file))


def test_texts_that_were_forgotten_are_named(tmp_path: Path) -> None:
    assert untranslated(EXAMPLE) == []
    file = changed(tmp_path, "prompt: {en: Tyres., ko: 타이어.}", "prompt: Tyres.")
    (told,) = untranslated(file)
    assert (told.field, told.level, told.code) == ("zones[wing].items[tyres].prompt", "warning", "one-text-for-all")


def test_editors_take_a_text_and_the_same_by_language() -> None:
    root = read_marked(EXAMPLE.read_text(encoding="utf-8"))
    assert root
    jsonschema.validate(root.plain(), checklist_schema())


@pytest.mark.parametrize(
    "wrong", ["title: {english: Walk, ko: 점검}", "title: {}", "title: {en: [Walk], ko: 점검}", "id: {en: a, ko: b}"]
)
def test_editors_refuse_what_the_loader_refuses(tmp_path: Path, wrong: str) -> None:
    field = wrong.partition(":")[0]
    line = next(one for one in EXAMPLE.read_text(encoding="utf-8").splitlines() if one.startswith(f"{field}:"))
    file = changed(tmp_path, line, wrong)
    root = read_marked(file.read_text(encoding="utf-8"))
    assert root
    assert refused(file)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(root.plain(), checklist_schema())
