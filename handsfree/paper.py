"""Paper for what is printed: a font that can be embedded, a last line on each page, and letters that the font lacks."""

from __future__ import annotations

import logging
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeAlias, cast

from handsfree.errors import Mendable
from handsfree.extras import how_to_install
from handsfree.shown import harmless

if TYPE_CHECKING:
    from fpdf import FPDF

Sheet: TypeAlias = "FPDF"
"""What is written on."""
FAMILY: Final = "Fira Sans"
"""Latin, Greek and Cyrillic letters."""
_BOLD: Final = 700
_FOOT_POINTS: Final = 8
_KEY: Final = FAMILY.lower()
"""As the library names it."""
_FALLBACK: Final = "other"
_LIMIT_S: Final = 10
_USABLE: Final = (".ttf", ".otf", ".ttc")


A4_MM: Final = (210, 297)
A5_MM: Final = (148, 210)


def new_paper(
    size_mm: tuple[int, int], margin_mm: float, foot: str, foot_ink: tuple[int, int, int] = (0, 0, 0)
) -> FPDF:
    """Empty paper with the page's number and ``foot`` at the foot of each page.

    Raises Mendable where a library is not installed.
    """
    try:
        import fontpkg  # noqa: PLC0415  # an extra
        from fpdf import FPDF  # noqa: PLC0415
    except ImportError as error:
        raise Mendable("writing PDF needs fpdf2 and fontpkg-fira-sans", how_to_install("debrief")) from error
    logging.getLogger("fpdf").setLevel(logging.ERROR)  # letters that no font has are no news for a terminal

    class Paper(FPDF):
        """With the same words at the foot of each page."""

        def footer(self) -> None:
            """The last lines."""
            self.set_y(-12)
            self.set_font(FAMILY, "", _FOOT_POINTS)
            self.set_text_color(*foot_ink)
            self.multi_cell(0, 3.6, harmless(f"Page {self.page_no()} of {{nb}}. {foot}"), align="L")

    paper = Paper(format=size_mm)
    paper.set_margin(margin_mm)
    paper.set_auto_page_break(auto=True, margin=18)
    paper.set_lang("en")
    for style, weight in (("", 400), ("B", _BOLD)):
        paper.add_font(FAMILY, style, fontpkg.path(FAMILY, weight))
    return paper


def with_letters(paper: FPDF, text: str) -> str:
    """The text as it can be printed; for letters that the font lacks a font of this machine is added.

    What no font has is printed as an empty box; ``unknown_letters`` says what that is.
    """
    added = [name for name in paper.fonts if name.startswith(_FALLBACK) and name[-1].isdigit()]
    lacking = {one for one in text if one.isprintable() and not _has(paper, [_KEY, *added], one)}
    for letter in sorted(lacking):
        file = None if _has(paper, added, letter) else _font_with(letter)
        if file is None:
            continue
        name = f"{_FALLBACK}{len(added)}"
        for style in ("", "B"):
            paper.add_font(name, style, file)
        added.append(name)
        paper.set_fallback_fonts(added, exact_match=False)
    return text


def unknown_letters(paper: FPDF, text: str) -> str:
    """The letters of a text that would be empty boxes, signs aside; to be asked after ``with_letters``."""
    added = [name for name in paper.fonts if name.startswith(_FALLBACK) and name[-1].isdigit()]
    return "".join(dict.fromkeys(one for one in text if one.isalpha() and not _has(paper, [_KEY, *added], one)))


def given_up(paper: FPDF) -> None:
    """Close the files of the fonts of paper that will not be printed; printing closes them itself."""
    for font in paper.fonts.values():
        file: Any = getattr(font, "ttfont", None)
        if file is not None:
            file.close()


def _has(paper: FPDF, names: Sequence[str], letter: str) -> bool:
    """Whether one of the fonts has a letter."""
    return any(ord(letter) in cast("dict[int, object]", getattr(paper.fonts[name], "cmap", {})) for name in names)


def _font_with(letter: str) -> Path | None:
    """A font of this machine that has a letter, as fontconfig knows; None where there is none."""
    command = ("fc-list", "-f", "%{file}\n", f":charset={ord(letter):x}")
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=_LIMIT_S, check=True)
    except (OSError, subprocess.SubprocessError):
        return None
    files = sorted(Path(line) for line in done.stdout.splitlines() if line.endswith(_USABLE))
    return next(iter(files), None)
