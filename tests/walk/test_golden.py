"""Every golden conversation goes word for word as its file says."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.walk.conversation import golden_files, play, read_scene, small


@pytest.mark.parametrize("path", golden_files(), ids=lambda path: path.stem)
def test_the_conversation_goes_as_written(path: Path) -> None:
    play(read_scene(path), small())


def test_a_golden_file_can_fail(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.txt"
    for line in (": Wing tip?", "! finding", "= nose-gear: passed"):
        wrong.write_text(f"@ pitot-covers\n> covers off\n{line}\n", encoding="utf-8")
        with pytest.raises(AssertionError, match=r"wrong\.txt"):
            play(read_scene(wrong), small())
