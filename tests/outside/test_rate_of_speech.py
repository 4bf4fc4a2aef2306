"""ICAO Doc 9432, Manual of Radiotelephony, 2.2 (second-hand): a rate of speech of not more than 100 words a minute."""

from __future__ import annotations

from pathlib import Path

from handsfree.checklist.loading import load
from handsfree.speaking.rendering import render
from handsfree.speaking.settings import VoiceSettings

CHECKLISTS = Path(__file__).parents[2] / "checklists"


def test_after_speak_slower_no_more_than_100_words_a_minute_are_spoken() -> None:
    """Of whole sentences, as they come; measured in the sound."""
    for name in ("twin-turboprop", "piston-trainer"):
        texts = [item.full for item in load(CHECKLISTS / f"{name}.yaml").items()[:15]]
        seconds = sum(render(text, VoiceSettings().slowed()).seconds for text in texts)
        assert 85 < 60 * sum(len(text.split()) for text in texts) / seconds <= 100, name
