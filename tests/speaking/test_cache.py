"""Rendered prompts are kept, found again, and healed."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from handsfree.speaking.cache import PromptCache
from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.sound import Sound

SETTINGS = VoiceSettings()


class Renderer:
    """Counts what it is asked; every sound is different."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def __call__(self, text: str, _settings: VoiceSettings) -> Sound:
        self.asked.append(text)
        return Sound(np.full(100, len(self.asked), np.int16), 22050)


@pytest.fixture
def renderer() -> Renderer:
    return Renderer()


def test_a_text_is_rendered_once_even_across_runs(tmp_path: Path, renderer: Renderer) -> None:
    for _ in range(3):
        assert PromptCache(tmp_path / "new" / "folder", renderer).sound("one", SETTINGS).samples[0] == 1
    assert renderer.asked == ["one"]


@pytest.mark.parametrize("other", [{"voice": "en-us"}, {"rate": 100}, {"volume": 0.5}, {"speed": 0.9}])
def test_another_voice_rate_or_volume_is_another_sound(
    tmp_path: Path, renderer: Renderer, other: dict[str, object]
) -> None:
    cache = PromptCache(tmp_path, renderer)
    cache.sound("one", SETTINGS)
    cache.sound("one", replace(SETTINGS, **other))
    assert len(renderer.asked) == 2


@pytest.mark.parametrize("broken", [b"", b"RIFF", b"not a sound at all", None])
def test_a_broken_file_is_rendered_again(tmp_path: Path, renderer: Renderer, broken: bytes | None) -> None:
    cache = PromptCache(tmp_path, renderer)
    cache.sound("one", SETTINGS)
    (file,) = tmp_path.iterdir()
    file.write_bytes(file.read_bytes()[:-1] if broken is None else broken)
    assert cache.sound("one", SETTINGS).samples[0] == 2
    assert cache.sound("one", SETTINGS).samples[0] == 2


def test_a_folder_that_cannot_be_written_is_replaced_for_this_run(tmp_path: Path, renderer: Renderer) -> None:
    (tmp_path / "file").touch()
    cache = PromptCache(tmp_path / "file" / "folder", renderer)
    for _ in range(2):
        assert cache.sound("one", SETTINGS).samples[0] == 1
    (substitute,) = cache._folders()[1:]  # pyright: ignore[reportPrivateUsage]
    cache.close()
    assert not substitute.exists()


def test_what_a_read_only_folder_holds_is_used(
    tmp_path: Path, renderer: Renderer, monkeypatch: pytest.MonkeyPatch
) -> None:
    PromptCache(tmp_path, renderer).sound("one", SETTINGS)

    def refuse(*_: object) -> None:
        raise AssertionError("nothing is to be written")

    monkeypatch.setattr("handsfree.speaking.cache.write_wav", refuse)
    assert PromptCache(tmp_path, renderer).sound("one", SETTINGS).samples[0] == 1


def test_a_full_disk_leaves_nothing_half_written(
    tmp_path: Path, renderer: Renderer, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fill_up(path: Path, _sound: Sound) -> None:
        path.write_bytes(b"RIFF")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("handsfree.speaking.cache.write_wav", fill_up)
    cache = PromptCache(tmp_path, renderer)
    assert [cache.sound("one", SETTINGS).samples[0] for _ in range(2)] == [1, 2]
    assert list(tmp_path.iterdir()) == []
    cache.close()


def test_many_threads_may_ask_for_the_same_text(tmp_path: Path, renderer: Renderer) -> None:
    cache = PromptCache(tmp_path, renderer)
    with ThreadPoolExecutor(8) as pool:
        assert all(sound.seconds > 0 for sound in pool.map(cache.sound, ["one"] * 200, [SETTINGS] * 200))
    assert len(list(tmp_path.iterdir())) == 1
