"""Who may import whom.  The table is the design; an arrow that it does not have is a mistake in one of the two."""

from __future__ import annotations

import ast
import importlib.util
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "handsfree"

ARROWS: dict[str, frozenset[str] | None] = {
    # rooms
    "language": frozenset(),
    "checklist": frozenset({"language"}),
    "walk": frozenset({"checklist", "language"}),
    "journal": frozenset({"checklist"}),
    "hearing": frozenset({"language", "portaudio", "soundfiles"}),
    "speaking": frozenset({"portaudio"}),
    "drill": frozenset({"checklist", "journal"}),
    "drafting": frozenset({"checklist", "hearing", "language"}),
    "card": frozenset({"checklist", "language", "paper"}),
    "debrief": frozenset({"charts", "extras", "paper", "checklist", "journal", "drill", "markup", "soundfiles"}),
    "archive": frozenset({"charts", "journal", "drill", "markup"}),
    "bench": frozenset(
        {"language", "checklist", "walk", "journal", "hearing", "speaking", "drill", "debrief", "archive"}
        | {"book", "extras", "markup", "portaudio", "pronunciation", "resources", "speech_model"}
    ),
    # single modules
    "errors": frozenset(),
    "extras": frozenset(),
    "markup": frozenset(),
    "charts": frozenset({"drill", "markup"}),
    "shown": frozenset(),
    "portaudio": frozenset(),
    "pronunciation": frozenset({"language"}),
    "resources": frozenset(),
    "soundfiles": frozenset(),
    "speech_model": frozenset(),
    # what plugs the rooms together
    "book": frozenset({"checklist", "drill", "journal", "language", "languages", "walk"}),
    "languages": frozenset({"language", "resources", "walk"}),
    "models_by_language": frozenset({"speech_model"}),
    "replay": frozenset({"book", "journal", "language", "walk"}),
    "classroom": frozenset({"archive", "extras", "journal"}),
    "debriefing": frozenset({"debrief", "drill", "journal"}),
    "checking": frozenset(
        {"checklist", "extras", "hearing", "journal", "language", "languages", "models_by_language", "pronunciation"}
        | {"resources", "speech_model", "terminal"}
    ),
    "carding": frozenset({"card", "checklist", "journal", "resources", "walking"}),
    "paper": frozenset({"extras"}),
    "saying": frozenset({"checklist", "languages", "portaudio", "resources", "speaking", "terminal", "walking"}),
    "trying": frozenset(
        {"book", "checklist", "hearing", "language", "listeners", "models_by_language", "portaudio", "resources"}
        | {"terminal", "walk", "walking"}
    ),
    "authoring": frozenset(
        {
            "checklist",
            "drafting",
            "hearing",
            "journal",
            "language",
            "listeners",
            "pronunciation",
            "resources",
            "speaking",
        }
        | {"speech_model", "terminal", "walking"}
    ),
    "noting": frozenset({"debrief", "drill", "journal", "terminal"}),
    "evidence": frozenset({"journal", "language"}),
    "player": frozenset({"debrief", "journal", "speaking"}),
    "replaying": frozenset({"checklist", "debrief", "journal", "player", "rehearing", "speaking"}),
    "rehearing": frozenset(
        {"book", "checklist", "hearing", "journal", "language", "models_by_language", "replay", "speaking", "walk"}
    ),
    "screen": frozenset({"checklist", "language", "walk"}),
    "headset": frozenset({"hearing"}),
    "listeners": frozenset({"hearing", "language", "session", "walk"}),
    "mouths": frozenset({"session"}),
    "steadfast": frozenset(),
    "revival": frozenset({"portaudio", "steadfast"}),
    "session": frozenset({"book", "journal", "language", "portaudio", "replay", "steadfast", "walk"}),
    "terminal": frozenset(),
    "walking": None,
    "drilling": None,
    "cli": None,
}
"""Room or module, and what of ours it may import; None = everything."""

EVERYBODY_S = frozenset({"__version__", "errors", "shown"})
"""What all may import."""

TYPES_ONLY = {("journal", "checklist"): frozenset({"models"})}
"""From the first room to the second only these modules: a journal needs the checklist's types, not its loading."""

SHARED_LIBRARIES = frozenset({"numpy", "platformdirs", "pydantic", "rich", "typer"})
"""Third-party libraries that ship their types and need no adapter; each other one is imported in one module."""

