"""What a spoken phrase means: the one currency between ears, checklist and walk."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

Outcome = Literal["pass", "finding", "value", "control"]
"""What kind of answer a clause is."""
Passing = Literal["pass", "value"]
"""Those by which what is asked may pass."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """The meaning of one clause: an outcome, and slots such as ``finding=cut`` and ``number=2``.

    Slots are kept sorted by name, so that two clauses that mean the same are equal and hash alike.
    """

    outcome: Outcome
    """Pass, finding, value or control."""
    slots: tuple[tuple[str, str], ...] = ()
    """Sorted (name, value) pairs; both are plain strings."""

    @classmethod
    def of(cls, outcome: Outcome, slots: Mapping[str, str] | Iterable[tuple[str, str]] = (), **more: str) -> Meaning:
        """Build a meaning from a mapping or pairs, and from keywords; later values win."""
        return cls(outcome, tuple(sorted({**dict(slots), **more}.items())))

    def get(self, name: str) -> str | None:
        """The value of a slot, or None."""
        return next((value for key, value in self.slots if key == name), None)

    def with_slots(self, **more: str) -> Meaning:
        """The same meaning with slots added or replaced."""
        return Meaning.of(self.outcome, self.slots, **more)

    def as_dict(self) -> dict[str, str]:
        """The slots as a plain dictionary, in sorted order (what the JSON output shows as ``meaning``)."""
        return dict(self.slots)


def overall_outcome(meanings: Iterable[Meaning]) -> Outcome:
    """The outcome of an utterance of several clauses: a pass beside a finding is a finding.

    Raises ValueError when there is no clause.
    """
    outcomes = {meaning.outcome for meaning in meanings}
    order: tuple[Outcome, ...] = ("finding", "value", "pass", "control")
    for outcome in order:
        if outcome in outcomes:
            return outcome
    raise ValueError("an utterance without a clause has no outcome")
