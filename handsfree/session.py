"""A walk as it happens: plugs ears, voice, conversation and journal together.

Order matters: an utterance and what follows from it are on the disk before the tool says a word that depends on them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from threading import Lock
from typing import Literal, Protocol, TypeVar

from handsfree import __version__, steadfast
from handsfree.book import Book
from handsfree.journal import events as log
from handsfree.journal.errors import JournalError
from handsfree.journal.keys import SigningKey
from handsfree.journal.writer import JournalWriter
from handsfree.language.heard import Heard
from handsfree.language.vocabulary import Vocabulary
from handsfree.portaudio import AudioError, LoudspeakerError, MicrophoneError, SilentMicrophoneError
from handsfree.replay import CutOff, notes
from handsfree.steadfast import Device, Fault, Hold, Report
from handsfree.walk import wording
from handsfree.walk.events import Begin, Event, Expect, Pace, Resumed, Say, Silence, Spoken, Tone
from handsfree.walk.machine import expect
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


@dataclass(frozen=True, slots=True)
class Practised:
    """What is practised with."""

    id: str
    sha256: str
    """Of its copy beside the log."""


T = TypeVar("T")
Revive = Callable[[Collection[Device]], Sequence[Fault]]
"""Tries once to bring these devices back, when it is time to; what does not work then."""


class Mouth(Protocol):
    """Speaks.  Raises LoudspeakerError when something was not spoken to its end."""

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
        """Wait for one utterance.  Raises MicrophoneError when there is nothing left to hear with."""
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

    def trouble(self, message: str, hint: str) -> None:
        """Something goes wrong with disk or sound, or is right again, and the walk is not over."""
        ...


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
        revive: Revive | None = None,
        *,
        key: SigningKey | None = None,
        keep_clips: bool = True,
    ) -> None:
        """``ask`` speaks what an answer is awaited to, the last words of a turn; None = the mouth, as all else.

        ``revive`` brings sound devices back while the walk is held; None = their errors pass through.
        The walk's seal is signed with ``key``.
        """
        self._book = book
        self._journal = journal
        self._mouth = mouth
        self._listener = listener
        self._screen = screen
        self._ask = ask or mouth.say
        self._revive = revive
        self._holding = False
        self._untold: list[str] = []
        self._key = key
        self._keep_clips = keep_clips
        self._making = Lock()
        self._in_memory_only = False
        self.state = WalkState()

    def begin(self, event: Begin, checklist_sha256: str, source: Source, exercise: Practised | None = None) -> bool:
        """Walk from the start; True when the walk came to its end.  Errors of sound pass through."""
        course = self._book.course
        opened = log.Opened(
            tool=TOOL,
            checklist=self._book.checklist.id,
            checklist_sha256=checklist_sha256,
            language=self._book.checklist.language,
            source=source,
            who=event.who,
            registration=event.registration,
            full_prompts=event.full_prompts,
            level_check=event.level_check,
            conditions=dict(event.given),
            keep_clips=self._keep_clips,
            signed_by=self._key.public if self._key else None,
            practice=course.practice if course else "",
            exercise=exercise.id if exercise else "",
            exercise_sha256=exercise.sha256 if exercise else "",
        )
        return self._walk(event, opened)

    def resume(self, walk: CutOff) -> bool:
        """Go on with a walk that was cut off; what its last turn had not yet written is written first."""
        self._keep_clips = self._keep_clips and walk.keep_clips
        self.state = walk.state
        if walk.missing:
            self._write(walk.missing)
        if self.state.slow:
            self._mouth.pace(slow=True)
        return self._walk(Resumed(), log.ResumedEvent(tool=TOOL))

    def _walk(self, event: Event, record: log.AnyEvent) -> bool:
        try:
            self._turn(event, record)
            return self._run()
        except Exception as error:
            with suppress(JournalError):  # nobody is there to be told any more
                self._journal.append([log.Trouble(message=str(error) or type(error).__name__)])
            raise

    def _run(self) -> bool:
        while not self._ended():
            expected = expect(self.state)
            try:
                listened = self._listener.listen(self._vocabulary(expected), expected)
            except AudioError as error:
                if self._held_by(error):  # what was said meanwhile is not known: the question is put again
                    listened = Listened(None, lost_sound=True)
                else:
                    continue
            if listened.heard is not None:
                self._turn(Spoken(listened.heard), self._heard_event(listened), listened.heard)
            elif not listened.ended:
                self._turn(Silence(listened.too_loud, listened.lost_sound), _silence_event(listened))
            if listened.ended and not self._ended():
                self._write([log.Paused(reason="the sound ended")])
                return False
        self._seal()
        return True

    def _seal(self) -> None:
        try:
            self._journal.seal(self._key)
        except JournalError as error:
            self._tell(wording.NOT_SEALED, error.message, error.hint)

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
        self._write([placed, *notes(self._book, effects)])
        if heard is not None:
            self._screen.heard(heard)
        self._screen.state(self.state)
        if not self._ended():
            expected = expect(self.state)
            self._listener.get_ready(lambda: self._vocabulary(expected))
        words = [effect for effect in effects if isinstance(effect, Say)]
        question = words[-1] if words and not self._ended() else None
        for number, effect in enumerate(effects):
            to_come = [one.text for one in effects[number:] if isinstance(one, Say)]
            match effect:
                case Say(text):
                    self._screen.said(text)
                    speak = self._ask if effect is question else self._mouth.say
                    seconds = self._whole(partial(speak, text), to_come)
                    said = log.Said(text=text, seconds=round(seconds, 3), zone=self.state.zone, item=self.state.item)
                    self._write([said])
                case Tone(kind):
                    self._whole(partial(self._mouth.tone, kind), to_come)
                case Pace(slow):
                    self._mouth.pace(slow=slow)
                case _:
                    pass  # notes are written already

    def _write(self, events: Sequence[log.AnyEvent]) -> None:
        """Onto the disk; what it refuses is kept in memory, which the person is told before anything else is said."""
        try:
            self._journal.append(events)
        except JournalError as error:
            if not self._in_memory_only:
                self._in_memory_only = True
                self._tell(wording.IN_MEMORY_ONLY, error.message, error.hint)
            return
        if self._in_memory_only:
            self._in_memory_only = False
            self._tell(wording.ON_DISK_AGAIN)

    def _tell(self, spoken: str, message: str = "", hint: str = "") -> None:
        """Aloud and on the screen; not in the log, which is what it is about."""
        self._screen.trouble(message or spoken, hint)
        if self._holding:
            self._untold.append(spoken)
        else:
            self._whole(partial(self._mouth.say, spoken), [spoken])

    def _whole(self, speak: Callable[[], T], unsaid: Sequence[str]) -> T:
        """Speak, and again from the beginning when it was not spoken whole: half a question is no question.

        ``unsaid`` is shown meanwhile.
        """
        while True:
            try:
                return speak()
            except AudioError as error:
                self._held_by(error, unsaid)

    def _held_by(self, error: AudioError, unsaid: Sequence[str] = ()) -> bool:
        """Meet an error of a sound device; True when the walk was held until the device was back."""
        if isinstance(error, SilentMicrophoneError):
            told = steadfast.NO_SOUND_AT_ALL
            self._report(Report(f"{told} ({error.message})", told, error.hint))
            self._whole(partial(self._mouth.say, told), [told])
            return False
        if self._revive is None or not isinstance(error, MicrophoneError | LoudspeakerError):
            raise error
        self._holding = True
        try:
            self._hold(self._revive, _fault(error), unsaid)
        finally:
            self._holding = False
        untold, self._untold = self._untold, []
        for text in untold:
            self._whole(partial(self._mouth.say, text), [text])
        return True

    def _hold(self, revive: Revive, fault: Fault, unsaid: Sequence[str]) -> None:
        """Take nothing and ask nothing until every sound device works."""
        hold, faults = Hold(), (fault,)
        while True:
            hold, reports = hold.after(faults)
            for report in reports:
                self._report(report, unsaid)
            if hold.can_speak:
                try:
                    for text in hold.unsaid:
                        self._mouth.say(text)
                except LoudspeakerError as error:
                    faults = (*(one for one in faults if one.device in hold.gone), _fault(error))
                    continue
                hold = hold.said()
            if not hold.gone:
                return
            faults = tuple(revive(hold.gone))

    def _report(self, report: Report, unsaid: Sequence[str] = ()) -> None:
        """In the log and on the screen, with what could not be said."""
        self._write([log.Trouble(message=report.message, zone=self.state.zone, item=self.state.item)])
        self._screen.trouble(report.message, report.hint)
        for text in unsaid if report.aloud == steadfast.CANNOT_SPEAK else ():
            self._screen.said(text)

    def _heard_event(self, listened: Listened) -> log.HeardEvent:
        heard = listened.heard
        if heard is None:
            raise ValueError("nothing was heard")
        # Talk that was not meant for the tool is nobody's business: its sound is not kept, but for a spoken note.
        keep = listened.clip and self._keep_clips and (heard.outcome != "none" or self.state.moment == "note")
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
            self._write([log.Trouble(message=error.message)])
            return None


def _fault(error: MicrophoneError | LoudspeakerError) -> Fault:
    device: Device = "microphone" if isinstance(error, MicrophoneError) else "loudspeaker"
    return Fault(device, error.message, error.hint)


def _silence_event(listened: Listened) -> log.SilenceEvent:
    return log.SilenceEvent(noise_dbfs=listened.noise_dbfs, too_loud=listened.too_loud, lost_sound=listened.lost_sound)
