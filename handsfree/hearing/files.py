"""Recorded sound as blocks for the ears."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np

from handsfree.hearing.recogniser import Block
from handsfree.hearing.resampling import Resampler
from handsfree.portaudio import AudioError
from handsfree.soundfiles import library

BLOCK = 1600
"""Samples in a block: 100 ms."""

SLOWEST, FASTEST = 4000, 400_000
"""Samples a second.  A telephone has 8000, the best of recorders 384,000."""
MOST_CHANNELS = 32
_LOUDEST = 1e6
"""Of 1 that can be heard; numbers of a recording may be a little beyond."""

_SECOND = 1
_KINDS = "give a WAV, FLAC or Ogg recording"


def blocks_from_file(path: Path) -> Iterator[Block]:
    """A recording as 16 kHz mono blocks of 100 ms: any sampling rate, any number of channels (their mean).

    The file is opened at once, so that its errors come here and not with the first block.  Raises AudioError when there
    is no such file, it is empty, it is no recording, or it holds no sound.
    """
    try:
        if not (path.is_file() or path.is_dir()) and path.exists():  # a pipe or a device may never end
            raise AudioError(f"{path} is not a file", _KINDS)
        if path.stat().st_size == 0:
            raise AudioError(f"{path} is empty", _KINDS)
        recording = library.SoundFile(str(path))
    except OSError as error:
        raise AudioError(f"{path} cannot be read ({error.strerror})", "check the file's name") from error
    except library.SoundFileError as error:
        raise AudioError(f"{path} is not a sound recording", _KINDS) from error
    what = _unusable(recording)
    if what:
        recording.close()
        raise AudioError(f"{path} {what}", "record it again")
    return _read(recording, path)


def _unusable(recording: Any) -> str:
    """What its header says that no recording of speech can be; nothing when it is one."""
    if recording.frames <= 0:
        return "holds no sound"
    if not SLOWEST <= recording.samplerate <= FASTEST:
        return f"has {recording.samplerate} samples a second; {SLOWEST} to {FASTEST} are heard"
    if recording.channels > MOST_CHANNELS:
        return f"has {recording.channels} channels; up to {MOST_CHANNELS} are heard"
    return ""


def blocks_from_pcm(stream: BinaryIO) -> Iterator[Block]:
    """Raw sound as blocks: 16 kHz, mono, signed 16 bit, little-endian, until the stream ends."""
    rest = b""
    while data := stream.read(2 * BLOCK):
        data = rest + data
        whole = len(data) - len(data) % 2
        rest = data[whole:]
        if whole:
            yield np.frombuffer(data[:whole], dtype="<i2").astype(np.int16)


def _read(recording: Any, path: Path) -> Iterator[Block]:
    with recording:
        resampler = Resampler(int(recording.samplerate))
        try:
            last = False
            while not last:
                sound = recording.read(recording.samplerate * _SECOND, dtype="float32", always_2d=True)
                if not (np.abs(sound) <= _LOUDEST).all():  # nor is a number that is none
                    raise AudioError(f"{path} holds numbers that are no sound", "record it again")
                # What a header promises may never come: then it ends where the sound does.
                last = len(sound) == 0 or recording.tell() >= recording.frames
                block = resampler.add(sound.mean(axis=1), last=last)
                yield from (block[start : start + BLOCK] for start in range(0, len(block), BLOCK))
        except library.SoundFileError as error:
            raise AudioError(f"{path} breaks off or is damaged", _KINDS) from error
