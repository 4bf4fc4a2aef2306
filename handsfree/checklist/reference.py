"""Every field of a checklist in tables, made of the JSON Schema, which is made of the models.

``python -m handsfree.checklist.reference`` writes ``docs/format.md`` in a source tree; a test fails when it is old.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final, cast

from handsfree.checklist.schema import checklist_schema
from handsfree.language.grammars import Grammars

FILE: Final = Path(__file__).parents[2] / "docs" / "format.md"
_GRAMMARS: Final = FILE.parents[1] / "grammars"
_COLLECTIONS: Final = ("findings.general", "findings.any")
_WAYS: Final = 6
"""Ways to say a finding that are listed."""
_SIMPLE: Final = {
    "object": "names with texts",
    "integer": "whole number",
    "number": "number",
    "boolean": "`true` or `false`",
    "string": "text",
}
_INTRODUCTION: Final = """\
# The format of a checklist

Written by `python -m handsfree.checklist.reference`. How to begin one: [tutorial.md](tutorial.md). What `handsfree
check` looks at: [rules.md](rules.md).

A checklist is a YAML file. Its JSON Schema is `checklists/checklist.schema.json`; an editor that knows the first line
`# yaml-language-server: $schema=checklist.schema.json` completes the fields. An unknown field is an error. Wherever a
phrase is written (`say`, `pass`, `spoken`, `called`) it is a JSGF rule expansion: `[the] tyres (good | serviceable)`,
and may refer to a rule of the shipped grammars: `<findings.cut>`.

A file may be in several languages (`languages: [en, ko]`): then any text or list of texts may be given by language,
`prompt: {en: Nose tyres., ko: 앞 타이어.}`, and `--language` chooses; see [languages.md](languages.md).

A file of an older format is brought up as it is read; one of a newer format is refused by name.
"""


def as_markdown() -> str:
    """The whole document."""
    schema = checklist_schema()
    groups: dict[str, Mapping[str, Any]] = {"Checklist": schema, **cast("dict[str, Any]", schema["$defs"])}
    tables = (_table(name, group) for name, group in groups.items() if "properties" in group)
    return "\n".join([_INTRODUCTION, *tables, _findings(Grammars.load(_GRAMMARS))])


def _findings(grammars: Grammars) -> str:
    """The defects that a checklist may use by name."""
    rules = [rule for rule in grammars.public_rules() if rule.startswith("findings.")]
    rows = [f"| `<{rule}>` | {', '.join(_ways(grammars, rule))} |" for rule in rules if rule not in _COLLECTIONS]
    heading = ["## Findings of the grammar", "", "For `use`, in `grammars/findings.jsgf`.", ""]
    return "\n".join([*heading, "| rule | what is said |", "| --- | --- |", *rows, ""])


def _ways(grammars: Grammars, rule: str) -> list[str]:
    said = [path.written for path in grammars.expansion(f"<{rule}>").paths()]
    return [*said[:_WAYS], *(["…"] if len(said) > _WAYS else [])]


def _table(name: str, group: Mapping[str, Any]) -> str:
    needed = set(group.get("required", ()))
    lines = [f"## {name}", "", _cell(str(group.get("description", ""))), "", "| field | holds | | what it is |",
        "| --- | --- | --- | --- |"]  # fmt: skip
    for field, about in cast("Mapping[str, Mapping[str, Any]]", group["properties"]).items():
        must = "needed" if field in needed else _default(about)
        lines.append(f"| `{field}` | {_holds(about)} | {must} | {_cell(str(about.get('description', '')))} |")
    return "\n".join(lines) + "\n"


def _default(about: Mapping[str, Any]) -> str:
    value = about.get("default")
    return f"else `{value}`" if isinstance(value, str | int | float) and value not in ("", False) else ""


def _holds(about: Mapping[str, Any]) -> str:
    """What a field holds, in words."""
    if "$ref" in about:
        name = about["$ref"].rpartition("/")[2]
        told = f"[{name}](#{name.lower()})"
    elif "enum" in about:
        told = " or ".join(f"`{one}`" for one in about["enum"])
    elif "const" in about:
        told = f"`{about['const']}`"
    elif "anyOf" in about:
        told = " or ".join(dict.fromkeys(_holds(one) for one in about["anyOf"] if _is_told(one)))
    elif "prefixItems" in about:
        told = f"{len(about['prefixItems'])} numbers"
    elif "items" in about:
        told = f"list of {_holds(about['items'])}"
    else:
        told = _SIMPLE[about.get("type", "string")]
    return told


def _is_told(option: Mapping[str, Any]) -> bool:
    """Whether an option is worth a word at each field: that it may be left out, or given by language, is not."""
    return option.get("type") != "null" and "propertyNames" not in option


def _cell(text: str) -> str:
    """On one line, without what would end a cell; code as Markdown has it."""
    return " ".join(_pieces(text.replace("``", "`")))


def _pieces(text: str) -> Iterator[str]:
    yield from (word.replace("|", "\\|") for word in text.split())


def main() -> None:
    """Write the document anew."""
    if not FILE.parents[1].joinpath("checklists").is_dir():
        sys.exit("This is not a source tree.")
    FILE.parent.mkdir(exist_ok=True)
    FILE.write_text(as_markdown(), encoding="utf-8")


if __name__ == "__main__":
    main()
