"""Keys with which a person signs: Ed25519 (RFC 8032), kept in a file of the person's own, never beside a log.

The library is imported where it is used: it takes 40 ms, which a walk that nobody signs does not have to wait.
"""

from __future__ import annotations

import base64
import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.errors import Mendable
from handsfree.journal.disk import OWNER_ONLY, read_file, write_all

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

_BYTES = 32
_MOST_BYTES = 10_000
"""Of a file with a private key."""
_MAKE_ONE = "make one with: handsfree key"


class KeyFileError(Mendable):
    """A key cannot be made or used; ``hint`` says what to do."""


@dataclass(frozen=True)
class SigningKey:
    """A private key; only signatures come out of it."""

    _key: Ed25519PrivateKey

    @property
    def public(self) -> str:
        """The public key: 32 bytes in base64."""
        return base64.b64encode(self._key.public_key().public_bytes_raw()).decode()

    def sign(self, data: bytes) -> str:
        """The signature: 64 bytes in base64."""
        return base64.b64encode(self._key.sign(data)).decode()


def make_key(file: Path) -> SigningKey:
    """Make a key and keep it in a file (PKCS 8, PEM) that only its owner can read.

    Raises KeyFileError when the file exists already: a lost key cannot be made again.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey  # noqa: PLC0415
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat  # noqa: PLC0415

    key = Ed25519PrivateKey.generate()
    data = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    try:
        if not file.parent.is_dir():
            file.parent.mkdir(mode=0o700, parents=True)
        descriptor = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, OWNER_ONLY)
        try:
            write_all(descriptor, data)
        finally:
            os.close(descriptor)
    except OSError as error:
        if file.exists():
            raise KeyFileError(f"there is a key in {file} already", "use it, or name another file") from error
        raise KeyFileError(f"no key can be kept in {file}: {error.strerror}", "name another file") from error
    return SigningKey(key)


def read_key(file: Path) -> SigningKey:
    """A key that was made before.  Raises KeyFileError."""
    from cryptography.exceptions import UnsupportedAlgorithm  # noqa: PLC0415
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey  # noqa: PLC0415
    from cryptography.hazmat.primitives.serialization import load_pem_private_key  # noqa: PLC0415

    try:
        key = load_pem_private_key(read_file(file, _MOST_BYTES), password=None)
    except OSError as error:
        raise KeyFileError(
            f"the key {file} cannot be read: {error.strerror}", "make one with: handsfree key"
        ) from error
    except (ValueError, TypeError, UnsupportedAlgorithm) as error:
        raise KeyFileError(f"{file} holds no private key", "make one with: handsfree key") from error
    if not isinstance(key, Ed25519PrivateKey):
        raise KeyFileError(f"{file} holds a key of another kind", "make one with: handsfree key")
    return SigningKey(key)


def is_public_key(text: str) -> bool:
    """Whether a text can be a public key."""
    return _public(text) is not None


def is_signed(data: bytes, public: str, signature: str) -> bool:
    """Whether the owner of the public key signed the data."""
    from cryptography.exceptions import InvalidSignature  # noqa: PLC0415

    key = _public(public)
    if key is None:
        return False
    try:
        key.verify(_decoded(signature), data)
    except (InvalidSignature, ValueError):
        return False
    return True


def _public(text: str) -> Ed25519PublicKey | None:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey  # noqa: PLC0415

    try:
        raw = _decoded(text)
        return Ed25519PublicKey.from_public_bytes(raw) if len(raw) == _BYTES else None
    except ValueError:
        return None


def _decoded(text: str) -> bytes:
    """The bytes of base64 (RFC 4648) in its one canonical spelling, whose last bits are 0.  Raises ValueError."""
    raw = base64.b64decode(text, validate=True)  # a binascii.Error is a ValueError
    if base64.b64encode(raw).decode() != text:
        raise ValueError("another spelling of the same bytes")
    return raw
