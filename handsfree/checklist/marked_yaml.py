"""YAML 1.2 into plain data that remembers its lines; the one module that knows the YAML library.

The file is read as a stream of events, so that its size, its depth and what its aliases expand to are bounded
*before* anything grows, and a key that is written twice is an error instead of a silent loss.  Only the plain types
are known (text, whole number, number, true/false, nothing, list, mapping): a tag such as ``!!python/…`` is refused.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Final, cast

import ruamel.yaml
from ruamel.yaml import events
from ruamel.yaml.error import MarkedYAMLError
from ruamel.yaml.reader import ReaderError
from ruamel.yaml.scalarstring import DoubleQuotedScalarString

from handsfree.checklist.problems import Location

MOST_BYTES = 500_000
"""A checklist of 70 items has about 80,000; one of a thousand plain items has 415,000, and is read in 1.3 s."""
MOST_DEPTH = 32
"""The format itself is 8 deep."""
MOST_NODES = 30_000
"""Values after aliases are followed: what a bomb of aliases grows in.  Those thousand items have 16,500."""
MOST_OF_A_TEXT = 5000
"""Characters; nobody listens longer."""

LONGEST_NUMBER = 18
"""Characters: longer digits stay text, which the models then refuse where they want a number."""

IN_QUOTES: Final = "a text with a colon in it must be in quotes"
_LONGEST_QUOTED: Final = 60
"""Characters of an author's line that are given back in a hint."""
_UNENDED: Final = "is a quote, a comma or a ']' missing?"
_QUOTED: Final = 'prompt: "Mooring: lines."'
_KEY: Final = re.compile(r":\s")
"""What ends the name of a field."""

Scalar = str | int | float | bool | None


class MarkedYamlError(Exception):
    """The text is not YAML that we take; line and column count from 1."""

    def __init__(self, message: str, line: int, column: int, hint: str = "") -> None:
        super().__init__(message)
        self.message, self.line, self.column, self.hint = message, line, column, hint


@dataclass(slots=True)
class Node:
    """One value with its place."""

    line: int
    """Counted from 1."""
    column: int
    """Counted from 1."""
    scalar: Scalar = None
    """The value, when this is neither a list nor a mapping."""
    written: str = ""
    """The scalar as it stands in the file: ``08``."""
    quote: str = ""
    """The mark on both sides of it; empty = it is plain."""
    items: list[Node] | None = None
    fields: dict[str, Node] | None = None
    keys: dict[str, tuple[int, int]] = field(default_factory=dict[str, tuple[int, int]])
    """Where each key of a mapping stands."""
    size: int = 1
    """Values in this one, itself included, aliases followed."""

    def plain(self) -> object:
        """The value as plain Python data."""
        if self.items is not None:
            return [one.plain() for one in self.items]
        if self.fields is not None:
            return {key: one.plain() for key, one in self.fields.items()}
        return self.scalar

    def find(self, where: Location) -> Node | None:
        """The node at a location, or None."""
        node: Node | None = self
        for step in where:
            node = node._child(step) if node else None
        return node

    def place(self, where: Location) -> tuple[int, int]:
        """Line and column of a location; of its nearest ancestor where the location does not exist."""
        node, place = self, (self.line, self.column)
        for step in where:
            child = node._child(step)
            if child is None:
                break
            place = node.keys.get(str(step), (child.line, child.column))
            node = child
        return place

    def _child(self, step: str | int) -> Node | None:
        if isinstance(step, int):
            return self.items[step] if self.items is not None and step < len(self.items) else None
        return self.fields.get(step) if self.fields is not None else None


def read_marked(text: str) -> Node | None:
    """The one document of a YAML text; None when it holds none.

    Raises MarkedYamlError with the place of the fault.
    """
    builder = _Builder()
    for event in _events(text):
        builder.take(event)
    return builder.root


def _events(text: str) -> Iterator[Any]:
    yaml: Any = ruamel.yaml.YAML(typ="safe", pure=True)
    try:
        yield from cast("Iterator[Any]", yaml.parse(text))
    except MarkedYAMLError as error:
        raise _plain_fault(error, text) from error
    except ReaderError as error:
        position: int = cast("Any", error).position
        line, column = text.count("\n", 0, position) + 1, position - text.rfind("\n", 0, position)
        message = f"the character U+{ord(text[position]):04X} cannot stand in YAML"
        raise MarkedYamlError(message, line, column, "remove it") from error


