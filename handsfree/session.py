"""A walk as it happens: plugs ears, voice, conversation and journal together.

Order matters: an utterance and what follows from it are on the disk before the tool says a word that depends on them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Literal, Protocol

from handsfree import __version__
from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist
from handsfree.checklist.phrases import Phrasebook
from handsfree.journal import events as log
from handsfree.journal.errors import JournalError
from handsfree.journal.reader import CHECKLIST_NAME, Journal
from handsfree.journal.writer import JournalWriter
from handsfree.language.grammars import Grammars
from handsfree.language.heard import Alternative, Heard
from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Vocabulary
from handsfree.resources import grammars_folder
from handsfree.walk.events import Begin, Effect, Event, Expect, Pace, Resumed, Say, Silence, Spoken, Tone
from handsfree.walk.listening import Listening
from handsfree.walk.machine import Walk, expect
from handsfree.walk.state import WalkState

TOOL = f"handsfree {__version__}"
ToneKind = Literal["heard", "not_heard", "finding", "done"]
Source = Literal["microphone", "file", "typed", "synthetic"]


@dataclass(frozen=True, slots=True)
class Listened:
    """What one turn of listening brought."""

    heard: Heard | None
    """None = nobody spoke in the time that the listener waits."""
    clip: bytes = b""
    """16-bit mono samples at 16 kHz; empty = none."""
    ended: bool = False
    """The source of sound or text has run dry."""
    noise_dbfs: float | None = None
    """The surroundings while nobody was heard; what was heard brings its own."""
    too_loud: bool = False
    """Nobody could have been heard in that noise."""
    lost_sound: bool = False
    """A piece of the sound in which nobody was heard never came from the microphone."""


class Mouth(Protocol):
    """Speaks."""

    def say(self, text: str) -> float:
        """Speak a text to its end; the seconds that it took."""
        ...

    def tone(self, kind: ToneKind) -> None:
        """Sound a tone."""
        ...

    def pace(self, *, slow: bool) -> None:
        """Speak slower from now on, or at the usual rate."""
        ...


class Listener(Protocol):
    """Listens, or reads what is typed."""

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        """Make ready, in the background, for what will be listened for next: the tool is still speaking."""
        ...

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        """Wait for one utterance."""
        ...


class Screen(Protocol):
    """Shows; never needed."""

    def said(self, text: str) -> None:
        """The tool speaks."""
        ...

    def heard(self, heard: Heard) -> None:
        """Something was heard."""
        ...

    def state(self, state: WalkState) -> None:
        """The walk moved on."""
        ...


class Book:
    """A checklist ready to be walked: its conversation and its vocabularies."""

    def __init__(self, checklist: Checklist, grammars: Grammars | None = None) -> None:
        self.checklist = checklist
        self.grammars = grammars or Grammars.load(grammars_folder())
        self.phrasebook = Phrasebook(checklist, self.grammars)
        self.listening = Listening(checklist, self.phrasebook)
        self.walk = Walk(checklist, self.listening.choices)


class Session:
    """One walk, from its beginning or from where it was cut off, until it ends or the sound does."""

    def __init__(  # noqa: PLR0913, PLR0917  # what it plugs together
        self,
        book: Book,
        journal: JournalWriter,
        mouth: Mouth,
        listener: Listener,
        screen: Screen,
        ask: Callable[[str], float] | None = None,
    ) -> None:
        """``ask`` speaks what an answer is awaited to, the last words of a turn; None = the mouth, as all else."""
        self._book = book
        self._journal = journal
        self._mouth = mouth
        self._listener = listener
        self._screen = screen
        self._ask = ask or mouth.say
        self._making = Lock()
        self.state = WalkState()

    def begin(self, event: Begin, checklist_sha256: str, source: Source) -> bool:
        """Walk from the start; True when the walk came to its end.  Errors of disk and sound pass through."""
        opened = log.Opened(
            tool=TOOL,
            checklist=self._book.checklist.id,
            checklist_sha256=checklist_sha256,
            source=source,
            who=event.who,
            registration=event.registration,
            full_prompts=event.full_prompts,
            level_check=event.level_check,
        )
        return self._walk(event, opened)

    def resume(self, journal: Journal) -> bool:
        """Go on with a walk that was cut off; what its last turn had not yet written is written first."""
        self.state, missing = replay(self._book, journal.events)
        if missing:
            self._journal.append(missing)
        if self.state.slow:
            self._mouth.pace(slow=True)
        return self._walk(Resumed(), log.ResumedEvent(tool=TOOL))

    def _walk(self, event: Event, record: log.AnyEvent) -> bool:
        try:
            self._turn(event, record)
            return self._run()
        except Exception as error:
            with suppress(JournalError):  # a disk that takes nothing more is an error of its own
                self._journal.append([log.Trouble(message=str(error) or type(error).__name__)])
            raise

    def _run(self) -> bool:
        while not self._ended():
            expected = expect(self.state)
            listened = self._listener.listen(self._vocabulary(expected), expected)
            if listened.heard is not None:
                self._turn(Spoken(listened.heard), self._heard_event(listened), listened.heard)
            elif not listened.ended:
                self._turn(Silence(listened.too_loud, listened.lost_sound), _silence_event(listened))
            if listened.ended and not self._ended():
                self._journal.append([log.Paused(reason="the sound ended")])
                return False
        return True

    def _vocabulary(self, expected: Expect) -> Vocabulary:
        """The same object for whoever asks: the listener's thread makes it ready, this one listens with it."""
        with self._making:
            return self._book.listening.vocabulary(expected)

    def _ended(self) -> bool:
        return self.state.moment == "ended"

    def _turn(self, event: Event, record: log.AnyEvent, heard: Heard | None = None) -> None:
        """One step: written, then shown and spoken."""
        placed = record.model_copy(update={"zone": self.state.zone, "item": self.state.item})
        self.state, effects = self._book.walk.step(self.state, event)
        self._journal.append([placed, *notes(self._book, effects)])
        if heard is not None:
            self._screen.heard(heard)
        self._screen.state(self.state)
        if not self._ended():
            expected = expect(self.state)
            self._listener.get_ready(lambda: self._vocabulary(expected))
        words = [effect for effect in effects if isinstance(effect, Say)]
        question = words[-1] if words and not self._ended() else None
        for effect in effects:
            match effect:
                case Say(text):
                    self._screen.said(text)
                    seconds = (self._ask if effect is question else self._mouth.say)(text)
                    said = log.Said(text=text, seconds=round(seconds, 3), zone=self.state.zone, item=self.state.item)
                    self._journal.append([said])
                case Tone(kind):
                    self._mouth.tone(kind)
                case Pace(slow):
                    self._mouth.pace(slow=slow)
                case _:
                    pass  # notes are written already

    def _heard_event(self, listened: Listened) -> log.HeardEvent:
        heard = listened.heard
        if heard is None:
            raise ValueError("nothing was heard")
        # Talk that was not meant for the tool is nobody's business: its sound is not kept, but for a spoken note.
        keep = listened.clip and (heard.outcome != "none" or self.state.moment == "note")
        clip = self._clip(listened.clip) if keep else None
        return log.HeardEvent(
            moment=self.state.moment,
            outcome=heard.outcome,
            said=heard.said,
            meanings=tuple(log.HeardMeaning(outcome=one.outcome, slots=one.as_dict()) for one in heard.meanings),
            confidence=round(heard.confidence, 4),
            snr_db=heard.snr_db,
            noise_dbfs=heard.noise_dbfs,
            too_loud=heard.too_loud,
            lost_sound=heard.lost_sound,
            decided_after_s=heard.decided_after_s,
            alternatives=tuple(log.HeardAlternative(words=one.words, score=one.score) for one in heard.alternatives),
            why=heard.why,
            clip=clip,
        )

    def _clip(self, samples: bytes) -> log.Clip | None:
        """The sound beside the log.  Where it cannot be kept, the words still are."""
        try:
            return self._journal.keep_clip(samples)
        except JournalError as error:
            self._journal.append([log.Trouble(message=error.message)])
            return None


