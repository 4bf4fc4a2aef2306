"""What published rules ask of a pre-flight walk, for items to name."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from handsfree.checklist.loading import parsed
from handsfree.checklist.models import Ata, Identifier, Strict, Text

_FILE = Path(__file__).parent / "rules.yaml"


class PublishedRule(Strict):
    """One duty or topic of a published rule."""

    id: Identifier
    """As items name it under ``asked_by``."""
    rule: Text
    """Where it is published: ``EASA AMC M.A.301(a)(c)``."""
    topic: Text


class PublishedRules(Strict):
    """All that an item can be held against."""

    rules: tuple[PublishedRule, ...]
    chapters: dict[Ata, Text]
    """Of ATA 100, by number."""


@cache
def published_rules() -> PublishedRules:
    """As they stand in ``rules.yaml``."""
    return parsed(_FILE, PublishedRules, "list of published rules")[0]


def chapter_key(chapter: str) -> str:
    """How a checklist names an ATA chapter under ``leaves_out``: ``ata-61``."""
    return f"ata-{chapter}"
