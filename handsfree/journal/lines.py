"""An event as a line of the log: canonical JSON, chained to the line before by its SHA-256.

Canonical JSON is RFC 8785: keys in order, no blanks, one way to write a number.  What a line says can then be written
in one way only, so that not even a blank can be changed without breaking the chain.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any

import rfc8785

from handsfree.journal.events import AnyEvent


def line_of(event: AnyEvent) -> bytes:
    """The line of an event, without a newline."""
    return canonical(event.model_dump(mode="json"))


def canonical(value: dict[str, Any]) -> bytes:
    """RFC 8785.  Half a character, which no text may hold (it comes from broken file names), is written as "?"."""
    try:
        return rfc8785.dumps(value)
    except rfc8785.CanonicalizationError:
        return rfc8785.dumps(_whole_characters(value))


def is_canonical(line: bytes) -> bool:
    """Whether this is how what it says is written here: RFC 8785, and whole characters only."""
    try:
        return rfc8785.dumps(json.loads(line)) == line
    except (ValueError, RecursionError):  # a CanonicalizationError is a ValueError
        return False


def digest(data: bytes) -> str:
    """SHA-256 in lower-case hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def _whole_characters(value: Any) -> Any:
    match value:
        case str():
            return value.encode("utf-8", "replace").decode()
        case dict():
            return {_whole_characters(key): _whole_characters(one) for key, one in value.items()}  # pyright: ignore
        case list():
            return [_whole_characters(one) for one in value]  # pyright: ignore
        case _:
            return value
