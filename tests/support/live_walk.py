"""Run by `test_live_walk`, in a process of its own: a short walk in real time, through a software sound card."""

from __future__ import annotations

import sys
from pathlib import Path

from demo.walk import Demo, walk
from handsfree.speaking.settings import VoiceSettings
from handsfree.walk import wording
from handsfree.walk.events import Begin

CHECKLIST = Path(__file__).parents[1] / "data" / "three-items.yaml"
STORY = {"tyres": ("cut on tyre two", "affirm"), "disc": ("red in place",), "pressure": ("one eight five",)}
BEGIN = Begin(who="LM", registration="Q7KTA", level_check=True)
QUICK = VoiceSettings(rate=260)
ANSWERS = {
    wording.LEVEL: "how do you read",
    "Tyres?": "tyres good",
    "Red disc?": "red in place",
    "Pressure?": "one eight five",
    wording.DECISION: "no decision",
}
"""To each question of the whole walk."""

if __name__ == "__main__":
    sys.exit(walk(Demo(CHECKLIST, STORY, Path(sys.argv[1]), live=True, begin=BEGIN, voice=QUICK)))
