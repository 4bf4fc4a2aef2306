"""How the prompts sound."""

from __future__ import annotations

from dataclasses import dataclass, replace

SLOWEST_WPM = 80
FASTEST_WPM = 450
"""What espeak-ng accepts; outside of it, it silently takes the nearest."""

SLOWED = 0.9
"""Of the speed of a voice that already speaks at the slow rate."""

SLOWEST_SPEED, FASTEST_SPEED = 0.25, 8.0
"""Times its own speed, at which a sound is played again."""


@dataclass(frozen=True, slots=True)
class VoiceSettings:
    """Voice, speed and loudness.  Raises ValueError for values that espeak-ng would silently change."""

    voice: str = "en"
    """The language or the file that `espeak-ng --voices` shows, with a variant if wanted ("gmw/en", "en-us+f3")."""
    rate: int = 150
    """Words per minute as espeak-ng counts them: prompts of common words come out slower, running text faster."""
    slow_rate: int = 85
    """The rate after "speak slower", as espeak-ng counts it."""
    volume: float = 1.0
    """From 0 (silent) to 1, of the voice and of the tones."""
    speed: float = 1.0
    """Times the speed that it was rendered at; the pitch stays."""

    def __post_init__(self) -> None:
        if not self.voice.strip():
            raise ValueError("the voice has no name")
        for rate in (self.rate, self.slow_rate):
            if not SLOWEST_WPM <= rate <= FASTEST_WPM:
                raise ValueError(f"a rate of {rate} words a minute is not between {SLOWEST_WPM} and {FASTEST_WPM}")
        if not 0.0 <= self.volume <= 1.0:
            raise ValueError(f"a volume of {self.volume} is not between 0 and 1")

    def slowed(self) -> VoiceSettings:
        """The same voice at the slow rate, drawn out a little: ICAO Doc 9432 asks for at most 100 words a minute.

        Measured in the sound of whole sentences: 101 to 107 at the slowest rate of espeak-ng's, 122 at its rate of 100.
        """
        return replace(self, rate=self.slow_rate, speed=SLOWED)
