"""The grammars and checklists that come with the program: inside the wheel, or at the top of a source tree."""

from __future__ import annotations

from pathlib import Path

from handsfree.errors import Mendable
from handsfree.shown import shortened

_PACKAGE = Path(__file__).parent
_ENDINGS = (".yaml", ".yml")
STOCK_NAME = "stock.yaml"


class ResourceError(Mendable):
    """A file or folder that should be there is not; `hint` says what the user can do."""


def grammars_folder() -> Path:
    """The folder of the grammars (``*.jsgf``, ``lexicon.yaml``).  Raises ResourceError when it is missing."""
    return _folder("grammars")


def checklists_folder() -> Path:
    """The folder of the checklists that come with the program.  Raises ResourceError when it is missing."""
    return _folder("checklists")


def checklist_names() -> tuple[str, ...]:
    """The names of these checklists, as `find_checklist` takes them, in alphabetical order."""
    return tuple(sorted(path.stem for path in checklists_folder().iterdir() if path.suffix in _ENDINGS))


def find_checklist(name_or_path: str) -> Path:
    """A checklist's file: a path, or the name of one that comes with the program.  A file that is there wins.

    Raises ResourceError.
    """
    if _is_file(name_or_path):
        return Path(name_or_path)
    if name_or_path in checklist_names():
        return next(path for end in _ENDINGS if (path := checklists_folder() / f"{name_or_path}{end}").is_file())
    raise ResourceError(
        f'there is no checklist "{shortened(name_or_path)}"',
        f"give the path of a file, or one of these names: {', '.join(checklist_names())}",
    )


def exercises_folder() -> Path:
    """The folder of what is practised with, one folder a checklist.  Raises ResourceError when it is missing."""
    return _folder("exercises")


def find_stock(checklist_id: str) -> Path | None:
    """The stock of scenes for a checklist, if there is one."""
    file = exercises_folder() / checklist_id / STOCK_NAME
    return file if file.is_file() else None


def exercise_names(checklist_id: str) -> tuple[str, ...]:
    """The names of the exercises for a checklist, in alphabetical order."""
    folder = exercises_folder() / checklist_id
    found = folder.iterdir() if folder.is_dir() else ()
    return tuple(sorted(path.stem for path in found if path.suffix in _ENDINGS and path.name != STOCK_NAME))


def find_exercise(name_or_path: str, checklist_id: str) -> Path:
    """An exercise's file: a path, or the name of one for this checklist.  Raises ResourceError."""
    if _is_file(name_or_path):
        return Path(name_or_path)
    names = exercise_names(checklist_id)
    if name_or_path in names:
        folder = exercises_folder() / checklist_id
        return next(path for end in _ENDINGS if (path := folder / f"{name_or_path}{end}").is_file())
    known = (
        f"give the path of a file, or one of these names: {', '.join(names)}" if names else "give the path of a file"
    )
    raise ResourceError(f'there is no exercise "{shortened(name_or_path)}" for {checklist_id}', known)


def _is_file(path: str) -> bool:
    try:
        return Path(path).is_file()
    except (OSError, ValueError):  # too long for a name
        return False


def _folder(name: str) -> Path:
    in_the_wheel = _PACKAGE / "data" / name
    in_the_source = _PACKAGE.parent / name
    for folder in (in_the_wheel, in_the_source):
        if folder.is_dir():
            return folder
    raise ResourceError(f"the folder of the {name} is missing", "install the program again: it is not complete")
