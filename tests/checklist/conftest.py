from pathlib import Path

import pytest

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist
from handsfree.checklist.phrases import Phrasebook
from handsfree.language.grammars import Grammars

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def grammars() -> Grammars:
    """The grammars that are shipped."""
    return Grammars.load(ROOT / "grammars")


@pytest.fixture(scope="session")
def small() -> Checklist:
    """Three zones, and one item at least of every kind."""
    return load(ROOT / "tests/data/small.yaml")


@pytest.fixture(scope="session")
def book(small: Checklist, grammars: Grammars) -> Phrasebook:
    return Phrasebook(small, grammars)


@pytest.fixture(scope="session")
def twin() -> Checklist:
    """The checklist that is shipped."""
    return load(ROOT / "checklists/twin-turboprop.yaml")
