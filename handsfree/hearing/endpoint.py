"""When an utterance has begun and when it has ended.  Pure: it counts frames of sound, never the clock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from handsfree.hearing.level import FRAME_S, NO_LEVELS, Levels, NoiseFloor, mean_dbfs, speech_over_noise_db
from handsfree.hearing.settings import EndpointSettings
from handsfree.language.meaning import Outcome

_RECENT_FRAMES = 5

Wording = Literal["empty", "open", "may go on"] | Outcome
"""What the words so far are: none, no whole phrase, one that may go on, or a whole answer of some outcome."""

End = Literal["going on", "paused", "settled", "nothing", "too long"]
"""``paused``: speech may yet go on; ``settled``: the words are final, whatever the noise does."""


class Activity:
    """Whether someone is speaking, by a tracked noise floor that lives on from utterance to utterance.

    Frames are judged again whenever asked, by what is known of the noise by then: a recording that begins in the middle
    of noise looks like speech at first, and is seen through as soon as the floor is known.
    """

    def __init__(self, settings: EndpointSettings) -> None:
        self._settings = settings
        self._floor = NoiseFloor(settings.active_db)
        self._kept = round(settings.before_s / FRAME_S)
        self._levels: Levels = NO_LEVELS

    def add(self, levels: Levels, *, learn: bool = True) -> None:
        """Take more sound; with ``learn`` off it does not change the noise floor (sound that we made up)."""
        if learn:
            self._floor.add(levels)
        self._levels = np.concatenate([self._levels, levels])

    def forget(self) -> None:
        """Forget the utterance but for a little before now; the noise floor is kept."""
        self._levels = self._levels[-self._kept :]

    def restart(self) -> None:
        """Forget all of the utterance: what comes next does not belong to it."""
        self._levels = NO_LEVELS

    @property
    def speaking(self) -> bool:
        """Enough activity just now to be more than a click."""
        return bool(self._spoken()[-1:].any())

    @property
    def silent_s(self) -> float:
        """Seconds since the last speech, or since the beginning when there was none."""
        spoken = np.flatnonzero(self._spoken())
        return (len(self._levels) - (int(spoken[-1]) + 1 if len(spoken) else 0)) * FRAME_S

    @property
    def paused_s(self) -> float:
        """Seconds of the longest pause within the utterance."""
        active = np.flatnonzero(self._floor.active(self._levels))
        return float(np.diff(active).max(initial=1) - 1) * FRAME_S

    @property
    def active_s(self) -> float:
        """Seconds of activity in the utterance."""
        return int(self._floor.active(self._levels).sum()) * FRAME_S

    @property
    def noise_dbfs(self) -> float:
        """How loud the surroundings are; 0 = the loudest possible."""
        return self._floor.noise_dbfs

    @property
    def snr_db(self) -> float:
        """The speech of the utterance over the noise, in decibels."""
        speech = self._levels[self._floor.active(self._levels), 0]
        return speech_over_noise_db(mean_dbfs(speech), self._floor.noise_dbfs)

    def _spoken(self) -> NDArray[np.bool_]:
        """The frames that are active together with enough of those just before them."""
        active = self._floor.active(self._levels)
        if len(active) == 0:
            return active
        recent = np.convolve(active, np.ones(_RECENT_FRAMES, dtype=int))[: len(active)]
        return active & (recent >= round(self._settings.onset_s / FRAME_S))


@dataclass(slots=True)
class Endpointer:
    """Says after each block whether it is time to decide."""

    settings: EndpointSettings
    _words: str = ""
    _length_s: float = 0.0
    _stable_since_s: float = 0.0

    def wait(self, seconds: float) -> None:
        """After a pause this much more sound went by unheard: the words did not stand still in it."""
        self._length_s += seconds
        self._stable_since_s += seconds

    def after(self, seconds: float, words: str, wording: Wording, silent_s: float, recogniser_ended: bool) -> End:
        """The state after ``seconds`` more of sound, with the words so far and the silence so far."""
        self._length_s += seconds
        if words != self._words:
            self._words, self._stable_since_s = words, self._length_s
        if recogniser_ended:
            return "settled"
        if round(self._length_s, 6) >= self.settings.longest_s:
            return "too long"
        if wording == "empty":
            return "nothing" if silent_s >= self.settings.pause_empty_s else "going on"
        stable_s = self._length_s - self._stable_since_s
        if wording not in ("open", "may go on") and stable_s >= self.settings.stable_s:
            return "settled"
        return "paused" if silent_s >= self.settings.pause_after(wording) else "going on"
