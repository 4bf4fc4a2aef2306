"""HTML in which no text can become markup by accident."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from handsfree.shown import harmless

_EMPTY = frozenset({"meta", "link", "br", "hr"})


class Markup(str):
    """HTML; every other string is text, and is escaped where it is put into HTML."""

    __slots__ = ()


def tag(name: str, /, *children: str, **attributes: str) -> Markup:
    """An element; ``class_`` stands for ``class``, and other underlines for hyphens."""
    written = "".join(f' {key.rstrip("_").replace("_", "-")}="{_escaped(value)}"' for key, value in attributes.items())
    if name in _EMPTY:
        return Markup(f"<{name}{written}>")
    return Markup(f"<{name}{written}>{joined(children)}</{name}>")


def joined(parts: Iterable[str]) -> Markup:
    """Texts and elements one after the other."""
    return Markup("".join(part if isinstance(part, Markup) else _escaped(part) for part in parts))


def table(heading: Sequence[str], rows: Iterable[Sequence[str]], *, texts: int = 1) -> Markup:
    """A table; the first ``texts`` columns hold text, the others numbers."""

    def cells(name: str, row: Sequence[str]) -> Markup:
        return joined(
            tag(name, cell) if number < texts else tag(name, cell, class_="number") for number, cell in enumerate(row)
        )

    body = [tag("tr", cells("td", row)) for row in rows]
    head = tag("thead", tag("tr", cells("th", heading)))
    return tag("div", tag("table", head, tag("tbody", *body)), class_="wide")


def _escaped(text: str) -> str:
    """Text in which nothing is markup, and nothing turns its direction or cannot be seen."""
    return escape("\n".join(map(harmless, text.split("\n"))))
