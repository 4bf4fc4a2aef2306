"""What a row of the table of faults says."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass
class Row:
    """One kind of fault: how often it was made, and what came of it."""

    name: str
    injected: int = 0
    survived: int = 0
    """The walk went on, or could be gone on with, or what was wrong was found and said."""
    lost: int = 0
    """Acknowledged, and gone."""
    invented: int = 0
    """There, and never said."""
    figure: str = ""
    """Times and sizes that were measured meanwhile."""
    problems: list[str] = field(default_factory=list[str])
    """Each in a sentence."""

    @property
    def good(self) -> bool:
        return self.injected > 0 and self.survived == self.injected and not (self.lost or self.invented)

    def count(self, *, lost: int = 0, invented: int = 0, problem: str = "") -> None:
        """One more fault, and what came of it."""
        self.injected += 1
        self.lost += lost
        self.invented += invented
        if problem:
            self.problems.append(problem)
        elif not (lost or invented):
            self.survived += 1


HEAD = ("fault", "made", "survived", "lost", "invented", "measured")


def as_table(rows: list[Row]) -> str:
    """Markdown."""
    cells = [
        (one.name, f"{one.injected:,}", f"{one.survived:,}", f"{one.lost:,}", f"{one.invented:,}", one.figure)
        for one in rows
    ]
    lines = [" | ".join(row) for row in (HEAD, ("---", "--:", "--:", "--:", "--:", "---"), *cells)]
    return "\n".join(f"| {line} |" for line in lines)
