"""The grammars and checklists that come with the program: inside the wheel, or at the top of a source tree."""

from __future__ import annotations

from pathlib import Path

from handsfree.errors import Mendable
from handsfree.shown import shortened

_PACKAGE = Path(__file__).parent
_ENDINGS = (".yaml", ".yml")


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
