"""Sound files through soundfile, which no other module imports: it has no types."""

from __future__ import annotations

import io
from typing import Any, Final

import soundfile

library: Any = soundfile

MP3_LEVEL: Final = 0.5
"""How hard libsndfile compresses, from 0 to 1.  Speech at 16 kHz comes to 34 kbit/s: a seventh of the WAV."""


class UnreadableSoundError(Exception):
    """These bytes are no sound that can be made smaller."""


def compressed(sound: bytes) -> bytes:
    """A sound file as MP3, which every browser plays, telephones and old ones too.  Raises UnreadableSoundError."""
    small = io.BytesIO()
    try:
        samples, rate = library.read(io.BytesIO(sound), dtype="int16")
        library.write(small, samples, rate, format="MP3", subtype="MPEG_LAYER_III", compression_level=MP3_LEVEL)
    except (library.SoundFileError, RuntimeError, ValueError, TypeError) as error:
        raise UnreadableSoundError(str(error)) from error
    return small.getvalue()
