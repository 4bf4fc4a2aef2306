"""The seal of a walk that is over: a file beside the log that covers all of it, and may be signed.

It lies in a file of its own, so that a log which is cut short still has its seal to say so.
"""

from __future__ import annotations

from collections.abc import Set
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_serializer

from handsfree.journal.disk import read_file
from handsfree.journal.errors import JournalError
from handsfree.journal.events import Utc, rfc3339
from handsfree.journal.keys import SigningKey, is_signed
from handsfree.journal.lines import canonical, digest, is_canonical

SEAL_NAME = "seal.json"
_MOST_BYTES = 10_000
"""A signed one has 550."""
_MEANT_FOR = b"handsfree seal 1\n"
"""Before what is signed, so that a signature given for anything else is none for a seal."""

Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class BrokenSealError(JournalError):
    """The seal itself is not as it was written."""


class Seal(BaseModel):
    """What a log was when its walk ended."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    v: Literal[1, 2] = 2
    events: Annotated[int, Field(ge=1)]
    """How many."""
    log_sha256: Sha256
    """Of the whole log file."""
    last_sha256: Sha256
    """Of its last line, which each line before it leads to."""
    time: Annotated[Utc, Field(strict=False)]
    seal_sha256: Sha256 | None = None
    """Of the canonical JSON of all other fields but the signature: the time of a seal that nobody signed hangs on
    nothing else.  Version 1 had none."""
    signed_by: str | None = None
    """The public key (Ed25519, base64)."""
    signature: str | None = None
    """Over the canonical JSON of all other fields, with `_MEANT_FOR` before it; base64."""

    @field_serializer("time")
    def _rfc_3339(self, time: datetime) -> str:
        return rfc3339(time)

    @property
    def is_signed_well(self) -> bool:
        """Whether the signature is that of the key that the seal names."""
        return (
            self.signed_by is not None
            and self.signature is not None
            and is_signed(self._signed_bytes(), self.signed_by, self.signature)
        )

    @property
    def fits_itself(self) -> bool:
        """Whether its own digest is right."""
        return self.v == 1 or self.seal_sha256 == self._own_digest()

    def completed(self) -> Seal:
        """The same seal with its own digest."""
        return self.model_copy(update={"seal_sha256": self._own_digest()})

    def signed_with(self, key: SigningKey) -> Seal:
        """The same seal, signed."""
        named = self.model_copy(update={"signed_by": key.public, "signature": None}).completed()
        return named.model_copy(update={"signature": key.sign(named._signed_bytes())})

    def _signed_bytes(self) -> bytes:
        return _MEANT_FOR + canonical(self._fields(without={"signature"}))

    def as_file(self) -> bytes:
        """What the file holds: canonical JSON and a newline."""
        return canonical(self._fields()) + b"\n"

    def _own_digest(self) -> str:
        return digest(canonical(self._fields(without={"seal_sha256", "signature"})))

    def _fields(self, without: Set[str] = frozenset()) -> dict[str, Any]:
        unknown = {"seal_sha256"} if self.v == 1 else set[str]()
        return self.model_dump(mode="json", exclude={*without, *unknown})


def seal_of(raw: bytes, events: int, time: datetime, key: SigningKey | None = None) -> Seal:
    """The seal for all bytes of a log."""
    time = time.astimezone(UTC).replace(microsecond=time.microsecond // 1000 * 1000)
    last = raw.rstrip(b"\n").rpartition(b"\n")[2]
    seal = Seal(events=events, log_sha256=digest(raw), last_sha256=digest(last), time=time).completed()
    return seal.signed_with(key) if key else seal


def is_sealed(folder: Path) -> bool:
    """Whether there is a seal, be it whole or not."""
    return (folder / SEAL_NAME).exists()


def read_seal(folder: Path) -> Seal | None:
    """The seal of a walk, or None when there is none.  Raises BrokenSealError."""
    file = folder / SEAL_NAME
    try:
        raw = read_file(file, _MOST_BYTES)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise BrokenSealError(f"the seal {file} cannot be read: {error.strerror}") from error
    try:
        seal = Seal.model_validate_json(raw)
    except ValidationError as error:
        raise BrokenSealError(f"the seal {file} is not as it was written") from error
    if not is_canonical(raw.removesuffix(b"\n")) or seal.as_file() != raw or not seal.fits_itself:
        raise BrokenSealError(f"the seal {file} is not as it was written")
    return seal
