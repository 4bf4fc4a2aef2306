"""The grammars and checklists that come with the program are found by name."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree import resources
from handsfree.resources import ResourceError, checklist_names, find_checklist, grammars_folder


@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A package folder with two checklists inside, as a wheel has them."""
    package = tmp_path / "site" / "handsfree"
    for name in ("checklists/north.yaml", "checklists/south.yml", "checklists/notes.txt", "grammars/control.jsgf"):
        path = package / "data" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch()
    monkeypatch.setattr(resources, "_PACKAGE", package)
    monkeypatch.chdir(tmp_path)
    return package


def test_a_source_tree_has_its_folders_at_the_top() -> None:
    assert grammars_folder() == Path(__file__).parents[1] / "grammars"


def test_a_wheel_carries_them_inside(installed: Path) -> None:
    assert grammars_folder() == installed / "data" / "grammars"


def test_a_checklist_is_found_by_its_name(installed: Path) -> None:
    assert checklist_names() == ("north", "south")
    assert find_checklist("south") == installed / "data" / "checklists" / "south.yml"


def test_a_file_that_is_there_wins_over_a_name(installed: Path) -> None:
    Path("north").touch()
    assert find_checklist("north") == Path("north")


def test_an_unknown_name_gets_the_known_ones(installed: Path) -> None:
    with pytest.raises(ResourceError, match='no checklist "east"') as caught:
        find_checklist("east")
    assert "north, south" in caught.value.hint


def test_an_incomplete_installation_is_named(installed: Path) -> None:
    (installed / "data" / "grammars" / "control.jsgf").unlink()
    (installed / "data" / "grammars").rmdir()
    with pytest.raises(ResourceError, match="folder of the grammars is missing"):
        grammars_folder()
