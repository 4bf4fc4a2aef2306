"""What sets up an environment does nothing where it was not told of which tree."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

SETUP = Path(__file__).parents[1] / "demo" / "setup.sh"
NOTHING_IS_DONE = 'bring_packages() { echo packages; }; step() { echo "$@"; exit 0; }'


@pytest.mark.parametrize("root", ["unset root", "root=", "root=/nonexistent", f"root={SETUP.parent}"])
def test_without_the_tree_nothing_is_set_up(root: str) -> None:
    script = f'. "{SETUP}"; {NOTHING_IS_DONE}; {root}; set_up demo; echo "ended with $?"'
    done = subprocess.run(["sh", "-c", script], capture_output=True, text=True, check=False)
    assert done.stdout == "ended with 1\n", "the shell that sourced it goes on"
    assert "'root' must name the source tree" in done.stderr


def test_with_it_the_setting_up_begins() -> None:
    script = f'. "{SETUP}"; {NOTHING_IS_DONE}; root="{SETUP.parents[1]}"; set_up demo'
    done = subprocess.run(["sh", "-c", script], capture_output=True, text=True, check=False)
    assert done.stdout.splitlines() == ["packages", "Python environment bring_environment demo"]
