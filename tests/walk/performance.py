"""A golden conversation through a whole session: real journal, scripted ears, a mouth that remembers."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from handsfree.book import Book
from handsfree.journal.events import AnyEvent
from handsfree.journal.keys import SigningKey
from handsfree.journal.writer import JournalWriter
from handsfree.language.heard import Heard
from handsfree.language.vocabulary import Vocabulary
from handsfree.replay import cut_off, input_of, replay
from handsfree.session import Listened, Session, ToneKind
from handsfree.walk.events import Begin, Event, Expect, Say, Silence, Spoken
from handsfree.walk.state import WalkState
from tests.walk.conversation import SMALL, Conversation, Scene, begun, good_answer, small

SOUND = b"\1\0" * 1600
STORY = (
    "alfa bravo", "affirm", "quebec seven kilo tango alfa", "affirm", "negative",
    "covers off", "no leak, cut on tyre two", "affirm", "pressure on", "fuel leak left wing", "affirm", "pins proud",
    "say again", "lines dry", "one five zero", "affirm", "disc red", "correction", "disc gone", "affirm", "pump off",
    "leave for later", "four", "all caps closed", "I do not accept",
)  # fmt: skip
"""A whole walk round the small aircraft: passes, findings, a hold, a correction, an item left for later."""


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
    troubles: list[str] = field(default_factory=list[str])

    def said(self, text: str) -> None:
        pass

    def heard(self, heard: Heard) -> None:
        pass

    def state(self, state: WalkState) -> None:
        self.last = state

    def trouble(self, message: str, hint: str) -> None:
        self.troubles.append(message)


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


def story_as_heard(story: Sequence[str] = STORY) -> tuple[Heard, ...]:
    """What the ears bring of it."""
    talk = Conversation(small(), Begin(level_check=False))
    heard: list[Heard] = []
    for words in story:
        heard.append(talk.understood(words))
        talk.turn(Spoken(heard[-1]))
    assert talk.state.moment == "ended"
    return tuple(heard)


def tell(folder: Path, key: SigningKey | None = None, *, keep_clips: bool = True) -> Performance:
    """The whole story through a session."""
    text = SMALL.read_bytes()
    writer = JournalWriter.create(folder, text)
    mouth = Mouth()
    session = Session(small(), writer, mouth, Ears(iter(story_as_heard())), Screen(), key=key, keep_clips=keep_clips)
    assert session.begin(Begin(level_check=False), hashlib.sha256(text).hexdigest(), "synthetic")
    writer.close()
    return Performance(folder, session.state, mouth)


def perform(scene: Scene, book: Book, folder: Path, mouth: Mouth | None = None) -> Performance:
    """Walk a scene through a session; a restart in it is one: another session on the same log."""
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
        writer, journal = JournalWriter.reopen(folder)
        session = Session(book, writer, mouth, Ears(iter(act)), Screen())
        session.resume(cut_off(small(), journal))
    writer.close()
    return Performance(folder, session.state, mouth)


class Finisher:
    """Answers everything with what is good, for a session that goes on."""

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        pass

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        words = {"level": "how do you read", "who": "alfa bravo", "registration": "quebec seven kilo tango alfa",
                 "condition": "negative", "decision": "no decision"}.get(expected.moment, "affirm")  # fmt: skip
        if expected.moment == "item":
            words = good_answer(small(), small().checklist.item(expected.item or ""))
        parse = vocabulary.parse(words)
        return Listened(Heard("pass" if expected.moment == "item" else "control", words, parse.clauses))


def finish(folder: Path) -> WalkState:
    writer, journal = JournalWriter.reopen(folder)
    session = Session(small(), writer, Mouth(), Finisher(), Screen())
    assert session.resume(cut_off(small(), journal))
    writer.close()
    return session.state


def sentences(events: Sequence[AnyEvent], start: int) -> list[str]:
    """What the inputs from a place in the log on make the tool say."""
    state, said = replay(small(), events[:start])[0], list[str]()
    for event in events[start:]:
        came = input_of(event)
        if came is not None:
            state, effects = small().walk.step(state, came)
            said += [effect.text for effect in effects if isinstance(effect, Say)]
    return said
