"""Text from outside on its way to a terminal: nothing in it acts there, hides there, or is taken for markup."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping
from typing import Any, Final, cast

NOT_TEXT: Final = "\N{REPLACEMENT CHARACTER}"
"""Stands for a character that is none to read: controls, escapes, overrides of the direction, half characters."""
LONGEST: Final = 300
"""Characters of a text that is quoted in a message."""
_NOT_ASCII: Final = re.compile(r"[^\x20-\x7e]")


def harmless(text: str) -> str:
    """The text on one line, with nothing in it that would act on a terminal or could not be seen there."""
    if text.isprintable():
        return text
    return "".join(one if one.isprintable() else " " if one.isspace() else NOT_TEXT for one in text)


def counted(number: int, what: str) -> str:
    """``1 item``, ``2 items``."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def shortened(text: str, most: int = LONGEST) -> str:
    """The text, or its beginning and a mark that there is more."""
    return text if len(text) <= most else f"{text[: most - 2]} …"


def json_line(row: Mapping[str, Any]) -> str:
    """One JSON object on one line, which any reader takes: a number that is none becomes null."""
    return readable_json(json.dumps(_finite(row), ensure_ascii=False, allow_nan=False))


def readable_json(text: str) -> str:
    """The same JSON, in which what cannot be read is written as an escape."""
    return text if text.isprintable() else _NOT_ASCII.sub(_escaped, text)


def _escaped(found: re.Match[str]) -> str:
    return found[0] if found[0].isprintable() else json.dumps(found[0])[1:-1]


def _finite(value: Any) -> Any:
    match value:
        case float():
            return value if math.isfinite(value) else None
        case dict():
            return {key: _finite(one) for key, one in cast("dict[str, Any]", value).items()}
        case list() | tuple():
            return [_finite(one) for one in cast("list[Any]", value)]
        case _:
            return value
