"""Voice, speed and loudness: what is impossible is refused instead of silently changed."""

from __future__ import annotations

import pytest

from handsfree.speaking.settings import SLOWED, VoiceSettings


def test_slower_means_the_slow_rate_and_nothing_else() -> None:
    assert VoiceSettings("en-us", 170, 95, 0.5).slowed() == VoiceSettings("en-us", 95, 95, 0.5, SLOWED)


@pytest.mark.parametrize(
    "impossible",
    [
        {"voice": " "},
        {"rate": 79},  # espeak-ng would speak at 80
        {"rate": 451},
        {"slow_rate": 10},
        {"volume": 1.1},
        {"volume": -0.1},
        {"volume": float("nan")},
    ],
)
def test_impossible_settings_are_refused(impossible: dict[str, str | float]) -> None:
    with pytest.raises(ValueError, match=r"voice|rate|volume"):
        VoiceSettings(**impossible)  # pyright: ignore[reportArgumentType]
