"""JSGF text to a plain syntax tree: the only module that knows the parser library, lark.

Source of the syntax: W3C note "JSpeech Grammar Format", 5 June 2000.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Literal, cast

from lark import Lark, Token, Tree
from lark.exceptions import UnexpectedCharacters, UnexpectedToken

from handsfree.language.errors import GrammarError

_SYNTAX: Final = r"""
grammar_file: HEADER NAME_LINE import* rule*
import: "import" RULE_NAME ";"
rule: PUBLIC? RULE_NAME "=" expansion ";"

expansion: sequence ("|" sequence)*
         | weighted ("|" weighted)*
weighted: WEIGHT sequence
sequence: _item+
_item: word | quoted | reference | group | optional | star | plus | tagged
word: WORD
quoted: QUOTED
reference: RULE_NAME
group: "(" expansion ")"
optional: "[" expansion "]"
star: _item "*"
plus: _item "+"
tagged: _item TAG

HEADER: /#JSGF[ \t][^;]*;/i
NAME_LINE: /grammar\s+[\w$]+(\.[\w$]+)*\s*;/
PUBLIC: /public(?=\s*<)/
RULE_NAME: /<[^<>\s"{}]+>/
WEIGHT.2: /\/\s*(\d+(\.\d*)?|\.\d+)([eE][-+]?\d+)?[fFdD]?\s*\//
QUOTED: /"(\\.|[^"\\])*"/
TAG: /\{(\\.|[^}\\])*\}/
WORD: /(?!\/\s*\.?\d[^\/]*\/)([^\s;=|*+<>()\[\]{}"\/]|\/(?![\/*]))+/

COMMENT: /\/\/[^\n]*|\/\*[\s\S]*?\*\//
%ignore COMMENT
%ignore /\s+/
"""
_PARSER: Final[Any] = Lark(
    _SYNTAX, parser="lalr", start=["grammar_file", "expansion"], propagate_positions=True, maybe_placeholders=False
)
_IN_WORDS: Final = {
    "HEADER": "the header '#JSGF V1.0;'",
    "NAME_LINE": "'grammar <name>;'",
    "IMPORT": "'import'",
    "PUBLIC": "'public'",
    "RULE_NAME": "a rule name <...>",
    "WEIGHT": "a weight /.../",
    "QUOTED": "a quoted token",
    "TAG": "a tag {...}",
    "WORD": "a word",
    "SEMICOLON": "';'",
    "EQUAL": "'='",
    "VBAR": "'|'",
    "STAR": "'*'",
    "PLUS": "'+'",
    "LPAR": "'('",
    "RPAR": "')'",
    "LSQB": "'['",
    "RSQB": "']'",
    "$END": "the end",
}
_BRACKETS: Final = 15
_DEEPEST: Final = 3 * _BRACKETS + 4
"""Constructs inside each other: a pair of brackets is three, the rule around them and the word in them are four."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """A lexeme: what kind, as written, and where."""

    kind: str
    text: str
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Branch:
    """A syntactic construct with its parts in order."""

    kind: str
    leaves: tuple[Leaf, ...]
    branches: tuple[Branch, ...]


def parse(text: str, start: Literal["grammar_file", "expansion"], file: str) -> Branch:
    """Parse a whole grammar or a lone expansion; ``file`` is the name in messages.  Raises GrammarError."""
    try:
        tree = cast("Tree[Token]", _PARSER.parse(text, start=start))
    except UnexpectedToken as error:
        raise _unexpected_token(error, text, file) from None
    except UnexpectedCharacters as error:
        raise _unexpected_characters(error, text, file) from None
    return _branch(tree, file, depth=0)


def _branch(tree: Tree[Token], file: str, depth: int) -> Branch:
    if depth > _DEEPEST:
        message = f"brackets are nested more than {_BRACKETS} deep"
        raise GrammarError(file, tree.meta.line, tree.meta.column, message)
    leaves = [_leaf(child) for child in tree.children if isinstance(child, Token)]
    branches = [_branch(child, file, depth + 1) for child in tree.children if isinstance(child, Tree)]
    return Branch(str(tree.data), tuple(leaves), tuple(branches))


def _leaf(token: Token) -> Leaf:
    return Leaf(token.type, str(token), token.line or 1, token.column or 1)


def _unexpected_token(error: UnexpectedToken, text: str, file: str) -> GrammarError:
    token = cast("Token", cast("Any", error).token)
    expected = _expected(error.accepts or error.expected)
    if token.type != "$END":
        return GrammarError(file, token.line or 1, token.column or 1, f"found '{token}'{expected}")
    written = text.rstrip()
    line, column = written.count("\n") + 1, len(written) - written.rfind("\n")
    return GrammarError(file, line, column, f"found the end{expected}")


def _unexpected_characters(error: UnexpectedCharacters, text: str, file: str) -> GrammarError:
    found = text[cast("int", cast("Any", error).pos_in_stream)]
    message = f"'{found}' is never closed" if found in '"{/<' else f"found '{found}'{_expected(error.allowed or set())}"
    return GrammarError(file, error.line, error.column, message)


def _expected(kinds: set[str]) -> str:
    words = [in_words for kind, in_words in _IN_WORDS.items() if kind in kinds]
    return f"; expected {' or '.join(words)}" if words else ""
