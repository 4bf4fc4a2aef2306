"""What can go wrong with a bench."""

from __future__ import annotations


class BenchError(Exception):
    """The bench cannot go on; ``hint`` says what to do."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message, hint)  # both, so that it comes whole out of another process
        self.message = message
        self.hint = hint

    def __str__(self) -> str:
        return self.message
