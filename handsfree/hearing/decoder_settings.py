"""The model folder with our own settings of the search, made of links for the moment of loading.

Vosk reads the settings of its search only from a file in the model's folder, and the folder is not ours to change.  The
view lives in a temporary folder of its own process and is gone once the model is loaded, so that two processes never
meet and a cache that cannot be written does no harm.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Generator
from contextlib import contextmanager
from pathlib import Path

# The published settings are beam 10 and lattice-beam 2: the search then rarely keeps a second reading.  Measured on 192
# synthetic utterances a row: in pink noise at 5 dB 0.97 instead of 0.77 right, for 0.01 of a core more.
# That was with lattice-beam 8; in noise it takes up to 2 s to sort out the readings, and 5 keeps those that matter: no
# margin of the judge is wider.
#
# The recogniser's own endpointer is told to wait longer than our endpoint does (endpoint.py), so that a pause between
# two clauses does not split what was said in one breath.  It stays for noise in which our own sees no pause.
WIDE_SETTINGS = {
    "beam": "14.0",
    "max-active": "1500",
    "lattice-beam": "5.0",
    "endpoint.rule2.min-trailing-silence": "1.4",
    "endpoint.rule3.min-trailing-silence": "1.5",
    "endpoint.rule4.min-trailing-silence": "1.7",
}


WORD_GRAPH = "Gr.fst"
"""The file in a model's folder "graph" that says which words may follow which."""


@contextmanager
def wide_view(model: Path, graph: bytes) -> Generator[Path]:
    """A folder that is the model, but for a wider search in our own graph of words; it exists inside the ``with`` only.

    Raises OSError when the model's settings cannot be read or no temporary folder can be made.
    """
    settings = _with_settings((model / "conf" / "model.conf").read_text(encoding="utf-8"))
    with tempfile.TemporaryDirectory(prefix="handsfree-model-") as folder:
        view = Path(folder)
        _link(model.resolve(), view, but={"conf", "graph"})
        _link(model.resolve() / "conf", view / "conf", but={"model.conf"})
        _link(model.resolve() / "graph", view / "graph", but={WORD_GRAPH})
        (view / "conf" / "model.conf").write_text(settings, encoding="utf-8")
        (view / "graph" / WORD_GRAPH).write_bytes(graph)
        yield view


def _link(folder: Path, view: Path, but: set[str]) -> None:
    view.mkdir(exist_ok=True)
    for entry in folder.iterdir():
        if entry.name not in but:
            (view / entry.name).symlink_to(entry)


def _with_settings(published: str) -> str:
    """The published settings with ours in the place of those of the same name."""
    kept = [line for line in published.splitlines() if _name_of(line) not in WIDE_SETTINGS]
    return "\n".join([*kept, *(f"--{name}={value}" for name, value in WIDE_SETTINGS.items()), ""])


def _name_of(line: str) -> str:
    match = re.match(r"--([\w.-]+)=", line)
    return match[1] if match else ""
