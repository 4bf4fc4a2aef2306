"""The languages that come with the program: each a folder of grammars, small words and sentences.

English has its grammars at the top of the folder, its small words in the program, and its sentences are the ones to be
translated.  Of another language, ``ko``, the folder ``ko`` holds grammars with the same rules, ``language.toml``, and
``sentences.po``, in the form of GNU gettext that translators' tools know.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from handsfree.errors import Mendable
from handsfree.language.grammars import Grammars
from handsfree.language.tongue import ENGLISH, FILE_NAME, Tongue
from handsfree.resources import grammars_folder
from handsfree.walk.wording import Wording

SENTENCES: Final = "sentences.po"


@dataclass(frozen=True, eq=False)
class Language:
    """What can be heard and said in one language."""

    grammars: Grammars
    words: Wording

    @property
    def tongue(self) -> Tongue:
        """Its small words."""
        return self.grammars.lexicon.tongue


def known_languages() -> tuple[str, ...]:
    """By their two letters, English first."""
    others = (path.parent.name for path in grammars_folder().glob(f"*/{FILE_NAME}"))
    return (ENGLISH.code, *sorted(others))


@cache
def language(code: str) -> Language:
    """A language by its two letters.  Raises Mendable when there are no grammars for it, GrammarError for bad ones."""
    if code == ENGLISH.code:
        return Language(Grammars.load(grammars_folder()), Wording())
    if code not in known_languages():
        raise Mendable(
            f"the program has no grammars for the language '{code}'", f"it knows: {', '.join(known_languages())}"
        )
    folder = grammars_folder() / code
    grammars = Grammars.load(folder)
    return Language(grammars, Wording(grammars.lexicon.tongue, _sentences(folder / SENTENCES)))


def _sentences(path: Path) -> dict[str, str]:
    import polib  # noqa: PLC0415  # only other languages need it

    try:
        entries: Any = polib.pofile(str(path))
    except (OSError, UnicodeDecodeError) as error:
        raise Mendable(f"{path} cannot be read ({error})", "install the program again: it is not complete") from error
    return {str(entry.msgid): str(entry.msgstr) for entry in entries if entry.translated()}
