"""What is counted in hand at the end, against what was left on the aircraft: no more is in hand than came off."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from handsfree.checklist.models import Checklist, Identifier, Strict

if TYPE_CHECKING:
    from handsfree.drill.exercise import Scene


class Counted(Strict):
    """Where the things sit that an item counts in hand."""

    item: Identifier
    """Of kind ``count``."""
    at: tuple[Identifier, ...]
    """The items where one of them sits each."""
    left_on: tuple[Identifier, ...]
    """The findings by which it is still there: ``cover-on``."""

    def left(self, scenes: Iterable[Scene]) -> int:
        """How many are still on the aircraft."""
        return len({one.item for one in scenes if one.item in self.at and set(self.left_on) & set(one.findings)})


def agrees(scene: Scene, left: int, expected: int) -> bool:
    """Whether a scene at a count can be true when so many were left on; more than expected come from elsewhere."""
    if scene.in_hand is None:
        return True
    return scene.in_hand <= expected - left or (left == 0 and scene.in_hand > expected)


def contradictions(
    counts: Sequence[Counted], scenes: Sequence[Scene], checklist: Checklist
) -> Iterator[tuple[Scene, str]]:
    """Each scene at a count that cannot be true beside the others, with what is wrong."""
    for counted in counts:
        count = checklist.item(counted.item).count
        left = counted.left(scenes)
        for scene in scenes:
            if count is not None and scene.item == counted.item and not agrees(scene, left, count.expect):
                held = f"'{scene.id}' has {scene.in_hand} of {count.expect} {count.of} in hand"
                yield scene, f"{held}, and {left} are left on the aircraft"
