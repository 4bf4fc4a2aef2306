"""Texts by language: a file in several is read in one of them, and the models know nothing of the others.

A file names its languages (``languages: [en, de]``, the first is read unless another is asked for), and any text or
list of texts may then be given by language: ``prompt: {en: Nose tyres., de: Bugreifen.}``.  What is not so given is
the same in all of them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from handsfree.checklist.marked_yaml import Node
from handsfree.checklist.models import CODE_PATTERN
from handsfree.checklist.problems import Location, Problem

FIELD = "languages"
DEFAULT = ("en",)
_CODE = re.compile(CODE_PATTERN)
_SPOKEN = frozenset(
    ("title", "notice", "cautions", "ask", "name", "spoken", "prompt", "full", "look_for", "why", "pass", "say")
) | {"called", "caution"}
"""Fields that a person hears or says: each language has its own."""
_THE_SAME = frozenset(("id", "kind", "severity", "ata", "needs", "undoes", "only_if", "use", "asked_by", "pattern"))
"""Fields that no language changes: a log says the same in each."""
_RULES_ONLY = re.compile(r"(\s|[|()\[\]]|<[a-z_.]+>)*")
"""Nothing but references to rules of a grammar, which every language has under the same names."""


class Untranslated(Exception):  # noqa: N818  # what it is, not that it is an error
    """The file cannot be read in this language; ``problems`` holds at least one."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(one.message for one in problems))
        self.problems = problems


def languages_of(root: Node) -> tuple[str, ...]:
    """The languages of a file, the usual one first.  Raises Untranslated for a list that is none."""
    node = root.find((FIELD,))
    if node is None:
        return DEFAULT
    codes = tuple(one.scalar for one in node.items or ())
    texts = tuple(code for code in codes if isinstance(code, str) and _CODE.match(code))
    if not texts or len(texts) != len(codes) or len(set(texts)) != len(texts):
        message = "this must be a list of languages, each once, by their two letters"
        raise Untranslated((_problem(message, (FIELD,), hint="languages: [en, ko]"),))
    return texts


def in_language(root: Node, wanted: str = "") -> Node:
    """A file's values in one of its languages; ``wanted`` = the first of them unless given.

    Raises Untranslated with every text that this language lacks.
    """
    known = languages_of(root)
    if root.find(("language",)):
        raise Untranslated((_problem("there is no field 'language' here", ("language",), "write 'languages: [ko]'"),))
    language = wanted or known[0]
    if language not in known:
        message = f"this checklist is not in the language '{language}'"
        raise Untranslated((_problem(message, (FIELD,), hint=f"it is in: {', '.join(known)}"),))
    lacking: list[Problem] = []
    made = _chosen(root, (), language, frozenset(known), lacking)
    if lacking:
        raise Untranslated(tuple(lacking))
    fields = {name: node for name, node in (made.fields or {}).items() if name != FIELD}
    at = root.find((FIELD,)) or root
    return replace(made, fields={**fields, "language": Node(at.line, at.column, language, language)})


def untranslated_texts(root: Node) -> Iterator[Problem]:
    """Texts that a person hears or says and that are the same in all languages of the file: probably forgotten."""
    known = languages_of(root)
    if len(known) > 1:
        yield from _the_same_in_all(root, (), frozenset(known))


def _chosen(node: Node, where: Location, language: str, known: frozenset[str], lacking: list[Problem]) -> Node:
    if node.items is not None:
        return replace(
            node,
            items=[_chosen(one, (*where, at), language, known, lacking) for at, one in enumerate(node.items)],
        )
    if node.fields is None:
        return node
    if _is_by_language(node, known):
        if language in node.fields:
            return node.fields[language]
        others = ", ".join(f"'{code}'" for code in node.fields)
        lacking.append(_problem(f"this text is not in the language '{language}'", where, hint=f"it is in {others}"))
        return node
    return replace(
        node,
        fields={
            name: one if name in _THE_SAME else _chosen(one, (*where, name), language, known, lacking)
            for name, one in node.fields.items()
        },
    )


def _is_by_language(node: Node, known: frozenset[str]) -> bool:
    return bool(node.fields) and known.issuperset(node.fields or ())


def _the_same_in_all(node: Node, where: Location, known: frozenset[str]) -> Iterator[Problem]:
    for at, one in enumerate(node.items or ()):
        yield from _the_same_in_all(one, (*where, at), known)
    if node.fields is None or _is_by_language(node, known):
        return
    for name, one in node.fields.items():
        way = (*where, name)
        if name not in _SPOKEN or _is_by_language(one, known):
            yield from _the_same_in_all(one, way, known)
        elif one.fields is None and any(_has_words(text) for text in _texts(one)):
            yield replace(
                _problem("this text is the same in all languages", way, hint=f"give it by language: {_example(known)}"),
                code="one-text-for-all",
                level="warning",
            )
        elif one.items is not None:
            yield from _the_same_in_all(one, way, known)


def _texts(node: Node) -> Sequence[Node]:
    return [one for one in node.items if one.fields is None] if node.items is not None else [node]


def _has_words(node: Node) -> bool:
    return isinstance(node.scalar, str) and not _RULES_ONLY.fullmatch(node.scalar)


def _example(known: frozenset[str]) -> str:
    return "{" + ", ".join(f"{code}: …" for code in sorted(known)) + "}"


def _problem(message: str, where: Location, hint: str) -> Problem:
    return Problem(message, where=where, hint=hint, code="translation")
