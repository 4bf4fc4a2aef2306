"""Formats of the files that people write: newer ones are refused by name, older ones brought up as they are read.

To change the format: raise `FORMAT`, add to `STEPS` what makes the fields of the new format of those of the one before,
and keep a file of the old one in the tests.  The file itself stays as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final, cast

FORMAT: Final = 1
"""The newest format of checklists, stocks and exercises that this program reads."""

Step = Callable[[dict[str, Any]], dict[str, Any]]
STEPS: Final[Mapping[int, Step]] = {}
"""By the format that a step begins with: what makes of a file's fields those of the next format."""


class NewerFormatError(Exception):
    """A later version of this program made the file; ``found`` is its format."""

    def __init__(self, found: int, newest: int) -> None:
        super().__init__(f"this file is of format {found}, and this program reads up to {newest}")
        self.found = found


def brought_up(data: object, steps: Mapping[int, Step] = STEPS, newest: int = FORMAT) -> object:
    """A file's values as the newest format has them.  Raises NewerFormatError.

    What has no format, or one that no step begins with, stays as it is: the models say what is wrong.
    """
    if not isinstance(data, dict):
        return data
    fields = cast("dict[str, Any]", data)
    found = fields.get("format")
    if not isinstance(found, int) or isinstance(found, bool):
        return fields
    if found > newest:
        raise NewerFormatError(found, newest)
    while found in steps:
        fields, found = steps[found](fields) | {"format": found + 1}, found + 1
    return fields
