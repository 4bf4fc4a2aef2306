"""The published JSON Schema says the same as the loader, and is fresh."""

from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from handsfree.checklist.loading import load
from handsfree.checklist.marked_yaml import read_marked
from handsfree.checklist.problems import ChecklistError
from handsfree.checklist.schema import FILE_NAME, checklist_schema, schema_text

ROOT = Path(__file__).parents[2]
SMALL = ROOT / "tests/data/small.yaml"


def schema_errors(text: str) -> list[str]:
    root = read_marked(text)
    assert root is not None
    validator: Any = Draft202012Validator(checklist_schema())
    return [error.message for error in validator.iter_errors(root.plain())]


def test_the_published_file_is_what_the_models_say() -> None:
    published = (ROOT / "checklists" / FILE_NAME).read_text(encoding="utf-8")
    assert published == schema_text(), "rewrite it with: python -m handsfree.checklist.schema"


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(checklist_schema())


@pytest.mark.parametrize("path", [SMALL, *sorted((ROOT / "checklists").glob("*.yaml"))], ids=lambda path: path.name)
def test_good_files_pass(path: Path) -> None:
    assert schema_errors(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", sorted((ROOT / "checklists").glob("*.yaml")), ids=lambda path: path.name)
def test_shipped_files_tell_editors_where_the_schema_is(path: Path) -> None:
    assert path.read_text(encoding="utf-8").startswith(f"# yaml-language-server: $schema={FILE_NAME}\n")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('ata: "34"', "ata: 34"),
        ("caution: Stay", "cauton: Stay"),
        ("pass:", "passes:"),
        ("spoken: [nose]", "spoken: nose"),
        ("severity: critical", "severity: crit"),
        ("low: 175", 'low: "175"'),
        ("required: true", "required: yes"),
        ("format: 1", "format: 2"),
        ('- "covers off"', "- 12"),
        ('- "covers off"', "- {covers: []}"),
        ("sayable: [100, 250]", "sayable: [100]"),
    ],
)
def test_what_the_loader_refuses_by_form_the_schema_refuses_too(tmp_path: Path, old: str, new: str) -> None:
    good = SMALL.read_text(encoding="utf-8")
    assert old in good
    text = good.replace(old, new, 1)
    path = tmp_path / "broken.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ChecklistError):
        load(path)
    assert schema_errors(text)


def test_a_pass_may_be_a_string_or_a_group_of_fields() -> None:
    options = checklist_schema()["$defs"]["Pass"]["anyOf"]
    assert [option["type"] for option in options] == ["string", "object"]


def test_fields_are_described_for_the_editor() -> None:
    fields = checklist_schema()["$defs"]["Item"]["properties"]
    assert "trainee" in fields["look_for"]["description"]
