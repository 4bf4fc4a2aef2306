"""The published JSON Schema of a checklist file, made from the models; editors complete and check by it.

``python -m handsfree.checklist.schema`` rewrites ``checklists/checklist.schema.json`` in a source tree; a test fails
when the two differ.  A checklist points its editor there with a first line
``# yaml-language-server: $schema=checklist.schema.json``.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from handsfree.checklist.models import Checklist

DIALECT = "https://json-schema.org/draft/2020-12/schema"
FILE_NAME = "checklist.schema.json"


def checklist_schema() -> dict[str, Any]:
    """The schema as data, in the JSON Schema dialect of 2020-12."""
    return {"$schema": DIALECT, **Checklist.model_json_schema(by_alias=True)}


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
