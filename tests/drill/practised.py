"""The small exercise, ready to be practised."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from handsfree.book import Book, course_of, open_book
from handsfree.checklist.models import Practice
from handsfree.drill.composing import completed
from handsfree.drill.exercise import Exercise, Stock, exercise_as_file, load_exercise, load_stock
from handsfree.journal.lines import digest
from handsfree.journal.reader import Journal, read
from handsfree.journal.writer import JournalWriter
from handsfree.language.heard import Heard
from handsfree.replay import replay
from handsfree.session import Practised, Session
from handsfree.walk.events import Begin, Spoken
from tests.walk.conversation import SMALL, Conversation, kept, small
from tests.walk.performance import Ears, Mouth, Screen

DATA = Path(__file__).parents[1] / "data"


@cache
def small_stock() -> Stock:
    return load_stock(DATA / "small-stock.yaml", small().checklist)


@cache
def small_exercise() -> Exercise:
    stock = small_stock()
    return completed(load_exercise(DATA / "small-exercise.yaml", small().checklist, stock), stock, small().checklist)


@cache
def practice_book(practice: Practice, *, bare: bool = False) -> Book:
    checklist = small().checklist
    return kept(Book(checklist, course=course_of(practice, None if bare else small_exercise())))


def practising(practice: Practice, *, bare: bool = False) -> Conversation:
    return Conversation(practice_book(practice, bare=bare))


def practise(folder: Path, practice: Practice, *lines: str, bare: bool = False) -> Journal:
    """A practised walk on disk, as far as the lines go."""
    book = practice_book(practice, bare=bare)
    talk = Conversation(book)
    heard: list[Heard] = []
    for words in lines:
        heard.append(talk.understood(words))
        talk.turn(Spoken(heard[-1]))
    exercise = None if bare else small_exercise()
    written = b"" if exercise is None else exercise_as_file(exercise)
    text = SMALL.read_bytes()
    writer = JournalWriter.create(folder, text, exercise_text=written or None)
    session = Session(book, writer, Mouth(), Ears(iter(heard)), Screen())
    practised = Practised(exercise.id, digest(written)) if exercise else None
    begin = Begin(who="AB", registration="Q7KTA", level_check=False)
    session.begin(begin, digest(text), "synthetic", practised)
    writer.close()
    journal = read(folder)
    assert replay(open_book(journal), journal.events) == (session.state, [])
    return journal
