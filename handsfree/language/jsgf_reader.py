"""JSGF text to rules and expansions (source of the meaning: W3C note "JSpeech Grammar Format", 5 June 2000)."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from handsfree.language.errors import GrammarError
from handsfree.language.jsgf_syntax import Branch, Leaf, parse
from handsfree.language.jsgf_tree import (
    Alternatives,
    GrammarFile,
    Import,
    Node,
    Null,
    Optional,
    Place,
    Ref,
    Repeat,
    Rule,
    Sequence,
    Tagged,
    Token,
    Void,
)

_HEADER: Final = re.compile(
    r"#JSGF[ \t]+V(?P<version>1(?:\.\d+)?)(?:[ \t]+(?P<encoding>[^;\s]+))?(?:[ \t]+(?P<locale>[^;\s]+))?[ \t]*;",
    re.IGNORECASE,
)

LONGEST: Final = 5000
"""Characters of a phrase with all its choices; the longest of the shipped ones has 54."""


def read_grammar_file(path: Path) -> GrammarFile:
    """Read one ``.jsgf`` file in the encoding that its header names (UTF-8 when it names none).

    Raises GrammarError for a file that cannot be read, decoded or parsed.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise GrammarError(str(path), 1, 1, f"cannot be read: {error.strerror}") from error
    data = data.removeprefix(b"\xef\xbb\xbf")
    header = _HEADER.match(data.split(b"\n", 1)[0].decode("latin-1"))
    encoding = (header and header["encoding"]) or "utf-8"
    try:
        text = data.decode(encoding)
    except (LookupError, UnicodeDecodeError) as error:
        raise GrammarError(str(path), 1, 1, f"cannot be read as '{encoding}': {error}") from error
    return read_grammar(text, str(path))


def read_grammar(text: str, file: str) -> GrammarFile:
    """Parse the text of a whole grammar; ``file`` is its name in messages.  Raises GrammarError."""
    header = _HEADER.match(text)
    if header is None:
        raise GrammarError(file, 1, 1, "a grammar begins with the header '#JSGF V1.0;'")
    tree = parse(text, "grammar_file", file)
    name_line = next(leaf for leaf in tree.leaves if leaf.kind == "NAME_LINE")
    return GrammarFile(
        file=file,
        version=header["version"],
        encoding=header["encoding"] or "",
        locale=header["locale"] or "",
        name=name_line.text.removeprefix("grammar").rstrip(";").strip(),
        imports=tuple(_import(branch.leaves[0], file) for branch in tree.branches if branch.kind == "import"),
        rules=tuple(_rule(branch, file) for branch in tree.branches if branch.kind == "rule"),
    )


def read_expansion(text: str) -> Node:
    """Parse a rule expansion alone, such as ``[the] tyres (good | serviceable)``.  Raises GrammarError."""
    if len(text) > LONGEST:
        raise GrammarError("phrase", 1, LONGEST + 1, f"a phrase with more than {LONGEST} characters")
    return _node(parse(text, "expansion", "phrase"), "phrase")


def _import(leaf: Leaf, file: str) -> Import:
    grammar, _, rule = leaf.text[1:-1].rpartition(".")
    if not grammar or not rule:
        raise _error(leaf, file, f"'import {leaf.text}' names no grammar; write <grammar.rule> or <grammar.*>")
    return Import(grammar, rule, Place(file, leaf.line, leaf.column))


def _rule(branch: Branch, file: str) -> Rule:
    *public, name = branch.leaves
    if name.text in ("<NULL>", "<VOID>"):
        raise _error(name, file, f"{name.text} is a special name and cannot be defined")
    if "." in name.text:
        raise _error(name, file, f"{name.text}: a rule is defined by its simple name, without a dot")
    place = Place(file, name.line, name.column)
    return Rule(name.text[1:-1], bool(public), _node(branch.branches[0], file), place)


def _node(branch: Branch, file: str) -> Node:
    """One construct; each kind is named as in the syntax."""
    match branch.kind:
        case "word" | "quoted" | "reference":
            return _atom(branch.leaves[0], file)
        case "expansion":
            return _alternatives(branch, file)
        case "sequence":
            items = tuple(_node(item, file) for item in branch.branches)
            return items[0] if len(items) == 1 else Sequence(items)
        case _:
            return _around(branch, _node(branch.branches[0], file), file)


def _around(branch: Branch, inner: Node, file: str) -> Node:
    match branch.kind:
        case "optional":
            return Optional(inner)
        case "star":
            return Repeat(inner, least=0)
        case "plus":
            return Repeat(inner, least=1)
        case "tagged":
            return Tagged(inner, _slots(branch.leaves[0], file))
        case _:  # a group, or the inside of a weighted alternative
            return inner


def _atom(leaf: Leaf, file: str) -> Node:
    if leaf.kind == "WORD":
        return Token(leaf.text)
    if leaf.kind == "QUOTED":
        text = " ".join(_unescaped(leaf.text[1:-1]).split())
        if not text:
            raise _error(leaf, file, "a quoted token is empty")
        return Token(text)
    special: dict[str, Node] = {"<NULL>": Null(), "<VOID>": Void()}
    return special.get(leaf.text) or Ref(leaf.text[1:-1], Place(file, leaf.line, leaf.column))


def _alternatives(branch: Branch, file: str) -> Node:
    items = [_node(item, file) for item in branch.branches]
    weights = [_weight(item.leaves[0]) for item in branch.branches if item.kind == "weighted"]
    if weights:
        items = [item if weight > 0 else Void() for item, weight in zip(items, weights, strict=True)]
    return items[0] if len(items) == 1 else Alternatives(tuple(items), tuple(weights))


def _weight(leaf: Leaf) -> float:
    return float(leaf.text.strip("/ \t\n").rstrip("fFdD"))


def _slots(leaf: Leaf, file: str) -> tuple[tuple[str, str], ...]:
    """``{finding=cut; side=left}`` as pairs; a tag that is only a word is a slot with an empty value."""
    pairs: list[tuple[str, str]] = []
    for part in _unescaped(leaf.text[1:-1]).split(";"):
        name, _, value = (piece.strip() for piece in part.partition("="))
        if name:
            pairs.append((name, value))
        elif value:
            raise _error(leaf, file, f"the tag {leaf.text} has a value without a name")
    return tuple(pairs)


def _unescaped(text: str) -> str:
    return re.sub(r"\\(.)", r"\1", text, flags=re.DOTALL)


def _error(leaf: Leaf, file: str, message: str) -> GrammarError:
    return GrammarError(file, leaf.line, leaf.column, message)
