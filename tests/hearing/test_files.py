"""Recordings as blocks."""

from __future__ import annotations

import io
import wave
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from handsfree.hearing.files import blocks_from_file, blocks_from_pcm
from handsfree.hearing.resampling import Resampler
from handsfree.portaudio import AudioError
from tests.faults.hostile_sounds import refused_files
from tests.faults.hostile_sounds import wav as lying
from tests.faults.special_files import put
from tests.support.sounds import Sound, rms, tone, whole


def wav(path: Path, sound: NDArray[np.int16], rate: int = 16000, channels: int = 1) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(sound.astype("<i2").tobytes())
    return path


def loudest_hertz(sound: Sound) -> float:
    return float(np.argmax(np.abs(np.fft.rfft(sound))) * 16000 / len(sound))


def test_a_recording_at_the_recognisers_rate_comes_unchanged_in_blocks_of_100_ms(tmp_path: Path) -> None:
    sound = tone(1.05, 3000)
    blocks = list(blocks_from_file(wav(tmp_path / "a.wav", sound)))
    assert [len(block) for block in blocks] == [1600] * 10 + [800]
    assert np.array_equal(np.concatenate(blocks), sound)


@pytest.mark.parametrize("rate", [8000, 11025, 22050, 44100, 48000])
def test_any_rate_becomes_16_khz_with_nothing_lost(tmp_path: Path, rate: int) -> None:
    at = np.arange(rate * 3) / rate
    sound = (3000 * np.sin(2 * np.pi * 440 * at)).astype(np.int16)
    heard = whole(wav(tmp_path / "a.wav", sound, rate))
    assert len(heard) == pytest.approx(48000, abs=2)
    assert loudest_hertz(heard) == pytest.approx(440, abs=1)
    assert rms(heard) == pytest.approx(rms(sound), rel=0.02)


def test_stereo_becomes_the_mean_of_both(tmp_path: Path) -> None:
    left, right = tone(0.5, 3000, 400), tone(0.5, 3000, 1000)
    heard = whole(wav(tmp_path / "a.wav", np.stack([left, right], axis=1).reshape(-1), channels=2))
    assert heard == pytest.approx((left.astype(int) + right) // 2, abs=1)


def test_resampling_in_pieces_is_the_same_as_at_once() -> None:
    sound = tone(1.0, 3000).astype(np.float32) * np.float32(1 / 32768)
    pieces = Resampler(44100)
    parts = [pieces.add(sound[start : start + 333], last=start + 333 >= len(sound)) for start in range(0, 16000, 333)]
    assert np.concatenate(parts) == pytest.approx(Resampler(44100).add(sound, last=True), abs=1)


def test_what_is_no_recording_is_refused_with_a_clear_word(tmp_path: Path) -> None:
    empty, text = tmp_path / "empty.wav", tmp_path / "text.wav"
    empty.write_bytes(b"")
    text.write_text("this is not sound at all, but it is long enough to look into", encoding="utf-8")
    silent = wav(tmp_path / "silent.wav", np.zeros(0, dtype=np.int16))
    for path, word in (
        (empty, "is empty"),
        (text, "not a sound recording"),
        (silent, "holds no sound"),
        (tmp_path / "missing.wav", "cannot be read"),
        (tmp_path, "not a sound recording"),
    ):
        with pytest.raises(AudioError, match=word) as caught:
            blocks_from_file(path)
        assert str(path) in caught.value.message
        assert caught.value.hint


def test_a_recording_that_was_cut_off_gives_what_there_is(tmp_path: Path) -> None:
    path = wav(tmp_path / "a.wav", tone(2.0, 3000))
    path.write_bytes(path.read_bytes()[:32044])
    assert len(whole(path)) == pytest.approx(16000, abs=1600)


def test_raw_sound_comes_from_a_stream_even_in_odd_pieces() -> None:
    class Dripping(io.BytesIO):
        def read(self, size: int | None = -1) -> bytes:
            return super().read(min(size or 0, 777))

    sound = tone(0.5, 3000)
    heard = np.concatenate(list(blocks_from_pcm(Dripping(sound.astype("<i2").tobytes()))))
    assert np.array_equal(heard, sound)
    assert list(blocks_from_pcm(io.BytesIO(b""))) == []
    assert list(blocks_from_pcm(io.BytesIO(b"x"))) == []


@pytest.mark.parametrize("name", refused_files())
def test_a_file_that_lies_is_refused_with_a_clear_word(tmp_path: Path, name: str) -> None:
    path = tmp_path / "hostile.wav"
    path.write_bytes(refused_files()[name])
    with pytest.raises(AudioError) as caught:
        list(blocks_from_file(path))
    assert str(path) in caught.value.message
    assert caught.value.hint


@pytest.mark.parametrize("kind", ["a pipe", "an endless device"])
def test_what_never_ends_is_no_recording(tmp_path: Path, kind: str) -> None:
    with pytest.raises(AudioError, match="is not a file"):
        blocks_from_file(put(tmp_path / "odd.wav", kind))


@pytest.mark.parametrize(("rate", "heard"), [(3999, False), (4000, True), (400_000, True), (400_001, False)])
def test_the_rates_that_are_heard(tmp_path: Path, rate: int, heard: bool) -> None:
    path = wav(tmp_path / "a.wav", np.zeros(rate, dtype=np.int16), rate)
    if heard:
        assert len(whole(path)) == pytest.approx(16_000, abs=5)
    else:
        with pytest.raises(AudioError, match=f"has {rate} samples a second; 4000 to 400000 are heard"):
            blocks_from_file(path)


def test_a_length_that_lies_ends_where_the_sound_does(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    for length in (0x7FFFFFFE, 0xFFFFFFFF):
        path.write_bytes(lying(length=length))
        assert len(whole(path)) == 16_000