AS_PUBLISHED = Path("bench/peers/vosk_as_published.py")
"""Imports vosk too: what our adapter makes of it is compared with what it is without."""


class Import:
    """One import of a module: who, and the full dotted name of what."""

    def __init__(self, importer: Path, name: str) -> None:
        self.importer = importer.relative_to(PACKAGE)
        self.name = name

    @property
    def room(self) -> str:
        """The room or top-level module that the importer belongs to."""
        return self.importer.parts[0].removesuffix(".py")

    @property
    def of_ours(self) -> tuple[str, ...]:
        """The parts of the name below our package; empty for a library."""
        top, *rest = self.name.split(".")
        return tuple(rest) if top == PACKAGE.name else ()

    def __str__(self) -> str:
        return f"{self.importer} imports {self.name}"


def imports() -> Iterator[Import]:
    """Every import in the package: at the top, inside functions, for type checking only, and by `import_module`."""
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            yield from (Import(path, name) for name in _names(node))


def _names(node: ast.AST) -> list[str]:
    match node:
        case ast.Import(names=names):
            return [alias.name for alias in names]
        case ast.ImportFrom(module=str(module), names=names, level=0):
            return [f"{module}.{alias.name}" for alias in names]
        case ast.ImportFrom(level=level) if level > 0:
            raise AssertionError("relative imports hide who imports whom")
        case ast.Call(func=ast.Attribute(attr="import_module"), args=[ast.Constant(value=str(name)), *_]):
            return [name]
        case _:
            return []


def test_every_room_has_its_place_in_the_table() -> None:
    rooms = {path.relative_to(PACKAGE).parts[0].removesuffix(".py") for path in PACKAGE.rglob("*.py")}
    assert rooms - {"__init__"} <= ARROWS.keys()


def test_the_reading_of_imports_sees_all_kinds() -> None:
    """A reader that sees nothing would let everything pass."""
    seen = {(str(found.importer), found.name.split(".")[0]) for found in imports()}
    assert ("portaudio.py", "sounddevice") in seen  # inside a function
    assert ("speaking/render_worker.py", "pyttsx3") in seen  # by import_module
    assert ("speaking/voice.py", "handsfree") in seen  # at the top


def test_arrows_go_one_way() -> None:
    wrong: list[str] = []
    for found in imports():
        allowed = ARROWS.get(found.room)
        if not found.of_ours or allowed is None or found.of_ours[0] in {found.room, *EVERYBODY_S}:
            continue
        modules = TYPES_ONLY.get((found.room, found.of_ours[0]))
        if found.of_ours[0] not in allowed or (modules is not None and found.of_ours[1] not in modules):
            wrong.append(str(found))
    assert not wrong, "\n".join(wrong)


def test_the_table_has_no_circle() -> None:
    def reachable(room: str, seen: frozenset[str] = frozenset()) -> frozenset[str]:
        assert room not in seen, f"{room} is in a circle"
        return frozenset({room}).union(*(reachable(below, seen | {room}) for below in ARROWS[room] or ()))

    for room in ARROWS:
        assert room in reachable(room)


@pytest.mark.parametrize("library", sorted(SHARED_LIBRARIES))
def test_a_shared_library_ships_its_types(library: str) -> None:
    found = importlib.util.find_spec(library)
    assert found is not None
    assert found.origin is not None
    assert Path(found.origin).with_name("py.typed").exists()


def test_a_library_is_imported_in_one_module() -> None:
    users: dict[str, set[str]] = defaultdict(set)
    for found in imports():
        top = found.name.split(".")[0]
        if found.importer == AS_PUBLISHED and top == "vosk":
            continue
        if not found.of_ours and top != PACKAGE.name and top not in sys.stdlib_module_names | SHARED_LIBRARIES:
            users[top].add(str(found.importer))
    several = {library: sorted(modules) for library, modules in users.items() if len(modules) > 1}
    assert not several


@pytest.mark.parametrize("room", ["walk", "language"])
def test_the_pure_rooms_know_no_clock_and_no_sound(room: str) -> None:
    """The same events always give the same conversation: replaying a journal depends on it."""
    forbidden = {"time", "threading", "random", "socket", "subprocess", "sounddevice", "vosk", "os", "tempfile"}
    wrong = [str(found) for found in imports() if found.room == room and found.name.split(".")[0] in forbidden]
    assert not wrong, "\n".join(wrong)
