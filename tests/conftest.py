"""Things every room's tests may ask for.

Helpers live in `tests/support/` and are imported by their full name: `from tests.support.sounds import speech`.
Synthetic speech and the virtual sound card belong to the demo too: `from demo.synthetic_speech import speak, VOICES`.
A test that needs sound through a card asks for `virtual_audio`, and starts its subject in a process of its own with
`env=os.environ | virtual_audio.environment`, because PortAudio looks at the environment only once.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from demo.virtual_audio import VirtualAudio
from handsfree import speech_model
from handsfree.hearing.ears import Ears
from handsfree.hearing.recogniser import VoskRecogniser
from handsfree.hearing.settings import PhraseCosts
from tests.support.commands import Commands


@pytest.fixture(scope="session")
def model() -> Path:
    """The real speech model: a test that asks for it runs the real recogniser.  Fetched when the cache has none."""
    try:
        return speech_model.locate().path
    except speech_model.ModelError:
        return speech_model.fetch(lambda _what, _share: None).path


@pytest.fixture(scope="session")
def recogniser(model: Path) -> VoskRecogniser:
    """The speech model, loaded once for all tests."""
    return VoskRecogniser(model, PhraseCosts())


@pytest.fixture
def ears(model: Path, recogniser: VoskRecogniser) -> Ears:
    """Real ears that have heard nothing yet."""
    return Ears(model, load=lambda _model, _costs: recogniser)


@pytest.fixture(scope="session")
def virtual_audio() -> Iterator[VirtualAudio]:
    """A sound card made of software, with a microphone that can be fed and an ear that records."""
    with VirtualAudio() as card:
        yield card


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Commands:
    """Runs commands of the program in this process, with a place for its data that is empty."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("COLUMNS", "200")
    return Commands(monkeypatch, capsys)
