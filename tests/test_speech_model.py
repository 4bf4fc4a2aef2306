"""Finding, checking and fetching the speech model.  Nothing here needs a network or the model itself."""

from __future__ import annotations

import hashlib
import os
import signal
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree import speech_model
from handsfree.speech_model import MODEL_NAME, ModelError, ModelFile, fetch, locate, verify

PUBLISHED = speech_model.MANIFEST
CONTENTS = {"am/final.mdl": b"sound" * 100, "conf/model.conf": b"--beam=10\n", "graph/phones/word_boundary.int": b"1 2"}
MANIFEST = tuple(ModelFile(name, len(data), hashlib.sha256(data).hexdigest()) for name, data in CONTENTS.items())


def unpacked(folder: Path) -> Path:
    """A tiny model that is whole by the manifest of these tests."""
    for name, data in CONTENTS.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return folder


def packed(path: Path) -> Path:
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in CONTENTS.items():
            archive.writestr(f"assets/model-en-us/{name}", data)
    return path


def program(folder: Path, name: str, script: str) -> None:
    """A stand-in for a client, found on the PATH."""
    path = folder / name
    path.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    path.chmod(0o755)


@pytest.fixture(autouse=True)
def tiny_model(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A cache of our own, a manifest of three small files, and no client at all."""
    archive = packed(tmp_path / "packed.aar")
    data = archive.read_bytes()
    artifact = ModelFile("vosk-model-en-0.3.45.aar", len(data), hashlib.sha256(data).hexdigest())
    monkeypatch.setattr(speech_model, "MANIFEST", MANIFEST)
    monkeypatch.setattr(speech_model, "ARTIFACT_FILE", artifact)
    (tmp_path / "bin").mkdir()
    monkeypatch.setenv("PATH", f"{tmp_path / 'bin'}:/usr/bin:/bin")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.delenv("HANDSFREE_MODEL", raising=False)
    monkeypatch.setattr(sys, "executable", str(tmp_path / "bin" / "python"))
    program(tmp_path / "bin", "python", "echo 'cannot connect' >&2; exit 1")
    program(tmp_path / "bin", "mvn", "echo '[ERROR] no repository can be reached'; exit 1")


@pytest.fixture
def working_client(tmp_path: Path) -> None:
    program(
        tmp_path / "bin",
        "mvn",
        f"""for word in "$@"; do case $word in -DoutputDirectory=*) out=${{word#*=}};; esac; done
            printf 'Progress (1): 10/41 MB\\rProgress (1): 41 MB\\n'
            cp {tmp_path}/packed.aar "$out/vosk-model-en-0.3.45.aar" """,
    )


def silent(_what: str, _share: float | None) -> None:
    pass


def refused(action: Callable[[], object]) -> ModelError:
    with pytest.raises(ModelError) as caught:
        action()
    assert caught.value.hint
    return caught.value


def test_the_real_manifest_names_what_the_recogniser_needs() -> None:
    names = {file.name for file in PUBLISHED}
    assert {"am/final.mdl", "conf/model.conf", "conf/mfcc.conf", "graph/Gr.fst", "graph/HCLr.fst"} <= names
    assert sum(file.size for file in PUBLISHED) == 70_898_768


def test_with_no_model_anywhere_the_error_says_how_to_get_one_with_and_without_a_network() -> None:
    error = refused(locate)
    assert "fetch" in error.hint
    assert MODEL_NAME in error.hint
    assert "HANDSFREE_MODEL" in error.hint
    assert str(speech_model.cache_folder()) in error.hint


def test_the_explicit_path_wins_over_the_environment_and_that_over_the_cache(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cached = unpacked(speech_model.cache_folder())
    assert locate().path == cached
    monkeypatch.setenv("HANDSFREE_MODEL", str(unpacked(tmp_path / "environment")))
    assert locate().path == tmp_path / "environment"
    assert "HANDSFREE_MODEL" in locate().source
    assert locate(unpacked(tmp_path / "explicit")).path == tmp_path / "explicit"


def test_a_path_that_was_named_is_never_replaced_by_another(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    unpacked(speech_model.cache_folder())
    assert str(tmp_path / "gone") in refused(lambda: locate(tmp_path / "gone")).message
    monkeypatch.setenv("HANDSFREE_MODEL", str(tmp_path / "gone"))
    refused(locate)


def test_only_of_the_tools_own_folder_one_is_told_to_delete_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (speech_model.cache_folder() / "am").mkdir(parents=True)
    assert "delete that folder" in refused(locate).hint
    mistaken = tmp_path / "holiday pictures"
    mistaken.mkdir()
    assert refused(lambda: locate(mistaken)).hint == "check the path, or leave it out"
    monkeypatch.setenv("HANDSFREE_MODEL", str(mistaken))
    assert refused(locate).hint == "check the path in HANDSFREE_MODEL, or leave the variable out"


def test_each_file_is_checked_by_size_and_contents(tmp_path: Path) -> None:
    folder = unpacked(tmp_path / "model")
    assert [check.problem for check in verify(folder)] == ["", "", ""]
    (folder / "am/final.mdl").write_bytes(b"sound" * 99)
    (folder / "conf/model.conf").write_bytes(b"--beam=11\n")
    (folder / "graph/phones/word_boundary.int").unlink()
    problems = [check.problem for check in verify(folder)]
    assert problems == ["has 495 bytes instead of 500", "has other contents than it should", "is missing"]
    error = refused(lambda: locate(folder))
    assert "am/final.mdl has 495 bytes" in error.message


@pytest.mark.usefixtures("working_client")
def test_a_fetched_model_is_found_afterwards_and_its_progress_was_told() -> None:
    told: list[tuple[str, float | None]] = []
    model = fetch(lambda what, share: told.append((what, share)))
    assert model.path == speech_model.cache_folder() == locate().path
    assert ("downloading", pytest.approx(10 / 41)) in told
    assert ("unpacking", 1.0) in told
    assert [path.name for path in model.path.parent.iterdir()] == [MODEL_NAME]


@pytest.mark.usefixtures("working_client")
def test_fetching_repairs_a_broken_model_and_leaves_a_whole_one_alone() -> None:
    folder = unpacked(speech_model.cache_folder())
    (folder / "am/final.mdl").write_bytes(b"")
    fetch(silent)
    assert locate().path == folder
    before = (folder / "am/final.mdl").stat().st_ino
    fetch(silent)
    assert (folder / "am/final.mdl").stat().st_ino == before


def test_when_nothing_works_the_error_names_both_ways_and_the_hand_made_one() -> None:
    error = refused(lambda: fetch(silent))
    assert "no repository can be reached" in error.message
    assert "Vosk's own downloader failed (cannot connect)" in error.message
    assert "place the folder at" in error.hint
    assert not speech_model.cache_folder().exists()


def test_without_the_maven_client_vosks_own_downloader_is_used(tmp_path: Path) -> None:
    (tmp_path / "bin" / "mvn").unlink()
    ready = unpacked(tmp_path / "elsewhere" / MODEL_NAME)
    program(tmp_path / "bin", "python", f'mkdir -p "$HOME/.cache/vosk" && cp -r {ready} "$HOME/.cache/vosk/"')
    if Path("/usr/bin/mvn").exists():
        program(tmp_path / "bin", "mvn", "exit 1")
    assert "Vosk's own downloader" in fetch(silent).source
    assert locate().path == speech_model.cache_folder()


@pytest.mark.parametrize("damage", ["short", "other"])
def test_a_damaged_download_never_counts(tmp_path: Path, working_client: None, damage: str) -> None:
    archive = tmp_path / "packed.aar"
    data = archive.read_bytes()
    archive.write_bytes(data[:-10] if damage == "short" else data[:50] + bytes([data[50] ^ 1]) + data[51:])
    error = refused(lambda: fetch(silent))
    assert "vosk-model-en-0.3.45.aar has" in error.message
    assert not speech_model.cache_folder().exists()


def test_a_killed_fetch_leaves_nothing_that_counts(tmp_path: Path) -> None:
    """The client has put half a file down when the process is killed outright."""
    program(
        tmp_path / "bin",
        "mvn",
        f"""for word in "$@"; do case $word in -DoutputDirectory=*) out=${{word#*=}};; esac; done
            head -c 100 {tmp_path}/packed.aar > "$out/vosk-model-en-0.3.45.aar"
            touch {tmp_path}/half; exec sleep 30""",
    )
    child = subprocess.Popen(
        [str(Path(sys.prefix) / "bin" / "python"), "-c", "from handsfree.speech_model import fetch; fetch(print)"],
        cwd=Path(__file__).parents[1],
        stdout=subprocess.DEVNULL,
        start_new_session=True,
    )
    until = time.monotonic() + 20
    while not (tmp_path / "half").exists() and time.monotonic() < until:
        time.sleep(0.02)
    os.killpg(child.pid, signal.SIGKILL)
    child.wait()
    assert (tmp_path / "half").exists()
    refused(locate)
    leftovers = list(speech_model.cache_folder().parent.iterdir())
    assert [path.name.startswith(".fetch-") for path in leftovers] == [True]
    os.utime(leftovers[0], (1, 1))
    program(tmp_path / "bin", "mvn", "exit 1")
    refused(lambda: fetch(silent))
    assert list(speech_model.cache_folder().parent.iterdir()) == []


def test_a_cache_that_cannot_be_written_is_told_with_a_way_round(tmp_path: Path) -> None:
    (tmp_path / "cache").write_text("a file where the folder should be", encoding="utf-8")
    error = refused(lambda: fetch(silent))
    assert "cannot be written" in error.message
    assert "XDG_CACHE_HOME" in error.hint


@pytest.mark.usefixtures("working_client")
def test_two_fetches_at_once_both_succeed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The other one finishes while ours is still checking."""
    once = [True]

    def other_finishes(what: str, _share: float | None) -> None:
        if what == "checking" and once.pop() if once else False:
            fetch(silent)

    assert fetch(other_finishes).path == speech_model.cache_folder()
    assert locate().path == speech_model.cache_folder()
