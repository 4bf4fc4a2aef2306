"""The parts of a JSGF rule expansion (W3C note of 5 June 2000), as a tree."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """Where something is written, for messages."""

    file: str
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Token:
    """What is spoken: one word, or several when it was quoted; never empty."""

    text: str


@dataclass(frozen=True, slots=True)
class Null:
    """``<NULL>``: said without saying anything."""


@dataclass(frozen=True, slots=True)
class Void:
    """``<VOID>``: can never be said."""


@dataclass(frozen=True, slots=True)
class Ref:
    """A reference to a rule, simple (``digit``) or qualified (``numbers.digit``)."""

    name: str
    place: Place


@dataclass(frozen=True, slots=True)
class Sequence:
    """One after the other."""

    items: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Alternatives:
    """One of several; one with the weight 0 reads as ``<VOID>``."""

    items: tuple[Node, ...]
    weights: tuple[float, ...] = ()
    """One for each, or none at all."""


@dataclass(frozen=True, slots=True)
class Optional:
    """``[x]``."""

    item: Node


@dataclass(frozen=True, slots=True)
class Repeat:
    """``x*`` (at least 0 times) and ``x+`` (at least once)."""

    item: Node
    least: int


@dataclass(frozen=True, slots=True)
class Tagged:
    """``x {finding=cut; side=left}``: saying x gives these slots."""

    item: Node
    slots: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Named:
    """A rule's body, in the place of a reference to it."""

    rule: str
    item: Node
    place: Place


Node = Token | Null | Void | Ref | Named | Sequence | Alternatives | Optional | Repeat | Tagged


@dataclass(frozen=True, slots=True)
class Rule:
    """``public <name> = expansion;``."""

    name: str
    public: bool
    body: Node
    place: Place


@dataclass(frozen=True, slots=True)
class Import:
    """``import <grammar.rule>;`` or ``import <grammar.*>;`` (rule ``*``)."""

    grammar: str
    rule: str
    place: Place


@dataclass(frozen=True, slots=True)
class GrammarFile:
    """One grammar: header, name, imports, rules in order."""

    file: str
    version: str
    encoding: str
    """Empty when the header does not name one."""
    locale: str
    """Empty when the header does not name one."""
    name: str
    imports: tuple[Import, ...]
    rules: tuple[Rule, ...]
