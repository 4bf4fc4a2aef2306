"""One thing that can be said."""

from __future__ import annotations

from dataclasses import dataclass

from handsfree.language.meaning import Meaning


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words and what they mean."""

    text: str
    """Written form, in the checklist's spelling: "cut on tyre two", "nacelle dry"."""
    heard_as: str
    """The recogniser's words: "cut on tire two", "na sell dry"."""
    meaning: Meaning
