"""A set of things that may be said at one moment, before it is compiled to a vocabulary."""

from __future__ import annotations

from dataclasses import dataclass

from handsfree.language.vocabulary import Entry, NumberEntry, Vocabulary


@dataclass(frozen=True, slots=True)
class Said:
    """Entries, numbers and strangers; sets are added to each other."""

    entries: tuple[Entry, ...] = ()
    numbers: tuple[NumberEntry, ...] = ()
    strangers: tuple[str, ...] = ()
    """What is listened for and means nothing here."""

    def __add__(self, other: Said) -> Said:
        return Said(self.entries + other.entries, self.numbers + other.numbers, self.strangers + other.strangers)

    def vocabulary(self, *, critical: bool = False) -> Vocabulary:
        """Compiled.  Raises GrammarError or VocabularyError for phrases that cannot be used."""
        return Vocabulary.build(self.entries, self.numbers, self.strangers, critical=critical)
