"""Words at another speed: as long as they should be, and at the same pitch."""

from __future__ import annotations

import threading

import numpy as np
import pytest

from handsfree.speaking.sound import Samples, Sound
from handsfree.speaking.stretching import AtSpeed, stretched
from tests.support.sounds import rms, speech, tone

SPEEDS = (0.5, 0.75, 1.25, 1.5, 2.0, 3.0)
RATE = 16_000


def pitch_hz(samples: Samples) -> float:
    """Where its spectrum is highest."""
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples))))
    return float(np.argmax(spectrum)) * RATE / len(samples)


@pytest.mark.parametrize("speed", SPEEDS)
@pytest.mark.parametrize("hertz", [90.0, 440.0, 1500.0])
def test_a_tone_keeps_its_pitch_and_its_level(speed: float, hertz: float) -> None:
    source = tone(2.0, 3000, hertz)
    made = stretched(Sound(source, RATE), speed)
    assert made.seconds == pytest.approx(2.0 / speed, abs=1e-3)
    inner = made.samples[1600:-1600]
    assert pitch_hz(inner) == pytest.approx(hertz, rel=0.02)
    assert rms(inner) == pytest.approx(3000, rel=0.1)


@pytest.mark.parametrize("speed", SPEEDS)
def test_speech_keeps_its_periods(speed: float) -> None:
    """The lag at which it is most like itself is the pitch of the voice; resampling would divide it by the speed."""

    def period(samples: Samples) -> float:
        lags: list[int] = []
        for start in range(0, len(samples) - 1200, 400):
            piece = samples[start : start + 1200].astype(float)
            alike = np.correlate(piece, piece, "full")[1199:]
            if rms(samples[start : start + 1200]) > 1500 and alike[40:320].max() > 0.6 * alike[0]:
                lags.append(40 + int(np.argmax(alike[40:320])))
        return float(np.median(lags))

    said = speech("cut on tyre two and a fuel leak at the left wing")
    assert period(stretched(Sound(said, RATE), speed).samples) == pytest.approx(period(said), rel=0.1)


def test_nothing_clicks_where_windows_meet() -> None:
    """A step between two samples is never larger than in the sound itself."""
    source = tone(1.0, 8000, 200.0)
    made = stretched(Sound(source, RATE), 1.7).samples[400:-400].astype(int)
    assert np.abs(np.diff(made)).max() <= 1.2 * np.abs(np.diff(source.astype(int))).max()


def test_its_own_speed_changes_nothing() -> None:
    sound = Sound(tone(0.3, 1000), RATE)
    assert stretched(sound, 1.0) is sound


@pytest.mark.parametrize("samples", [0, 1, 100, 500])
def test_what_is_hardly_a_sound_does_no_harm(samples: int) -> None:
    assert len(stretched(Sound(np.ones(samples, dtype=np.int16), RATE), 2.0).samples) <= max(samples, 1)


@pytest.mark.parametrize("speed", [0.0, 0.2, 9.0, float("nan")])
def test_a_speed_that_nobody_can_follow_is_refused(speed: float) -> None:
    with pytest.raises(ValueError, match="is not between"):
        stretched(Sound(tone(0.1, 1000), RATE), speed)


def test_a_loudspeaker_at_another_speed() -> None:
    played: list[float] = []

    class Speaker:
        def play(self, samples: Samples, rate: int, stopped: threading.Event) -> None:
            played.append(len(samples) / rate)

    fast = AtSpeed(Speaker())
    sound = tone(1.0, 1000)
    for fast.speed in (1.0, 2.0, 0.5):
        fast.play(sound, RATE, threading.Event())
    assert played == [1.0, 0.5, 2.0]
