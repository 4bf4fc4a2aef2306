"""What to do about a library that only some need can be typed as it is told."""

from __future__ import annotations

import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from handsfree import checking
from handsfree.extras import how_to_install
from tests.support.commands import SMALL, Commands

ROOT = Path(__file__).parents[1]


def test_in_a_source_tree_it_is_that_tree_with_its_own_python() -> None:
    assert shlex.split(how_to_install("debrief")) == [sys.executable, "-m", "pip", "install", "-e", f"{ROOT}[debrief]"]


def test_elsewhere_it_is_the_package(tmp_path: Path) -> None:
    *command, what = shlex.split(how_to_install("class", tmp_path))
    assert command == [sys.executable, "-m", "pip", "install"]
    assert what == "handsfree-walkaround[class]"


def test_blanks_in_a_path_do_no_harm(tmp_path: Path) -> None:
    tree = tmp_path / "my tree"
    tree.mkdir()
    (tree / "pyproject.toml").touch()
    assert shlex.split(how_to_install("authoring", tree))[-1] == f"{tree}[authoring]"


def test_a_shell_takes_the_command() -> None:
    command = how_to_install("debrief").replace("install", "--version", 1).partition(" -e")[0]
    assert subprocess.run(["sh", "-c", command], capture_output=True, check=False).returncode == 0


def test_check_says_what_the_way_round_needs(run: Commands, monkeypatch: pytest.MonkeyPatch, model: Path) -> None:
    def missing(_name: str) -> None:
        return None

    monkeypatch.setattr(checking, "find_spec", missing)
    assert how_to_install("authoring") in run("check", SMALL, "--notes", "--model", model).err
    assert "scipy" not in run("check", SMALL, "--model", model).err
