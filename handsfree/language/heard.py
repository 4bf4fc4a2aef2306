"""What the ears (or the keyboard) report of one utterance."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from handsfree.language.meaning import Meaning

HeardOutcome = Literal["pass", "finding", "value", "control", "ask", "none"]
"""The outcome of an utterance; ``ask`` = something was said and is in doubt; ``none`` = nothing meant for us."""


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another reading of the same sound."""

    words: str
    """As the recogniser writes it."""
    score: float
    """Higher is likelier; comparable only within one utterance."""


@dataclass(frozen=True, slots=True)
class Heard:
    """One utterance, understood or not."""

    outcome: HeardOutcome
    """Only ``pass``, ``finding``, ``value`` and ``control`` carry meanings that may be acted on."""
    said: str = ""
    """The words, in the checklist's spelling where they were understood."""
    meanings: tuple[Meaning, ...] = ()
    """One for each clause; for ``ask`` those that were guessed at, possibly none."""
    confidence: float = 1.0
    """0 to 1: how sure the ears are of the words."""
    snr_db: float | None = None
    """Speech level over noise level, in decibels; None when not measured (typed input)."""
    noise_dbfs: float | None = None
    """Level of the surroundings, 0 = the loudest possible; None when not measured."""
    too_loud: bool = False
    """Nothing certain was understood, and the speech stood hardly over the noise."""
    lost_sound: bool = False
    """A piece of the sound never came from the microphone."""
    decided_after_s: float | None = None
    """Seconds from the end of speech to the decision; None when not measured."""
    alternatives: tuple[Alternative, ...] = ()
    """Other readings, best first."""
    why: str = ""
    """For ``ask`` and ``none``: the reason, in plain words."""


def with_a_hole(heard: Heard) -> Heard:
    """The same when sound was lost: what is missing may have been the "not", or a second finding.

    Only a finding is still taken, since it is read back; all else that was for us is asked again.
    """
    if heard.outcome in ("finding", "none"):
        return replace(heard, lost_sound=True)
    guesses = tuple(one for one in heard.meanings if one.outcome == "finding")
    return replace(heard, outcome="ask", meanings=guesses, why="some sound was lost", lost_sound=True)
