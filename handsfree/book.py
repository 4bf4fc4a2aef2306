"""A checklist ready to be walked."""

from __future__ import annotations

from pathlib import Path

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist
from handsfree.checklist.phrases import Phrasebook
from handsfree.journal.reader import CHECKLIST_NAME
from handsfree.language.grammars import Grammars
from handsfree.resources import grammars_folder
from handsfree.walk.listening import Listening
from handsfree.walk.machine import Walk


class Book:
    """Its conversation and its vocabularies."""

    def __init__(self, checklist: Checklist, grammars: Grammars | None = None) -> None:
        self.checklist = checklist
        self.grammars = grammars or Grammars.load(grammars_folder())
        self.phrasebook = Phrasebook(checklist, self.grammars)
        self.listening = Listening(checklist, self.phrasebook)
        self.walk = Walk(checklist, self.listening.choices)


def open_book(folder: Path) -> Book:
    """The checklist as it was when the walk of this folder began."""
    return Book(load(folder / CHECKLIST_NAME))
