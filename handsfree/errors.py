"""What a user can mend, said in one way everywhere."""

from __future__ import annotations


class Mendable(Exception):  # noqa: N818  # the errors are its kinds
    """Something is not as it should be: ``message`` says what and where, ``hint`` what to do."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message, hint)  # both, so that it comes whole out of another process
        self.message = message
        self.hint = hint

    def __str__(self) -> str:
        return self.message
