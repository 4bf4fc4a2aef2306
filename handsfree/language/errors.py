"""What can be wrong with a grammar or a phrase."""

from __future__ import annotations


class GrammarError(Exception):
    """A grammar, a phrase or a lexicon that cannot be used; names the place, and says what is wrong with it."""

    def __init__(self, file: str, line: int, column: int, message: str) -> None:
        super().__init__(message)
        self.file = file
        """The file's path; ``phrase`` for an expansion that came as text."""
        self.line = line
        """Counted from 1."""
        self.column = column
        """Counted from 1."""
        self.message = message

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: {self.message}"


class VocabularyError(Exception):
    """Phrases that are sound as grammars and cannot be used: a slot with two values, nothing to say, too many."""
