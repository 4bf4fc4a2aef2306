"""What a walk does when a sound device fails: it is held, and says so; when the device is back, it says that.

Pure: it is told which devices fail now, and answers with what is to be told.  Each fault is told once when it begins
and once when it ends, however often it is tried meanwhile.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

Device = Literal["microphone", "loudspeaker"]

RETRY_S = 1.0
"""A device is looked for so often."""

CANNOT_SPEAK = "I cannot speak: the loudspeaker is gone. The walk waits."
_GONE: dict[Device, str] = {
    "microphone": "I cannot hear: the microphone is gone. The walk waits.",
    "loudspeaker": CANNOT_SPEAK,
}
CAN_SPEAK = "I can speak again."
"""Said to try a loudspeaker: when all of it was taken, the loudspeaker is back, and it is said already."""
_BACK: dict[Device, str] = {
    "microphone": "I hear you again.",
    "loudspeaker": CAN_SPEAK,
}
NO_SOUND_AT_ALL = "The microphone gives no sound at all. Is it muted?"
SENTENCES = (*_GONE.values(), *_BACK.values(), NO_SOUND_AT_ALL)
"""All that may have to be said, to be rendered before: a fault is said at once."""


@dataclass(frozen=True, slots=True)
class Fault:
    """A device that does not work."""

    device: Device
    message: str
    """What is wrong with it."""
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Report:
    """One thing to tell: written, shown with a bell, and said as soon as there is something to say it with."""

    message: str
    aloud: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Hold:
    """Which devices are gone, and what could not be said so far.  No device gone = the walk goes on."""

    gone: tuple[Device, ...] = ()
    unsaid: tuple[str, ...] = ()

    @property
    def can_speak(self) -> bool:
        """Whether there is a loudspeaker to speak with."""
        return "loudspeaker" not in self.gone

    def after(self, faults: Sequence[Fault]) -> tuple[Hold, tuple[Report, ...]]:
        """These devices fail now, and no other: the next hold, and what is new."""
        failing: tuple[Device, ...] = tuple(dict.fromkeys(one.device for one in faults))
        ended = tuple(Report(_BACK[one], _BACK[one]) for one in self.gone if one not in failing)
        begun = tuple(_begun(one) for one in faults if one.device not in self.gone)
        unsaid = (*self.unsaid, *(one.aloud for one in (*ended, *begun)))
        return Hold(failing, _without_what_is_over(unsaid, failing)), (*ended, *begun)

    def said(self) -> Hold:
        """What was unsaid has been spoken."""
        return replace(self, unsaid=())


def _begun(fault: Fault) -> Report:
    return Report(f"{_GONE[fault.device]} ({fault.message})", _GONE[fault.device], fault.hint)


def _without_what_is_over(unsaid: Sequence[str], failing: Sequence[Device]) -> tuple[str, ...]:
    """Nobody needs to hear that something is gone which is back; nor, aloud, that nothing can be said, or could."""
    over = {_GONE[device] for device in _GONE if device not in failing} | {CANNOT_SPEAK, CAN_SPEAK}
    over |= {_BACK[device] for device in failing}
    return tuple(dict.fromkeys(one for one in unsaid if one not in over))
