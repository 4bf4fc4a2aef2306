"""Sound in memory and in WAV files."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from handsfree.speaking.sound import BrokenSoundError, Samples, Sound, read_wav, write_wav


def sine(hertz: float, seconds: float, rate: int) -> Samples:
    return np.round(10000 * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate)).astype(np.int16)


def test_a_file_gives_back_what_was_written(tmp_path: Path) -> None:
    sound = Sound(sine(440, 0.2, 22050), 22050)
    write_wav(tmp_path / "a.wav", sound)
    back = read_wav(tmp_path / "a.wav")
    assert back.rate == 22050
    assert np.array_equal(back.samples, sound.samples)


@pytest.mark.parametrize("kept", [0, 4, 30, 44, 45, 1000, 8863])
def test_a_file_cut_short_anywhere_is_broken(tmp_path: Path, kept: int) -> None:
    path = tmp_path / "a.wav"
    write_wav(path, Sound(sine(440, 0.2, 22050), 22050))
    whole = path.read_bytes()
    assert len(whole) == 8864
    path.write_bytes(whole[:kept])
    with pytest.raises(BrokenSoundError):
        read_wav(path)


def test_another_rate_keeps_length_pitch_and_level() -> None:
    sound = Sound(sine(440, 1.0, 22050), 22050).at_rate(48000)
    assert sound.rate == 48000
    assert sound.seconds == pytest.approx(1.0, abs=0.001)
    difference = np.abs(sound.samples - sine(440, 1.0, 48000))
    assert difference[:-3].max() < 100  # of 10000: -40 dB; the last samples have no neighbour to lean on


def test_silence_at_the_ends_is_cut_and_a_little_of_it_stays() -> None:
    silence = np.zeros(1000, np.int16)
    sound = Sound(np.concatenate([silence, sine(440, 0.1, 10000), silence, sine(440, 0.1, 10000), silence]), 10000)
    assert sound.without_silent_ends(keep_s=0.01, threshold=100).seconds == pytest.approx(
        0.1 + 0.1 + 0.1 + 0.02, abs=0.001
    )


def test_silence_alone_stays_as_it_is() -> None:
    assert Sound(np.zeros(10, np.int16), 10).without_silent_ends(keep_s=0.0, threshold=1).seconds == 1.0
