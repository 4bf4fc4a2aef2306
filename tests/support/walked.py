"""A whole walk by the synthesised inspector through the real recogniser, with prompts that take no time."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from demo.answering import AtOnce
from demo.inspector import Inspector, Story
from demo.synthetic_speech import Speech
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist
from handsfree.hearing.ears import Ears
from handsfree.journal import events as log
from handsfree.journal.reader import read
from handsfree.journal.writer import JournalWriter
from handsfree.session import Session
from handsfree.walk.events import Begin
from tests.walk.performance import Mouth, Screen


class Nowhere:
    """A recording that nobody keeps."""

    def play(self, samples: Speech, rate: int, stopped: threading.Event) -> None:
        pass

    def close(self) -> None:
        pass


@dataclass(frozen=True)
class Walked:
    """What a walk left in its log."""

    folder: Path
    checklist: Checklist

    @cached_property
    def events(self) -> Sequence[log.AnyEvent]:
        return read(self.folder).events

    @property
    def outcome(self) -> str:
        return next(one.outcome for one in self.events if isinstance(one, log.Ended))

    @property
    def unanswered(self) -> Sequence[str]:
        return next(one.open_items for one in self.events if isinstance(one, log.Ended))

    @property
    def asked_again(self) -> list[tuple[str | None, str, str]]:
        """Item, words and reason of each answer that was not understood at once."""
        heard = (one for one in self.events if isinstance(one, log.HeardEvent))
        return [(one.item, one.said, one.why) for one in heard if one.outcome in ("ask", "none")]

    @property
    def findings(self) -> dict[str, str]:
        """By item the id of the finding that stands at the end."""
        changed = {one.number: one.standing for one in self.events if isinstance(one, log.AnswerChanged)}
        found = (one for one in self.events if isinstance(one, log.AnswerEvent) and one.kind == "finding")
        return {one.item or "": one.meaning["finding"] for one in found if changed.get(one.number) != "withdrawn"}

    @property
    def holds(self) -> list[tuple[str, bool]]:
        return [(one.hold, one.active) for one in self.events if isinstance(one, log.HoldEvent)]


def walked(file: Path, story: Story, model: Path, folder: Path) -> Walked:
    """Walk round with a checklist; every item that the story does not name gets its first good answer."""
    checklist, text = load(file), file.read_bytes()
    book = Book(checklist)
    writer = JournalWriter.create(folder, text)
    listener = AtOnce(Inspector(book, story), Ears(model), Nowhere())
    begin = Begin(who="RT", registration=checklist.aircraft.registration.example, level_check=False)
    Session(book, writer, Mouth(), listener, Screen()).begin(begin, hashlib.sha256(text).hexdigest(), "synthetic")
    writer.close()
    return Walked(folder, checklist)
