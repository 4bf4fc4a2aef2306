"""Files that are given for recordings."""

from __future__ import annotations

import io
import random
import struct
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import soundfile

from handsfree.hearing.files import blocks_from_file
from handsfree.portaudio import AudioError
from tests.faults.attack import Attack, harmless
from tests.faults.boxed import boxed
from tests.faults.special_files import put

_SECOND = np.full(16_000, 1000, dtype="<i2").tobytes()
_ENDLESS = 1 << 32


def wav(  # noqa: PLR0913  # one option a field of the header
    body: bytes = _SECOND,
    *,
    kind: int = 1,
    channels: int = 1,
    rate: int = 16_000,
    bits: int = 16,
    length: int | None = None,
    frame: int | None = None,
) -> bytes:
    """A WAV file with any header; ``length`` is what it says of the bytes of sound."""
    said = len(body) if length is None else length
    frame = channels * bits // 8 if frame is None else frame
    form = struct.pack("<HHIIHH", kind, channels, rate, rate * frame % _ENDLESS, frame & 0xFFFF, bits)
    head = b"RIFF" + struct.pack("<I", min(36 + said, _ENDLESS - 1)) + b"WAVEfmt " + struct.pack("<I", len(form)) + form
    return head + b"data" + struct.pack("<I", said) + body


def floats(*values: float, rate: int = 16_000) -> bytes:
    """A WAV file of floats: a second of silence, and these."""
    return wav(np.array([*([0.0] * rate), *values], dtype="<f4").tobytes(), kind=3, bits=32, rate=rate)


def refused_files() -> dict[str, bytes]:
    """Each must be refused."""
    flac, ogg = _encoded("FLAC"), _encoded("OGG")
    damaged = bytearray(ogg)
    for at in range(3000, len(damaged), 97):
        damaged[at] ^= 0xFF
    lying = bytearray(flac)
    lying[21] |= 0x0F
    lying[22:26] = b"\xff" * 4
    return {
        "no sound": wav(b""),
        "a length of nothing": wav(length=0),
        "nothing at all": b"",
        "one sample a second": wav(rate=1),
        "no sample a second": wav(rate=0),
        "ten million samples a second": wav(rate=10_000_000),
        "two thousand million samples a second": wav(rate=0x7FFFFFFF),
        "four thousand million samples a second": wav(rate=0xFFFFFFFF),
        "no channel": wav(channels=0),
        "a hundred channels": wav(channels=100),
        "a thousand channels": wav(bytes(2046 * 100), channels=1023),
        "65535 channels": wav(bytes(65_535 * 8), channels=65_535),
        "a number that is none": floats(float("nan")),
        "a number that is none at another rate": floats(float("nan"), 0.0, 0.0, rate=44_100),
        "a number without end": floats(float("inf")),
        "a number that no sound has": floats(1e38),
        "a kind that is none": wav(kind=0),
        "another kind than it is": wav(kind=85),
        "samples of no bits": wav(bits=0, frame=0),
        "only its first letters": b"RIFF",
        "text": b"this is not sound at all, but long enough to look into" * 10,
        "bytes by chance": random.Random(1).randbytes(100_000),
        "FLAC with a lying length": bytes(lying),
        "FLAC that breaks off": flac[:200],
        "Ogg that is damaged": bytes(damaged),
    }


def harmless_files() -> dict[str, bytes]:
    """Each may be heard as far as it goes."""
    return {
        "a length beyond its end": wav(length=0x7FFFFFFE),
        "a length beyond all": wav(length=0xFFFFFFFF),
        "a length that is too short": wav(length=2),
        "a length of 64 bits": _rf64(),
        "Ogg that breaks off": _encoded("OGG")[:4000],
        "samples of seven bits": wav(bits=7),
    }


def attacks(folder: Path) -> Iterator[Attack]:
    """Each file once."""
    for codes, files in (((2,), refused_files()), ((0, 2), harmless_files())):
        for name, data in files.items():
            yield Attack(f"recording, {name}", _read(folder, data, codes))
    for kind in ("a pipe", "an endless device", "a folder", "a link to itself", "a terabyte"):
        yield Attack(f"recording, {kind}", _no_file(folder, kind))


def _read(folder: Path, data: bytes, codes: tuple[int, ...]) -> Callable[[], str]:
    def done() -> str:
        file = folder / "hostile.wav"
        file.write_bytes(data)
        return _heard(file, codes)

    return done


def _no_file(folder: Path, kind: str) -> Callable[[], str]:
    return lambda: _heard(put(folder / "special.wav", kind), (2,))


def _heard(file: Path, codes: tuple[int, ...]) -> str:
    """Through all of it, in the way of every command that takes a recording."""

    def run() -> None:
        try:
            for _ in blocks_from_file(file):
                pass
        except AudioError as error:
            print(f"handsfree: {error.message}")
            raise SystemExit(2) from None

    ended = boxed(run)
    return harmless(ended, codes) + ("; it printed a warning" if "Warning" in ended.shown else "")


def _encoded(form: str) -> bytes:
    sound = np.random.default_rng(1).normal(0, 0.1, 32_000)
    data = io.BytesIO()
    soundfile.write(data, sound, 16_000, format=form)  # pyright: ignore
    return data.getvalue()


def _rf64() -> bytes:
    sizes = struct.pack("<QQQI", 1 << 60, 1 << 60, 1 << 59, 0)
    plain = wav(rate=4000)
    return b"RF64" + b"\xff" * 4 + b"WAVEds64" + struct.pack("<I", 28) + sizes + plain[12:40] + b"\xff" * 4 + _SECOND