def _plain_fault(error: Any, text: str) -> MarkedYamlError:
    mark = error.problem_mark or error.context_mark
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    lines = text.splitlines()
    if 0 < line <= len(lines) and "\t" in lines[line - 1][: column + 1]:
        return MarkedYamlError(
            "a tab is used to indent; YAML allows only spaces", line, column, "use two spaces a level"
        )
    problem = str(error.problem or "")
    before = lines[line - 1][: column - 1] if 0 < line <= len(lines) else ""
    if problem.startswith("mapping values") and _KEY.search(before):
        message = "a second colon stands here"
        return MarkedYamlError(
            f"this is not YAML: {message}", line, column, f"{IN_QUOTES}, as {_quoted(lines[line - 1])}"
        )
    if problem.startswith("mapping values") or (problem.startswith("expected <block end>") and not before.strip()):
        message = "the indent of this line fits neither the line above nor what that belongs to"
        hint = "the fields of one thing begin in the same column, and so do the '-' of one list"
        return MarkedYamlError(f"this is not YAML: {message}", line, column, hint)
    if str(error.context or "").startswith("while parsing a flow") and error.context_mark:
        begun = error.context_mark
        message = f"the list or group that begins here does not end where it should (line {line})"
        return MarkedYamlError(f"this is not YAML: {message}", begun.line + 1, begun.column + 1, _UNENDED)
    if str(error.context or "").startswith("while scanning a quoted") and error.context_mark:
        begun = error.context_mark
        message = "the quote that begins here does not end"
        hint = "set one at the end of the text"
        return MarkedYamlError(f"this is not YAML: {message}", begun.line + 1, begun.column + 1, hint)
    message = ", ".join(part for part in (error.context, error.problem) if part)
    return MarkedYamlError(f"this is not YAML: {message}", line, column, "check the indent, quotes and colons here")


def _quoted(line: str) -> str:
    """The author's own line with its text in quotes."""
    name, _, text = line.strip().partition(":")
    told = text.strip().replace('"', "'")
    return f'{name}: "{told}"' if len(told) <= _LONGEST_QUOTED else _QUOTED


