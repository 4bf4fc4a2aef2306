"""A short code for what a log holds so far, to be written down or read aloud to somebody else.

Who has the code can tell later whether the log up to there is still the same.  It is the number of events, then 75 bits
of the chain in base 32 (RFC 4648: A to Z and 2 to 7), then one character by which a slip of the pen is noticed:
``41-KXQ2-MB7A-PQ3D-WLEA``.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable
from dataclasses import dataclass

from handsfree.errors import Mendable
from handsfree.journal.lines import digest

_CHARACTERS = 15
_ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"
_GROUP = 4
_WRITTEN = re.compile(rf"0*(\d{{1,9}}?)\s*-\s*([A-Z2-7\s-]{{{_CHARACTERS + 1},}})")


class AnchorError(Mendable):
    """What was given is no such code."""


@dataclass(frozen=True, slots=True)
class Anchor:
    """So many events, and what they hash to."""

    events: int
    code: str
    """15 characters of base 32."""

    @property
    def written(self) -> str:
        """In groups, as it is shown."""
        whole = self.code + _check(self.events, self.code)
        return "-".join([str(self.events), *(whole[at : at + _GROUP] for at in range(0, len(whole), _GROUP))])

    def spoken(self, spell: Callable[[str], str]) -> str:
        """As it is read aloud; a pause between the groups.  ``spell`` names letters and digits."""
        return ", ".join(map(spell, self.written.split("-")))

    def fits(self, line: bytes) -> bool:
        """Whether the line of that event is the one that the code was made of."""
        return _code(line) == self.code


def anchor_of(line: bytes, events: int) -> Anchor:
    """The code for a log whose last line, without its newline, this is: each line leads to all before it."""
    return Anchor(events, _code(line))


def parse_anchor(text: str, understood: Callable[[str], str | None] = lambda _: None) -> Anchor:
    """A code as it is written or, with ``understood`` to turn words to characters, as it is spoken.

    Raises AnchorError when a character was misheard or mistyped.
    """
    groups = text.split(",")
    if len(groups) > 1:
        groups = [understood(group) or group for group in groups]
    found = _WRITTEN.fullmatch("-".join(groups).strip().upper())
    code = re.sub(r"[\s-]", "", found[2]) if found else ""
    if found is None or len(code) != _CHARACTERS + 1:
        raise AnchorError(f"'{text}' is no code of a log", "it looks like 41-KXQ2-MB7A-PQ3D-WLEA")
    events = int(found[1])
    if _check(events, code[:-1]) != code[-1]:
        raise AnchorError(f"'{text}' was misread or mistyped: its last character does not fit", "look at it again")
    return Anchor(events, code[:-1])


def _code(line: bytes) -> str:
    return base64.b32encode(bytes.fromhex(digest(line))).decode()[:_CHARACTERS]


def _check(events: int, code: str) -> str:
    """Each character has another weight modulo the prime 31, so that one wrong or two exchanged are noticed."""
    values = [*map(int, str(events)), *map(_ALPHABET.index, code)]
    return _ALPHABET[sum(weight * value for weight, value in enumerate(values, start=1)) % 31]
