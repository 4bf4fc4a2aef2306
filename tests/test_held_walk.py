"""A walk whose sound devices fail: it is held, and goes on with the same question (live: faults/test_devices)."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from handsfree.errors import Mendable
from handsfree.journal import events as log
from handsfree.journal.errors import JournalError
from handsfree.journal.reader import read
from handsfree.journal.writer import JournalWriter
from handsfree.language.heard import Heard
from handsfree.language.vocabulary import Vocabulary
from handsfree.portaudio import AudioError, LoudspeakerError, MicrophoneError, SilentMicrophoneError
from handsfree.replay import replay
from handsfree.session import Listened, Session, ToneKind
from handsfree.steadfast import CAN_SPEAK, CANNOT_SPEAK, NO_SOUND_AT_ALL, Device, Fault
from handsfree.walk import wording
from handsfree.walk.events import Begin, Expect, Spoken
from tests.walk.conversation import SMALL, Conversation, small
from tests.walk.performance import Ears, Mouth, Screen

DEAF = MicrophoneError("the microphone stopped", "plug it in")
MUTE = LoudspeakerError("the loudspeaker takes no more sound")
CANNOT_HEAR = "I cannot hear: the microphone is gone. The walk waits."
HEARS_AGAIN = "I hear you again."
GIVEN = Begin("AB", "Q7KTA", level_check=False)


class FaultyEars(Ears):
    """Hears what it is told, or breaks off."""

    def __init__(self, *script: Heard | AudioError) -> None:
        super().__init__(iter([]))
        self._script: Iterator[Heard | AudioError] = iter(script)

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        match next(self._script, None):
            case None:
                return Listened(None, ended=True)
            case Mendable() as error:
                raise error
            case heard:
                return Listened(heard)


@dataclass
class FaultyMouth(Mouth):
    """Cannot say, or sound, what it is told that it cannot, so often."""

    failures: dict[str, int] = field(default_factory=dict[str, int])
    tried: list[str] = field(default_factory=list[str])

    def say(self, text: str) -> float:
        self._try(text)
        return super().say(text)

    def tone(self, kind: ToneKind) -> None:
        self._try(f"tone {kind}")

    def _try(self, what: str) -> None:
        self.tried.append(what)
        if self.failures.get(what, 0) > 0:
            self.failures[what] -= 1
            raise MUTE


@dataclass
class Shown(Screen):
    """Remembers what was said, too."""

    shown: list[str] = field(default_factory=list[str])

    def said(self, text: str) -> None:
        self.shown.append(text)


@dataclass
class Tries:
    """What fails at each try to bring devices back; then nothing does."""

    faults: list[Sequence[Fault]] = field(default_factory=list[Sequence[Fault]])
    asked: list[tuple[Device, ...]] = field(default_factory=list[tuple[Device, ...]])

    def __call__(self, gone: Collection[Device]) -> Sequence[Fault]:
        self.asked.append(tuple(gone))
        return self.faults.pop(0) if self.faults else ()


@dataclass
class Held:
    """A session as far as to its first item, with devices that fail."""

    folder: Path
    mouth: FaultyMouth = field(default_factory=FaultyMouth)
    screen: Shown = field(default_factory=Shown)
    tries: Tries = field(default_factory=Tries)

    def walk(self, *script: Heard | AudioError, revive: bool = True) -> Session:
        writer = JournalWriter.create(self.folder, SMALL.read_bytes())
        tries = self.tries if revive else None
        session = Session(small(), writer, self.mouth, FaultyEars(*script), self.screen, None, tries)
        try:
            session.begin(GIVEN, "", "synthetic")
        finally:
            writer.close()
        return session

    @property
    def events(self) -> Sequence[log.AnyEvent]:
        return read(self.folder).events

    def troubles(self) -> list[str]:
        return [one.message for one in self.events if isinstance(one, log.Trouble)]


@pytest.fixture
def held(tmp_path: Path) -> Held:
    return Held(tmp_path / "walk")


def answers(*words: str) -> list[Heard]:
    talk = Conversation(small(), GIVEN)
    heard: list[Heard] = []
    for one in words:
        heard.append(talk.understood(one))
        talk.turn(Spoken(heard[-1]))
    return heard


# ---- the microphone


def test_a_microphone_that_is_gone_holds_the_walk_and_the_question_is_put_again(held: Held) -> None:
    held.tries.faults = [[Fault("microphone", "busy")]] * 50
    session = held.walk(DEAF, *answers("negative"))
    at = held.mouth.said.index(CANNOT_HEAR)
    question = held.mouth.said[at - 1]
    assert held.mouth.said[at : at + 4] == [CANNOT_HEAR, HEARS_AGAIN, wording.LOST_SOUND, question]
    assert held.tries.asked == [("microphone",)] * 51
    assert held.troubles() == [f"{CANNOT_HEAR} (the microphone stopped)", HEARS_AGAIN]
    assert held.screen.troubles == held.troubles()
    assert [one.said for one in held.events if isinstance(one, log.HeardEvent)] == ["negative"]
    assert replay(small(), held.events) == (session.state, [])


def test_while_it_is_held_nothing_is_written_but_its_beginning_and_its_end(held: Held) -> None:
    held.tries.faults = [[Fault("microphone", "busy")]] * 1000
    held.walk(DEAF)
    kinds = [one.type for one in held.events]
    begun = kinds.index("trouble")
    assert kinds[begun : begun + 3] == ["trouble", "trouble", "silence"]


def test_a_microphone_without_any_sound_is_complained_of_and_does_not_hold_the_walk(held: Held) -> None:
    silent = SilentMicrophoneError("it gives nothing but zeros", "look whether it is muted")
    held.walk(silent, *answers("negative"))
    assert held.tries.asked == []
    assert held.mouth.said.count(NO_SOUND_AT_ALL) == 1
    assert held.troubles() == [f"{NO_SOUND_AT_ALL} (it gives nothing but zeros)"]
    assert not [one for one in held.events if isinstance(one, log.SilenceEvent)]


# ---- the loudspeaker


def test_what_was_not_spoken_to_its_end_is_spoken_again_whole_before_anything_else(held: Held) -> None:
    opening = wording.Wording().opening(small().checklist)
    held.mouth.failures = {opening: 2}
    held.walk(*answers("negative"))
    assert held.mouth.tried[:3] == [opening] * 3
    assert held.mouth.said[0] == opening
    assert held.troubles() == [f"{CANNOT_SPEAK} ({MUTE.message})", CAN_SPEAK] * 2
    said = [one.text for one in held.events if isinstance(one, log.Said)]
    assert said.count(opening) == 1


def test_what_cannot_be_said_is_shown_meanwhile_also_when_the_tone_before_it_fails(held: Held) -> None:
    held.mouth.failures = {"tone heard": 1}
    held.walk(*answers("negative", "covers off"))
    assert held.troubles() == [f"{CANNOT_SPEAK} ({MUTE.message})", CAN_SPEAK]
    question = held.mouth.said[-1]
    assert held.screen.shown.count(question) == 2


def test_both_gone_the_walk_waits_for_both(held: Held) -> None:
    held.mouth.failures = {CANNOT_HEAR: 1}
    held.tries.faults = [
        [Fault("microphone", "gone"), Fault("loudspeaker", "gone")],
        [Fault("loudspeaker", "gone")],
    ]
    held.walk(DEAF)
    assert held.tries.asked == [("microphone", "loudspeaker")] * 2 + [("loudspeaker",)]
    assert held.troubles() == [
        f"{CANNOT_HEAR} (the microphone stopped)",
        f"{CANNOT_SPEAK} ({MUTE.message})",
        HEARS_AGAIN,
        CAN_SPEAK,
    ]
    assert held.mouth.said[-3:][0] == HEARS_AGAIN


def test_that_the_disk_fails_meanwhile_is_said_afterwards(held: Held, monkeypatch: pytest.MonkeyPatch) -> None:
    real = JournalWriter.append

    def full(writer: JournalWriter, events: Sequence[log.AnyEvent]) -> object:
        if any(isinstance(one, log.Trouble) and CANNOT_SPEAK in one.message for one in events):
            raise JournalError("no space left", "")
        return real(writer, events)

    monkeypatch.setattr(JournalWriter, "append", full)
    held.mouth.failures = {wording.Wording().opening(small().checklist): 1}
    held.walk()
    assert held.mouth.said[:2] == [wording.IN_MEMORY_ONLY, wording.ON_DISK_AGAIN]


# ---- what is not held


@pytest.mark.parametrize("error", [DEAF, AudioError("the file ends in the middle of a sample")])
def test_without_a_way_back_or_for_another_reason_the_error_passes_through(held: Held, error: AudioError) -> None:
    with pytest.raises(AudioError, match=error.message):
        held.walk(error, revive=type(error) is AudioError)


def test_a_held_walk_can_be_stopped(held: Held) -> None:
    class Stopped(Tries):
        def __call__(self, gone: Collection[Device]) -> Sequence[Fault]:
            raise KeyboardInterrupt

    held.tries = Stopped()
    with pytest.raises(KeyboardInterrupt):
        held.walk(DEAF)
    assert held.troubles() == [f"{CANNOT_HEAR} (the microphone stopped)"]
