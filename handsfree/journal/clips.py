"""The sound beside a log: taken only if it is what was recorded, and only from where clips lie."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Literal

from handsfree.journal.disk import read_file
from handsfree.journal.errors import JournalError
from handsfree.journal.events import Clip
from handsfree.journal.lines import digest
from handsfree.journal.reader import CLIPS

CLIP_NAME = re.compile(rf"{CLIPS}/[0-9]{{5,}}\.wav")
"""A clip lies in the log's own folder of clips, and nowhere else, whatever a log may say."""
MOST_OF_A_CLIP = 100_000_000
"""Bytes; 50 minutes of sound."""


ClipState = Literal["kept", "removed", "altered", "none"]
"""Beside the log, removed since, another than was recorded, or never kept."""


class AlteredClipError(JournalError):
    """A clip is not the one that was recorded."""


def read_clip(folder: Path, clip: Clip) -> bytes | None:
    """The WAV file of a clip; None when it was removed.

    Raises AlteredClipError when it is another, lies elsewhere, or cannot be read: what was said is then not known.
    """
    altered = AlteredClipError(f"{folder}: the clip {clip.file} is not the one that was recorded", "handsfree verify")
    file = folder / clip.file
    if not CLIP_NAME.fullmatch(clip.file) or file.is_symlink() or (folder / CLIPS).is_symlink():
        raise altered
    try:
        data = read_file(file, MOST_OF_A_CLIP)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise altered from error
    if digest(data) != clip.sha256:
        raise altered
    return data


def clip_of(folder: Path, clip: Clip | None) -> tuple[ClipState, bytes]:
    """What there is of the sound of an utterance, and its WAV file where it is kept."""
    if clip is None:
        return "none", b""
    try:
        data = read_clip(folder, clip)
    except AlteredClipError:
        return "altered", b""
    return ("removed", b"") if data is None else ("kept", data)
