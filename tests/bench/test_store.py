"""Trials on disk: an interrupted bench goes on, and another one is not mixed into it."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.bench.errors import BenchError
from handsfree.bench.plan import Settings
from handsfree.bench.store import TRIALS_NAME, Store
from tests.bench.made import CUT, GOOD, trial

SETTINGS = Settings(checklist="twin-turboprop", count=10)


def test_what_was_kept_comes_back(tmp_path: Path) -> None:
    both = [trial(seed=1, wanted=(GOOD, CUT), second="right", verdict="asked"), trial(seed=2, decided_after_s=None)]
    store = Store(tmp_path / "new" / "folder", SETTINGS)
    for one in both:
        store.add(one)
    assert Store(tmp_path / "new" / "folder", SETTINGS).trials == both


def test_a_line_that_was_cut_off_is_made_again(tmp_path: Path) -> None:
    store = Store(tmp_path, SETTINGS)
    store.add(trial(seed=1))
    with (tmp_path / TRIALS_NAME).open("ab") as file:
        file.write(b'{"by": "hand')
    store = Store(tmp_path, SETTINGS)
    store.add(trial(seed=2))
    assert [one.seed for one in Store(tmp_path, SETTINGS).trials] == [1, 2]


def test_other_settings_are_refused(tmp_path: Path) -> None:
    Store(tmp_path, SETTINGS)
    with pytest.raises(BenchError, match="other settings"):
        Store(tmp_path, SETTINGS.model_copy(update={"seed": 2}))


def test_a_file_of_something_else_is_refused(tmp_path: Path) -> None:
    (tmp_path / TRIALS_NAME).write_text("what is this?\n", encoding="utf-8")
    with pytest.raises(BenchError, match="damaged"):
        Store(tmp_path, SETTINGS)


def test_a_folder_that_cannot_be_made_is_one_clear_error(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(BenchError, match="cannot be used"):
        Store(tmp_path / "file", SETTINGS)
