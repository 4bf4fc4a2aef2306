"""The whole inspection of the invented twin turboprop, by a synthesised inspector through the real recogniser."""

from __future__ import annotations

import hashlib
import shutil
import sys
import time
from pathlib import Path

from rich.console import Console

from demo.inspector import Inspector
from handsfree.checklist.loading import load
from handsfree.debrief.summary import as_text, summarise
from handsfree.hearing.ears import Ears
from handsfree.journal.reader import read
from handsfree.journal.writer import JournalWriter
from handsfree.mouths import Silent
from handsfree.resources import find_checklist
from handsfree.screen import TerminalScreen
from handsfree.session import Book, Session
from handsfree.speech_model import locate
from handsfree.walk.events import Begin

OUT = Path(__file__).parent / "out"


def main() -> int:
    """Walk, faster than real time; the log, the clips and the summary are under demo/out."""
    began = time.monotonic()
    shutil.rmtree(OUT, ignore_errors=True)
    file = find_checklist("twin-turboprop")
    book = Book(load(file))
    writer = JournalWriter.create(OUT / "walk", file.read_bytes())
    console = Console(highlight=False)
    inspector = Inspector(book, Ears(locate().path))
    session = Session(book, writer, Silent(), inspector, TerminalScreen(book.checklist, console))
    ended = session.begin(Begin(), hashlib.sha256(file.read_bytes()).hexdigest(), "synthetic")
    writer.close()
    journal = read(writer.folder)
    text = as_text(summarise(journal.events, book.checklist), book.checklist)
    (OUT / "summary.txt").write_text(text + "\n", encoding="utf-8")
    console.rule("summary")
    console.print(text, soft_wrap=True, markup=False)
    console.print(f"\nLog and clips: {writer.folder.relative_to(Path.cwd())}", soft_wrap=True)
    console.print(f"The walk took {time.monotonic() - began:.0f} s of computing.")
    return 0 if ended else 1


if __name__ == "__main__":
    sys.exit(main())
