"""The wheel, installed where there is no source tree."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CONSTRAINTS = ROOT / "constraints.txt"

pytestmark = [pytest.mark.slow, pytest.mark.timeout(600)]


def run(*command: str | Path, cwd: Path | None = None, typed: str = "") -> str:
    """Run, and give what it prints; what it says on the way is part of a failure."""
    environment = {name: value for name, value in os.environ.items() if name not in {"PYTHONPATH", "PIP_CONSTRAINT"}}
    done = subprocess.run(
        [*command], cwd=cwd, env=environment, input=typed, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def files_below(folder: Path) -> set[Path]:
    """Every file in a folder and in those inside it, as seen from the folder."""
    return {path.relative_to(folder) for path in folder.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new environment with nothing but the wheel and what it needs; gives its folder of programs."""
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "pip", "wheel", "--no-deps", "--build-constraint", CONSTRAINTS, "-w", folder, ROOT)
    (wheel,) = folder.glob("*.whl")
    run(sys.executable, "-m", "venv", folder / "environment")
    programs = folder / "environment" / "bin"
    run(programs / "python", "-m", "pip", "install", "--constraint", CONSTRAINTS, wheel)
    return programs


def test_the_program_starts_from_any_folder(installed: Path, tmp_path: Path) -> None:
    assert "walk" in run(installed / "handsfree", "--help", cwd=tmp_path)


def test_the_wheel_carries_every_grammar_checklist_and_exercise_and_the_schema(installed: Path, tmp_path: Path) -> None:
    script = "from handsfree.resources import *; print(grammars_folder(), checklists_folder(), exercises_folder())"
    for folder, source in zip(
        run(installed / "python", "-c", script, cwd=tmp_path).split(),
        ("grammars", "checklists", "exercises"),
        strict=True,
    ):
        assert ROOT not in Path(folder).parents
        assert files_below(Path(folder)) == files_below(ROOT / source)


def test_the_wheel_carries_the_schemas(installed: Path, tmp_path: Path) -> None:
    script = (
        "from handsfree.resources import checklists_folder; from handsfree.journal import events; import json; "
        "print(json.loads((checklists_folder() / 'checklist.schema.json').read_text())['$schema']); "
        "print(json.loads(events.SCHEMA_FILE.read_text())['$schema'])"
    )
    draft = "https://json-schema.org/draft/2020-12/schema"
    assert run(installed / "python", "-c", script, cwd=tmp_path).split() == [draft, draft]


def test_a_typed_walk(installed: Path, tmp_path: Path) -> None:
    command = (installed / "handsfree", "walk", "twin-turboprop", "--typed", "--log", tmp_path / "log")
    questions = ["negative"] * 7
    answers = [*questions, "level and straight", "fuel leak left wing", "affirm", "end the walk", "affirm"]
    typed = "\n".join(["lima mike", "affirm", "quebec seven kilo tango alfa", "affirm", *answers, "no decision"])
    run(*command, cwd=tmp_path, typed=f"{typed}\n")
    summary = json.loads(run(installed / "handsfree", "summary", tmp_path / "log", "--json", cwd=tmp_path))
    assert (summary["registration"], summary["outcome"]) == ("Q7KTA", "incomplete")
    (finding,) = summary["findings"]
    assert (finding["description"], finding["severity"], finding["ata"]) == ("fuel leak, left wing", "critical", "28")


def test_a_shipped_checklist_is_checked_by_its_name(installed: Path, tmp_path: Path) -> None:
    run(installed / "handsfree", "check", "twin-turboprop", cwd=tmp_path)


def test_a_prompt_is_rendered(installed: Path, tmp_path: Path) -> None:
    script = (
        "from handsfree.speaking.rendering import render; from handsfree.speaking.settings import VoiceSettings; "
        "print(render('Nose gear. Tyres?', VoiceSettings()).seconds)"
    )
    assert float(run(installed / "python", "-c", script, cwd=tmp_path)) > 1.0


def test_the_types_are_there_for_those_who_build_on_it(installed: Path, tmp_path: Path) -> None:
    script = "import handsfree, pathlib; print(pathlib.Path(handsfree.__file__).with_name('py.typed').exists())"
    assert run(installed / "python", "-c", script, cwd=tmp_path).strip() == "True"
