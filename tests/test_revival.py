"""One try to bring sound devices back."""

from __future__ import annotations

import time
from dataclasses import dataclass, field

from handsfree.portaudio import AudioError, LoudspeakerError, MicrophoneError
from handsfree.revival import Revival


@dataclass
class Sound:
    """A sound library, a microphone and a loudspeaker that work or not, and what was done with them, in order."""

    library: bool = True
    microphone: bool = True
    loudspeaker: bool = True
    done: list[str] = field(default_factory=list[str])

    def let_go(self) -> None:
        self.done.append("let go")

    def start_anew(self) -> None:
        self.done.append("start anew")
        if not self.library:
            raise AudioError("no sound server")

    def reopen(self) -> None:
        self.done.append("reopen")
        if not self.microphone:
            raise MicrophoneError("unplugged", "plug it in")

    def speak(self) -> None:
        self.done.append("speak")
        if not self.loudspeaker:
            raise LoudspeakerError("no loudspeaker")

    def revival(self, every_s: float = 0.0) -> Revival:
        return Revival(self, self.speak, every_s=every_s, start_anew=self.start_anew)


def test_the_library_starts_anew_while_no_stream_is_open() -> None:
    sound = Sound()
    assert sound.revival()(["microphone", "loudspeaker"]) == ()
    assert sound.done == ["let go", "start anew", "reopen", "speak"]


def test_a_loudspeaker_that_works_is_not_tried_at_each_try() -> None:
    sound = Sound(microphone=False)
    (fault,) = sound.revival()(["microphone"])
    assert (fault.device, fault.message, fault.hint) == ("microphone", "unplugged", "plug it in")
    assert "speak" not in sound.done


def test_a_microphone_that_does_not_come_back_with_the_loudspeaker_is_told_too() -> None:
    sound = Sound(microphone=False, loudspeaker=False)
    assert [one.device for one in sound.revival()(["loudspeaker"])] == ["microphone", "loudspeaker"]


def test_without_the_library_everything_is_gone() -> None:
    assert {one.device for one in Sound(library=False).revival()(["loudspeaker"])} == {"microphone", "loudspeaker"}


def test_without_a_microphone_only_the_loudspeaker_is_looked_for() -> None:
    sound = Sound()
    assert Revival(None, sound.speak, every_s=0.0, start_anew=sound.start_anew)(["loudspeaker"]) == ()
    assert sound.done == ["start anew", "speak"]


def test_it_is_tried_at_once_and_then_only_so_often() -> None:
    revival, began = Sound(microphone=False).revival(every_s=0.2), time.monotonic()
    revival(["microphone"])
    assert time.monotonic() - began < 0.1
    revival(["microphone"])
    assert 0.2 <= time.monotonic() - began < 0.4
