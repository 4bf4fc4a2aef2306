"""The quick form of `devices`: the three faults that happen outdoors, one after the other in one live walk."""

from __future__ import annotations

from pathlib import Path

import pytest

from demo.virtual_audio import VirtualAudio
from tests.faults.devices import RESTARTED, SPEAKER_GONE, UNPLUGGED, Survived, survive

pytestmark = [pytest.mark.slow, pytest.mark.timeout(120)]

THREE = (SPEAKER_GONE, UNPLUGGED, RESTARTED)


@pytest.fixture(scope="module")
def came(
    virtual_audio: VirtualAudio, model: Path, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Survived, int, int]:
    """Of the walk in which the loudspeaker, the microphone and the sound server go, and come back."""
    return survive(THREE, virtual_audio, model, tmp_path_factory.mktemp("devices"), held_s=1.2)


def test_the_walk_is_held_and_comes_to_its_end(came: tuple[Survived, int, int]) -> None:
    assert came[0].problems == []


def test_nothing_that_was_acknowledged_is_lost_and_nothing_is_invented(came: tuple[Survived, int, int]) -> None:
    assert came[1:] == (0, 0)


def test_each_fault_is_shown_in_time_and_said_as_long_as_there_is_a_loudspeaker(
    came: tuple[Survived, int, int],
) -> None:
    shown, said = len(THREE) + 1, 1  # the sound server takes both devices with it; then nothing can be said
    assert len(came[0].noticed_s) == shown + said
    assert max(came[0].noticed_s) < 2.0