class _Builder:
    """Puts events together; a stack instead of recursion, so that depth is ours to bound."""

    def __init__(self) -> None:
        self.root: Node | None = None
        self._open: list[tuple[Node, str | None]] = []  # each with its anchor
        self._key: list[tuple[str, int, int] | None] = []  # for an open mapping: the key that waits for its value
        self._anchors: dict[str, Node | None] = {}  # None while what it names is not complete
        self._documents = 0

    def take(self, event: Any) -> None:
        line, column = event.start_mark.line + 1, event.start_mark.column + 1
        if isinstance(event, events.DocumentStartEvent):
            self._documents += 1
            if self._documents > 1:
                raise MarkedYamlError("a second document begins here; a checklist is one", line, column, "remove '---'")
        elif isinstance(event, events.AliasEvent):
            self._add(self._alias(cast("Any", event), line, column), line, column)
        elif isinstance(event, events.ScalarEvent):
            self._scalar(event, line, column)
        elif isinstance(event, events.CollectionStartEvent):
            self._begin(event, line, column)
        elif isinstance(event, events.CollectionEndEvent):
            self._end()

    def _alias(self, event: Any, line: int, column: int) -> Node:
        name = str(event.anchor)
        if name not in self._anchors:
            raise MarkedYamlError(f"'*{name}' refers to an anchor that is not there", line, column)
        node = self._anchors[name]
        if node is None:
            raise MarkedYamlError(f"'*{name}' refers to itself", line, column)
        return node

    def _scalar(self, event: Any, line: int, column: int) -> None:
        written = str(event.value)
        _refuse_tag(event.tag, line, column)
        _refuse_unreadable(written, line, column)
        value = _resolve(written) if event.implicit[0] and event.tag is None else written
        quote = event.style if event.style in ("'", '"') else ""
        node = Node(line, column, scalar=value, written=written, quote=quote)
        if event.anchor:
            self._anchors[event.anchor] = node
        self._add(node, line, column)

    def _begin(self, event: Any, line: int, column: int) -> None:
        _refuse_tag(event.tag, line, column)
        if len(self._open) >= MOST_DEPTH:
            raise MarkedYamlError(f"this is nested more than {MOST_DEPTH} levels deep", line, column)
        if self._waits_for_key():
            raise MarkedYamlError("a list or a mapping cannot be the name of a field", line, column)
        mapping = isinstance(event, events.MappingStartEvent)
        node = Node(line, column, fields={}) if mapping else Node(line, column, items=[])
        if event.anchor:
            self._anchors[event.anchor] = None
        self._open.append((node, event.anchor))
        self._key.append(None)

    def _end(self) -> None:
        node, anchor = self._open.pop()
        self._key.pop()
        if anchor:
            self._anchors[anchor] = node
        self._add(node, node.line, node.column)

    def _waits_for_key(self) -> bool:
        return bool(self._open) and self._open[-1][0].fields is not None and self._key[-1] is None

    def _add(self, node: Node, line: int, column: int) -> None:
        if not self._open:
            self.root = node
            return
        parent = self._open[-1][0]
        if self._waits_for_key():
            self._take_key(parent, node, line, column)
            return
        parent.size += node.size
        if parent.size > MOST_NODES:
            raise MarkedYamlError(f"this grows to more than {MOST_NODES} values", line, column, "use fewer aliases")
        if parent.items is not None:
            parent.items.append(node)
        elif parent.fields is not None and (key := self._key[-1]):
            parent.fields[key[0]] = node
            parent.keys[key[0]] = (key[1], key[2])
            self._key[-1] = None

    def _take_key(self, parent: Node, node: Node, line: int, column: int) -> None:
        if node.items is not None or node.fields is not None:
            raise MarkedYamlError("a list or a mapping cannot be the name of a field", line, column)
        name = node.written
        if name in parent.keys:
            first = parent.keys[name][0]
            raise MarkedYamlError(f"'{name}' is written twice here (first on line {first})", line, column, "keep one")
        self._key[-1] = (name, line, column)


def _refuse_tag(tag: object, line: int, column: int) -> None:
    if tag is not None and str(tag) not in ("!", "tag:yaml.org,2002:str"):
        raise MarkedYamlError(f"the tag '{tag}' is not taken here; plain values only", line, column, "remove the tag")


def _refuse_unreadable(written: str, line: int, column: int) -> None:
    """What cannot be seen would act on a terminal, or make two texts that look alike differ."""
    if len(written) > MOST_OF_A_TEXT:
        message = f"the text here has {len(written)} characters; {MOST_OF_A_TEXT} are enough"
        raise MarkedYamlError(message, line, column, "say it in fewer words")
    if written.isprintable():
        return
    for one in written:
        if not (one.isprintable() or one in "\n\t" or unicodedata.category(one) == "Zs"):
            message = f"the text here has the character U+{ord(one):04X}, which cannot be seen"
            raise MarkedYamlError(message, line, column, "remove it")


_NULL = ("", "~", "null", "Null", "NULL")
_TRUE = ("true", "True", "TRUE")
_FALSE = ("false", "False", "FALSE")
_WHOLE = re.compile(r"[-+]?[0-9]+")
_DECIMAL = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")


def _resolve(written: str) -> Scalar:
    """A plain scalar by the core schema of YAML 1.2 (10.3.2), decimal forms only: ``no`` and ``on`` are text."""
    if written in _NULL:
        return None
    if written in _TRUE or written in _FALSE:
        return written in _TRUE
    if len(written) <= LONGEST_NUMBER and _WHOLE.fullmatch(written):
        return int(written)
    if len(written) <= LONGEST_NUMBER and _DECIMAL.fullmatch(written):
        return float(written)
    return written


# Writing, for what a person goes on editing

_WIDTH: Final = 118


def editable() -> Any:
    """What loads and dumps YAML so that comments, order and quotes stay as they are."""
    made: Any = ruamel.yaml.YAML(typ="rt")
    made.width = _WIDTH
    made.indent(mapping=2, sequence=4, offset=2)
    made.preserve_quotes = True
    return made


def in_quotes(text: str) -> Any:
    """Text that is written in quotes although it looks like a number."""
    return DoubleQuotedScalarString(text)
