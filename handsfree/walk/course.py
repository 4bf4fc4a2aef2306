"""What practice adds to a walk: how much is said, what the trainee is told is to be seen, and what interrupts them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from handsfree.checklist.models import Practice


@dataclass(frozen=True, slots=True)
class Sight:
    """What is to be seen, and what is true of it."""

    scene: str
    text: str
    truth: Literal["sound", "odd", "defect"]
    findings: tuple[str, ...] = ()
    """What names the defect rightly; empty = any finding does."""
    difficulty: int = 1


@dataclass(frozen=True, slots=True)
class Interruption:
    """Something that comes between a question and its answer."""

    kind: Literal["call", "servicing"]
    text: str


@dataclass(frozen=True)
class Course:
    """One round of practice."""

    practice: Practice
    setting: str = ""
    """Spoken at the start."""
    at_items: Mapping[str, Sight] = field(default_factory=lambda: MappingProxyType({}))
    in_zones: Mapping[str, tuple[Sight, ...]] = field(default_factory=lambda: MappingProxyType({}))
    """At places where no item asks; told when the trainee comes into the zone."""
    interruptions: Mapping[str, Interruption] = field(default_factory=lambda: MappingProxyType({}))
    """By the item that is being asked."""

    @property
    def is_prompted(self) -> bool:
        """Whether the tool says what to look at, and in which order."""
        return self.practice != "memory"
