from pathlib import Path

import pytest

from handsfree.language.grammars import Grammars


@pytest.fixture(scope="session")
def grammars() -> Grammars:
    """The grammars that are shipped."""
    return Grammars.load(Path(__file__).parents[2] / "grammars")
