"""Prompts through the real espeak-ng, in worker processes."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from handsfree.speaking import rendering
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.rendering import render
from handsfree.speaking.settings import VoiceSettings

PROMPT = "Nose gear. Strut extension, leaks, and the steering pin. Say what you find."


@pytest.fixture
def broken_synthesiser(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Puts something else in the place of the speech library."""

    def put(source: str) -> None:
        (tmp_path / "pyttsx3.py").write_text(source)
        monkeypatch.setenv("PYTHONPATH", str(tmp_path))

    return put


def test_the_same_text_always_gives_the_same_sound() -> None:
    """The library drops a rate or the speech itself when a run meets a busy queue; several at once provoke that."""
    with ThreadPoolExecutor(4) as pool:
        sounds = {sound.samples.tobytes() for sound in pool.map(render, [PROMPT] * 80, [VoiceSettings()] * 80)}
    assert len(sounds) == 1


def test_an_answer_may_follow_at_once() -> None:
    """espeak-ng leaves 0.39 s of silence after a sentence, in which the first word of an answer would be lost."""
    sound = render(PROMPT, VoiceSettings())
    loud = np.flatnonzero(np.abs(sound.samples) > 300)
    assert loud[0] / sound.rate < 0.05
    assert (len(sound.samples) - loud[-1]) / sound.rate < 0.1


def test_speak_slower_keeps_to_the_radiotelephony_limit() -> None:
    """ICAO Doc 9432: at most 100 words a minute (read in a secondary copy)."""
    words = len(PROMPT.split())
    usual = words / render(PROMPT, VoiceSettings()).seconds * 60
    slow = words / render(PROMPT, VoiceSettings().slowed()).seconds * 60
    assert 110 < usual < 160
    assert 60 < slow <= 100


def test_volume_and_voice_are_heard() -> None:
    loud, quiet = (render(PROMPT, VoiceSettings(volume=volume)) for volume in (1.0, 0.25))
    assert np.abs(quiet.samples).max() < 0.5 * np.abs(loud.samples).max()
    assert not np.array_equal(render(PROMPT, VoiceSettings("en-us+f3")).samples, loud.samples)


@pytest.mark.parametrize(
    "text", ["-f /etc/hostname", "<break/>", '"; quoted', "Tyre at 3° C, 0.75 - “full”", "x " * 900]
)
def test_any_text_is_only_spoken(text: str) -> None:
    assert render(text, VoiceSettings(rate=450)).seconds > 0.2


@pytest.mark.parametrize("voice", ["nobody", "en+nobody"])
def test_an_unknown_voice_is_refused_and_not_replaced(voice: str) -> None:
    with pytest.raises(SpeakingError, match=f'no voice "{voice.replace("+", ".")}"') as caught:
        render("hello", VoiceSettings(voice))
    assert "espeak-ng --voices" in caught.value.hint


def test_a_missing_library_says_what_to_install(broken_synthesiser: Callable[[str], None]) -> None:
    broken_synthesiser("raise RuntimeError('This means you probably do not have eSpeak or eSpeak-ng installed!')")
    with pytest.raises(SpeakingError, match="espeak-ng cannot be loaded: This means") as caught:
        render("hello", VoiceSettings())
    assert "apt install espeak-ng" in caught.value.hint


def test_a_synthesiser_that_crashes_is_one_clear_error(broken_synthesiser: Callable[[str], None]) -> None:
    broken_synthesiser("import os; os.abort()")
    with pytest.raises(SpeakingError, match='no sound for "hello"'):
        render("hello", VoiceSettings())


def test_a_synthesiser_that_hangs_is_ended(
    broken_synthesiser: Callable[[str], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rendering, "_LIMIT_S", 0.5)
    broken_synthesiser("import time; time.sleep(60)")
    with pytest.raises(SpeakingError, match='hangs at "hello"'):
        render("hello", VoiceSettings())
