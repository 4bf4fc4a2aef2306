"""The published JSON Schema of a checklist file, made from the models; editors complete and check by it.

``python -m handsfree.checklist.schema`` rewrites ``checklists/checklist.schema.json`` in a source tree; a test fails
when the two differ.  A checklist points its editor there with a first line
``# yaml-language-server: $schema=checklist.schema.json``.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any, cast

from handsfree.checklist.models import CODE_PATTERN, Checklist
from handsfree.checklist.translations import DEFAULT, FIELD

DIALECT = "https://json-schema.org/draft/2020-12/schema"
FILE_NAME = "checklist.schema.json"


def checklist_schema() -> dict[str, Any]:
    """The schema as data, in the JSON Schema dialect of 2020-12."""
    schema = Checklist.model_json_schema(by_alias=True)
    for model in (schema, *schema["$defs"].values()):
        if "properties" in model:
            model["properties"] = {name: _by_language(one) for name, one in model["properties"].items()}
    properties = schema["properties"]
    schema["properties"] = {FIELD if name == "language" else name: about for name, about in properties.items()}
    schema["properties"][FIELD] = {
        "type": "array",
        "items": {"type": "string", "pattern": CODE_PATTERN},
        "minItems": 1,
        "uniqueItems": True,
        "default": list(DEFAULT),
        "title": "Languages",
        "description": "By their two letters in ISO 639-1; the first is spoken unless another is asked for.",
    }
    return {"$schema": DIALECT, **schema}


def _by_language(schema: dict[str, Any]) -> dict[str, Any]:
    """A field's schema that also takes a value for each language, if its value is text or a list of texts."""
    values = schema.get("additionalProperties")
    if isinstance(values, dict):  # texts by id
        return {**schema, "additionalProperties": _by_language(cast("dict[str, Any]", values))}
    if not _is_text(schema):
        return schema
    told = {name: schema[name] for name in ("title", "description", "default") if name in schema}
    plain = {name: value for name, value in schema.items() if name not in told}
    options: list[Any] = plain.get("anyOf", [plain])
    one_text = next(one for one in options if one.get("type") != "null")
    each = {
        "type": "object",
        "propertyNames": {"pattern": CODE_PATTERN},
        "additionalProperties": one_text,
        "minProperties": 1,
        "description": "The same by language.",
    }
    return {"anyOf": [*options, each], **told}


def _is_text(schema: Mapping[str, Any]) -> bool:
    """Text that is not of a form of its own, as ids are; a list of such; or nothing instead of it."""
    if "anyOf" in schema:
        options = [one for one in schema["anyOf"] if one.get("type") != "null"]
        return len(options) == 1 and _is_text(options[0])
    if schema.get("type") == "array":
        items = schema.get("items", {})
        return items.get("$ref", "").endswith("/Pass") or _is_text(items)
    return schema.get("type") == "string" and not {"pattern", "enum", "const"}.intersection(schema)


def schema_text() -> str:
    """The schema as the published file holds it."""
    return json.dumps(checklist_schema(), indent=2, ensure_ascii=False) + "\n"


def main() -> None:
    """Rewrite the published file of this source tree."""
    folder = Path(__file__).parents[2] / "checklists"
    if not folder.is_dir():
        sys.exit("This is not a source tree: the schema of an installed package is complete already.")
    (folder / FILE_NAME).write_text(schema_text(), encoding="utf-8")


if __name__ == "__main__":
    main()