def _silence_event(listened: Listened) -> log.SilenceEvent:
    return log.SilenceEvent(noise_dbfs=listened.noise_dbfs, too_loud=listened.too_loud, lost_sound=listened.lost_sound)


def replay(book: Book, events: Sequence[log.AnyEvent]) -> tuple[WalkState, list[log.AnyEvent]]:
    """The state that a log's inputs lead to, and the notes of its last turn that the log does not hold."""
    state = WalkState()
    due: list[log.AnyEvent] = []
    for event in events:
        came = input_of(event)
        if came is not None:
            state, effects = book.walk.step(state, came)
            due = list(notes(book, effects))
        elif due and event.type == due[0].type:
            due.pop(0)
    return state, due


def open_book(folder: Path) -> Book:
    """The checklist as it was when the walk of this folder began."""
    return Book(load(folder / CHECKLIST_NAME))


def notes(book: Book, effects: Sequence[Effect]) -> tuple[log.AnyEvent, ...]:
    """The journal events of a step's notes."""
    return tuple(_note_event(book, effect) for effect in effects if not isinstance(effect, Say | Tone | Pace))


def _note_event(book: Book, note: Effect) -> log.AnyEvent:
    fields = {name: getattr(note, name) for name in note.__dataclass_fields__}
    if fields.get("item") is not None:
        fields["zone"] = book.checklist.zone_of(fields["item"]).id
    if "meaning" in fields:
        fields["meaning"] = dict(fields["meaning"])
    return log.EVENTS.validate_python(fields)


def input_of(event: log.AnyEvent) -> Event | None:
    """What came into the walk, from its record; None for what only followed from it."""
    match event:
        case log.Opened():
            return Begin(event.who, event.registration, event.full_prompts, event.level_check)
        case log.HeardEvent():
            return Spoken(
                Heard(
                    outcome=event.outcome,
                    said=event.said,
                    meanings=tuple(Meaning.of(one.outcome, one.slots) for one in event.meanings),
                    confidence=event.confidence,
                    snr_db=event.snr_db,
                    noise_dbfs=event.noise_dbfs,
                    too_loud=event.too_loud,
                    lost_sound=event.lost_sound,
                    decided_after_s=event.decided_after_s,
                    alternatives=tuple(Alternative(one.words, one.score) for one in event.alternatives),
                    why=event.why,
                )
            )
        case log.SilenceEvent():
            return Silence(event.too_loud, event.lost_sound)
        case log.ResumedEvent():
            return Resumed()
        case _:
            return None
