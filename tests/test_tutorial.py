"""The tutorial is followed: its file is written piece by piece, its commands run, and what it shows comes out."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from handsfree.checklist.loading import load
from handsfree.checklist.reference import FILE, as_markdown

TUTORIAL = Path(__file__).parents[1] / "docs" / "tutorial.md"
_BLOCK = re.compile(r"^```([^\n]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_WAIT_S = 120


@dataclass(frozen=True)
class Block:
    kind: str
    text: str


def blocks() -> list[Block]:
    return [Block(kind, text) for kind, text in _BLOCK.findall(TUTORIAL.read_text(encoding="utf-8"))]


def shown(wanted: str, printed: str) -> bool:
    """Whether the lines come out in this order; … stands for anything."""
    flat = re.sub(r"\s+", " ", printed)
    lines = [".*?".join(map(re.escape, re.sub(r"\s+", " ", line).split("…"))) for line in wanted.strip().splitlines()]
    return re.search(".*?".join(lines), flat) is not None


@pytest.fixture
def handsfree(tmp_path: Path) -> Path:
    """The program by its name, as after set-up."""
    folder = tmp_path / "bin"
    folder.mkdir()
    script = folder / "handsfree"
    script.write_text(f'#!/bin/sh\nexec {sys.executable} -c "from handsfree.cli import main; main()" "$@"\n')
    script.chmod(0o755)
    return folder


def test_whoever_follows_it_ends_with_a_walk(tmp_path: Path, handsfree: Path, model: Path) -> None:
    environment = os.environ | {
        "PATH": f"{handsfree}:{os.environ['PATH']}",
        "PYTHONPATH": str(TUTORIAL.parents[1]),
        "HANDSFREE_MODEL": str(model),
        "COLUMNS": "500",
    }
    folder, printed = tmp_path / "work", ""
    folder.mkdir()
    for block in blocks():
        match block.kind:
            case "yaml":
                with (folder / "heron.yaml").open("a", encoding="utf-8") as file:
                    file.write(block.text if file.tell() == 0 else f"\n{block.text}")
            case "answers":
                (folder / "answers.txt").write_text(block.text, encoding="utf-8")
            case "sh":
                done = subprocess.run(
                    block.text, shell=True, cwd=folder, env=environment, capture_output=True, text=True, check=False,
                    timeout=_WAIT_S,
                )  # fmt: skip
                printed = done.stdout
                assert done.returncode == 0, f"{block.text}\n{printed}\n{done.stderr}"
            case "text":
                assert shown(block.text, printed), f"wanted:\n{block.text}\ncame:\n{printed}"
            case _:
                assert block.kind == "yaml wrong", block.kind
    assert len(load(folder / "heron.yaml").items()) == 12


def test_what_it_calls_a_mistake_is_one(tmp_path: Path, handsfree: Path, model: Path) -> None:
    (wrong,) = (block.text for block in blocks() if block.kind == "yaml wrong")
    whole = next(block.text for block in blocks() if block.kind == "yaml")
    right = re.search(r'^ +pass: \["dry and tidy"\]\n +findings:\n(?: +- .*\n)+', whole, re.MULTILINE)
    assert right is not None
    (tmp_path / "heron.yaml").write_text(whole.replace(right.group(), wrong), encoding="utf-8")
    environment = os.environ | {"PYTHONPATH": str(TUTORIAL.parents[1]), "HANDSFREE_MODEL": str(model)}
    done = subprocess.run(
        [handsfree / "handsfree", "check", "heron.yaml"], cwd=tmp_path, env=environment, capture_output=True, text=True,
        check=False, timeout=_WAIT_S,
    )  # fmt: skip
    for named in re.findall(r"HF\d{3} [a-z-]+", re.sub(r"\s+", " ", TUTORIAL.read_text(encoding="utf-8"))):
        assert f"[{named}]" in done.stdout, done.stdout + done.stderr


def test_the_reference_of_the_format_is_current() -> None:
    assert FILE.read_text(encoding="utf-8") == as_markdown()
