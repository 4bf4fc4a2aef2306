"""The synthetic inspectors."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from handsfree.bench import voices
from handsfree.bench.effort import lifted
from handsfree.bench.voices import REPORTING_VOICES, TUNING_VOICES, VOICES, Voice, VoiceError, spoken

FLITE = next(voice for voice in VOICES if voice.name == "flite/slt")
ESPEAK = next(voice for voice in VOICES if voice.name == "espeak/en-us")
WORDS = "nothing found on the left side"


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty cache."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path


def parts(voice: Voice) -> set[str]:
    """Accent and timbre, or the person who was recorded."""
    person = next((name for name in ("slt", "kal") if name in voice.speaker), None)
    return {person} if person else set(voice.speaker.split("+"))


def test_the_two_halves_share_no_accent_no_timbre_and_no_person() -> None:
    tuning, reporting = (set[str]().union(*map(parts, half)) for half in (TUNING_VOICES, REPORTING_VOICES))
    assert not tuning & reporting


@pytest.mark.parametrize("half", [TUNING_VOICES, REPORTING_VOICES])
def test_each_half_has_all_synthesisers(half: tuple[Voice, ...]) -> None:
    assert len(half) >= 6
    assert {voice.engine for voice in half} == {"espeak", "flite", "festival"}


def test_names_are_unique_and_the_prompt_voice_is_no_inspector() -> None:
    assert len({voice.name for voice in VOICES}) == len(VOICES)
    assert "espeak/en" not in {voice.name for voice in VOICES}


@pytest.mark.parametrize("voice", VOICES, ids=lambda voice: voice.name)
def test_every_voice_speaks_and_a_raised_one_speaks_slower(voice: Voice) -> None:
    normal, raised = spoken(WORDS, voice), spoken(WORDS, voice, "raised")
    assert 1.0 < len(normal) / 16_000 < 3.0
    assert 1.03 < len(raised) / len(normal) < 1.25
    assert np.abs(normal).max() > 0.05
    assert normal.dtype == raised.dtype == np.float32


@pytest.mark.parametrize("voice", VOICES, ids=lambda voice: voice.name)
def test_no_pause_is_left_before_or_after_the_words(voice: Voice) -> None:
    sound = spoken(WORDS, voice)
    loudest = np.abs(sound).max()
    assert np.abs(sound[:320]).max() > loudest / 500
    assert np.abs(sound[-320:]).max() > loudest / 500


@pytest.mark.parametrize("name", ["espeak/en-us", "flite/slt", "flite/kal16", "festival/kal_diphone"])
def test_a_raised_voice_is_higher(name: str) -> None:
    voice = next(voice for voice in VOICES if voice.name == name)
    assert 1.15 < pitch_hz(spoken(WORDS, voice, "raised")) / pitch_hz(spoken(WORDS, voice)) < 1.45


def pitch_hz(sound: voices.Sound) -> float:
    """The median over the frames that are clearly voiced."""
    found: list[float] = []
    for start in range(0, len(sound) - 640, 320):
        frame = sound[start : start + 640] - sound[start : start + 640].mean()
        likeness = np.correlate(frame, frame, "full")[639:]
        lag = 50 + int(np.argmax(likeness[50:240]))
        if likeness[lag] > 0.6 * likeness[0] > 0.3:
            found.append(16_000 / lag)
    return float(np.median(found))


def test_the_spectrum_of_a_raised_voice_is_flatter_at_the_same_power() -> None:
    noise = np.random.default_rng(1).standard_normal(16_000).astype(np.float32)
    raised = lifted(noise, 6.0)
    before, after = np.abs(np.fft.rfft(noise)), np.abs(np.fft.rfft(raised))
    gain_db = 20 * np.log10(after / before)
    assert gain_db[3000] - gain_db[200] == pytest.approx(6.0, abs=0.01)
    assert np.mean(raised**2) == pytest.approx(np.mean(noise**2), rel=1e-4)


def test_a_sentence_is_rendered_once(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = spoken("dry", ESPEAK)
    monkeypatch.setenv("PATH", "")
    assert np.array_equal(spoken("dry", ESPEAK), first)
    assert [path.suffix for path in cache.rglob("*") if path.is_file()] == [".wav"]


@pytest.mark.parametrize("voice", [ESPEAK, FLITE, VOICES[7]], ids=lambda voice: voice.engine)
def test_a_missing_synthesiser_is_named_with_its_package(
    cache: Path, monkeypatch: pytest.MonkeyPatch, voice: Voice
) -> None:
    monkeypatch.setenv("PATH", "")
    with pytest.raises(VoiceError) as caught:
        spoken("dry", voice)
    assert f"apt install {voice.package}" in caught.value.hint
    assert not [path for path in cache.rglob("*") if path.is_file()]


@pytest.mark.parametrize("name", ["espeak/en-us", "flite/slt", "festival/kal_diphone"])
def test_a_voice_that_is_not_installed_is_never_replaced_in_silence(cache: Path, name: str) -> None:
    known = next(voice for voice in VOICES if voice.name == name)
    with pytest.raises(VoiceError, match="nosuch"):
        spoken("dry", replace(known, speaker="nosuch"))


def test_text_is_never_taken_for_an_option(cache: Path) -> None:
    assert len(spoken("--version", ESPEAK)) > 1600
