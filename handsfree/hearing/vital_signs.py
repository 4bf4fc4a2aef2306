"""Whether a microphone lives: whether sound comes, as fast as it should, and whether there is anything in it.

Pure: it is told the time.  An unplugged device raises nothing, it only falls silent.  One that delivers at another rate
than it says makes all that it hears too slow or too fast, and the recogniser makes words out of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Fault = Literal["no sound comes", "wrong rate"]


@dataclass(frozen=True, slots=True)
class Limits:
    """What a microphone is allowed; seconds."""

    gap_s: float = 1.2
    """Longest time without sound.  A busy machine hands sound on late: more than half a second was never measured."""
    proof_s: float = 2.0
    """So long sound is counted before anything is said of its rate, and then each second anew."""
    tolerance: float = 0.1
    """Of the rate.  Clocks of cheap devices are off by far less; 44,100 for 16,000 by far more."""
    burst_s: float = 0.15
    """Sound that may come early or late beside that, all the time."""
    recount_s: float = 12.0
    """The count begins anew, so that what was lost an hour ago does not hide or make a fault."""
    zeros_s: float = 1.5
    """Nothing but zeros for so long are worth a word."""


_SLOT_S = 1.0


class VitalSigns:
    """Counts the samples of one stream against the clock; times are in seconds, from any beginning."""

    def __init__(self, rate: int, opened_at: float, limits: Limits | None = None) -> None:
        """``rate`` is what the stream says of itself, in hertz."""
        self._rate = rate
        self._limits = limits or Limits()
        self._last_came = opened_at
        self._began: float | None = None
        self._counted = 0
        self._ahead: tuple[float, float] = (0.0, 0.0)
        self._slot_ends = 0.0
        self._wrong = False
        self._rate_proven = False
        self.ever_sounded = False
        """Whether anything but zeros has ever come."""

    def came(self, now: float, samples: int, *, zeros: bool, hole: bool) -> None:
        """A block came; ``hole`` = sound was lost before it, so that it proves nothing of the rate."""
        self.ever_sounded = self.ever_sounded or not zeros
        late = now - self._last_came > self._limits.gap_s / 2
        self._last_came = now
        if self._began is None or hole or late or now - self._began > self._limits.recount_s:
            self._count_anew(now)
            return
        self._counted += samples
        ahead = self._counted / self._rate - (now - self._began)
        least, most = self._ahead
        self._ahead = (min(least, ahead), max(most, ahead))
        if now >= self._slot_ends:
            self._judge(now - self._began)
            self._ahead = (ahead, ahead)
            self._slot_ends += _SLOT_S

    def fault(self, now: float) -> Fault | None:
        """What is wrong, if anything."""
        if now - self._last_came > self._limits.gap_s:
            return "no sound comes"
        return "wrong rate" if self._wrong else None

    def proven(self, fault: Fault | None) -> bool:
        """Whether the device is known to live; where its rate was the fault, that it keeps its rate."""
        return self._rate_proven if fault == "wrong rate" else self._began is not None

    def _count_anew(self, now: float) -> None:
        self._began, self._counted = now, 0
        self._ahead = (0.0, 0.0)
        self._slot_ends = now + self._limits.proof_s - _SLOT_S

    def _judge(self, elapsed: float) -> None:
        """Bursts come and go within a second; what is ahead, or behind, for a whole second is another rate."""
        if elapsed < self._limits.proof_s:
            return
        least, most = self._ahead
        allowed = self._limits.tolerance * elapsed + self._limits.burst_s
        self._wrong = least > allowed or most < -allowed
        self._rate_proven = not self._wrong
