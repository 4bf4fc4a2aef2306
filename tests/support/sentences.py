"""Every sentence that a language has to translate, found in the source of what says it."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from handsfree.language.grammars import Grammars
from handsfree.steadfast import SENTENCES
from handsfree.walk import wording

WORDING = Path(wording.__file__)
_OTHERS = ("left", "right", "inner", "outer", "number", "one", "the cockpit", "Initials", "Registration")
_FLUIDS = ("fuel leak", "oil leak", "hydraulic leak", "brake leak", "water leak")
_BEYOND = ("below limit", "above limit", "count short", "count over")


def sentences() -> tuple[str, ...]:
    """In the order of the source; each once."""
    tree = ast.parse(WORDING.read_text(encoding="utf-8"))
    found = [*_constants(tree), *_in_calls(tree), *wording.PRACTICE.values(), *SENTENCES]
    return tuple(dict.fromkeys([*found, "Critical", "Major", "Minor", *_OTHERS, *_FLUIDS, *_BEYOND]))


def finding_names(grammars: Grammars) -> tuple[str, ...]:
    """How the findings of the grammars are named, where a checklist does not name them itself."""
    paths = grammars.expansion("<findings.any>").paths()
    return tuple(dict.fromkeys(dict(path.slots)["finding"].replace("-", " ") for path in paths))


def _constants(tree: ast.Module) -> Iterator[str]:
    for node in tree.body:
        match node:
            case ast.Assign(value=ast.Constant(value=str(text))):
                yield text
            case ast.Assign(targets=[ast.Name(id="_DECISIONS")], value=ast.Dict(values=values)):
                yield from map(ast.literal_eval, values)
            case _:
                pass


def _in_calls(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in ("_", "fixed"):
            for part in ast.walk(node.args[0]):
                if isinstance(part, ast.Constant) and isinstance(part.value, str) and part.value not in ("-", " "):
                    yield part.value
