"""A golden conversation through a whole session: real journal, scripted ears, a mouth that remembers."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from handsfree.journal.writer import JournalWriter
from handsfree.language.heard import Heard
from handsfree.language.vocabulary import Vocabulary
from handsfree.session import Book, Listened, Session, ToneKind
from handsfree.walk.events import Begin, Event, Expect, Silence, Spoken
from handsfree.walk.state import WalkState
from tests.walk.conversation import SMALL, Conversation, Scene, begun

SOUND = b"\1\0" * 1600


@dataclass
class Mouth:
    """Says nothing, and remembers it; ``watch`` is called before each sentence."""

    watch: Callable[[], None] = lambda: None
    said: list[str] = field(default_factory=list[str])
    paces: list[bool] = field(default_factory=list[bool])

    def say(self, text: str) -> float:
        self.watch()
        self.said.append(text)
        return 0.1

    def tone(self, kind: ToneKind) -> None:
        self.watch()

    def pace(self, *, slow: bool) -> None:
        self.paces.append(slow)


@dataclass
class Ears:
    """Hears what it is told, with a little sound to each; then the sound ends."""

    heard: Iterator[Heard | Silence]
    watch: Callable[[], None] = lambda: None

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        pass

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        self.watch()
        try:
            one = next(self.heard)
        except StopIteration:
            return Listened(None, ended=True)
        if isinstance(one, Silence):
            return Listened(None, noise_dbfs=-20.0, too_loud=one.too_loud, lost_sound=one.lost_sound)
        return Listened(one, SOUND)


@dataclass
class Screen:
    """Shows nothing; remembers the last state."""

    last: WalkState = field(default_factory=WalkState)

    def said(self, text: str) -> None:
        pass

    def heard(self, heard: Heard) -> None:
        pass

    def state(self, state: WalkState) -> None:
        self.last = state


@dataclass(frozen=True)
class Performance:
    """What a session made of a scene."""

    folder: Path
    state: WalkState
    mouth: Mouth


def script(scene: Scene, book: Book) -> tuple[Begin, tuple[Event, ...]]:
    """The events of a scene, its way to the first item included."""
    begin, before = begun(scene, book)
    talk = Conversation(book, begin)
    talk.say(*before)
    for line, _ in scene.turns:
        talk.turn(talk.input(line))
    return begin, tuple(talk.events[1:])


def perform(scene: Scene, book: Book, folder: Path, mouth: Mouth | None = None) -> Performance:
    """Walk a scene through a session; a restart in it is one: another session on the same log."""
    from handsfree.journal.reader import read  # noqa: PLC0415

    begin, events = script(scene, book)
    mouth = mouth or Mouth()
    text = SMALL.read_bytes()
    writer = JournalWriter.create(folder, text)
    acts: list[list[Heard | Silence]] = [[]]
    for event in events:
        match event:
            case Spoken(heard):
                acts[-1].append(heard)
            case Silence():
                acts[-1].append(event)
            case _:
                acts.append([])
    session = Session(book, writer, mouth, Ears(iter(acts[0])), Screen())
    session.begin(begin, hashlib.sha256(text).hexdigest(), "synthetic")
    for act in acts[1:]:
        writer.close()
        journal = read(folder)
        writer = JournalWriter.reopen(journal)
        session = Session(book, writer, mouth, Ears(iter(act)), Screen())
        session.resume(journal)
    writer.close()
    return Performance(folder, session.state, mouth)
