"""ATA 100 chapters: every item of a shipped checklist is filed under a chapter that its subject belongs to.

Chapters by two digits, as tables in print agree on them; those marked "from memory" were not read in a source.
"""

from pathlib import Path

import pytest

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist

CHECKLISTS = sorted((Path(__file__).parents[2] / "checklists").glob("*.yaml"))

READ = {
    "12": "servicing", "23": "communications", "24": "electrical power", "25": "equipment", "26": "fire protection",
    "27": "flight controls", "28": "fuel", "29": "hydraulic power", "30": "ice and rain protection",
    "32": "landing gear", "33": "lights", "34": "navigation", "35": "oxygen", "36": "pneumatic",
    "38": "water and waste", "49": "airborne auxiliary power", "51": "structures", "52": "doors", "53": "fuselage",
    "54": "nacelles and pylons", "55": "stabilizers", "56": "windows", "57": "wings", "61": "propellers",
    "71": "power plant", "72": "engine", "73": "engine fuel and control",
}  # fmt: skip
FROM_MEMORY = {
    "08": "levelling and weighing", "21": "air conditioning", "74": "ignition", "77": "engine indicating",
    "78": "exhaust", "79": "oil",
    "80": "starting",
}  # fmt: skip
"""Values from memory."""

ROTORS = {"62": "main rotor", "63": "main rotor drive", "64": "tail rotor", "65": "tail rotor drive"}
"""Values from memory: the chapters that only a helicopter has."""

SUBJECTS = {
    "tyre": "32", "brake": "32", "gear lock pin": "32", "strut": "32", "steering": "32", "hydraulic": "29",
    "fuel": "28", "oxygen": "35", "fire bottle": "26", "pitot": "34", "static port": "34", "propeller": "61",
    "spinner": "61", "intake": "71", "exhaust": "78", "engine oil": "79", "windshield": "56", "door": "52",
    "auxiliary power": "49", "rudder": "27", "elevator": "27", "aileron": "27", "light": "33", "ground power": "24",
    "free of ice": "30",
}  # fmt: skip
"""Words of an item's name that leave no doubt about the chapter, the more telling ones in ``BUT``."""
BUT = {"wheel bay": "32", "brake lines": "32", "airbrake": "27"}


@pytest.fixture(params=CHECKLISTS, ids=lambda path: path.name)
def checklist(request: pytest.FixtureRequest) -> Checklist:
    return load(request.param)


def test_every_chapter_is_one(checklist: Checklist) -> None:
    assert {item.ata for item in checklist.items()} <= {**READ, **FROM_MEMORY, **ROTORS}.keys()


def test_an_items_name_and_its_chapter_agree(checklist: Checklist) -> None:
    for item in checklist.items():
        table = BUT if any(word in item.name for word in BUT) else SUBJECTS
        chapters = {chapter for word, chapter in table.items() if word in item.name}
        assert not chapters or item.ata in chapters, (item.id, item.name, item.ata)


def test_the_check_above_bites() -> None:
    """Not every aircraft has fuel or lights, but among the shipped checklists there are some of each subject."""
    items = [item for path in CHECKLISTS for item in load(path).items()]
    names = {word: {item.ata for item in items if word in item.name} for word in ("tyre", "fuel", "light")}
    assert names == {"tyre": {"32"}, "fuel": {"28"}, "light": {"33"}}
