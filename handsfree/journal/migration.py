"""Logs of earlier versions, read as if they had been written today.

Each step turns a line of one version into one of the next.  A log is never rewritten: who goes on with an old one adds
lines of this version, the first of which is chained to all that lies before it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, Final

from pydantic import TypeAdapter

from handsfree.journal.events import VERSION

_VERSION = re.compile(rb'"v":(\d+)[,}]')
_Fields = dict[str, Any]
_FIELDS: TypeAdapter[_Fields] = TypeAdapter(_Fields)


def version_of(line: bytes) -> int:
    """The version that a line was written in, without reading all of it; this one when it does not say."""
    # Version 1 begins with it, canonical JSON has it near the end.  Text cannot hold it: its quotes are escaped there.
    found = _VERSION.match(line, 1) or _VERSION.search(line, max(0, line.rfind(b'"v":')))
    return int(found[1]) if found else VERSION


def upgraded(line: bytes, version: int) -> bytes:
    """The line in this version.  Raises ValueError for a version that is not known, or what is no JSON object."""
    if version not in _STEPS:
        raise ValueError(f"version {version} is not known to this program")
    fields = _FIELDS.validate_json(line)
    for step in range(version, VERSION):
        fields = _STEPS[step](fields)
    return _FIELDS.dump_json(fields)


def _from_1(fields: _Fields) -> _Fields:
    """Events were not chained."""
    return {**fields, "v": 2, "prev": ""}


def _from_2(fields: _Fields) -> _Fields:
    """Nobody practised: what an exercise writes was not known."""
    return {**fields, "v": 3}


def _from_3(fields: _Fields) -> _Fields:
    """No question was answered before the walk."""
    return {**fields, "v": 4}


def _from_4(fields: _Fields) -> _Fields:
    """Every walk was in English."""
    return {**fields, "v": 5}


_STEPS: Final[Mapping[int, Callable[[_Fields], _Fields]]] = {1: _from_1, 2: _from_2, 3: _from_3, 4: _from_4}
