"""Files that are on the disk when a function returns, readable by their owner only; what is here raises OSError.

A folder may come from somebody else: a link in it is never followed to write, and only files are read, up to a size.
"""

from __future__ import annotations

import errno
import hashlib
import os
import stat
from pathlib import Path
from typing import Final

OWNER_ONLY = 0o600
NOT_FOLLOWED: Final = os.O_CLOEXEC | os.O_NOFOLLOW | os.O_NONBLOCK
"""How to open what may be a link or a pipe: the link is refused, and nobody waits for the other end of a pipe."""


def open_to_write(file: Path, how: int) -> int:
    """A descriptor of a file itself, never of what it links to."""
    try:
        descriptor = os.open(file, how | NOT_FOLLOWED, OWNER_ONLY)
    except OSError as error:
        if error.errno in (errno.ELOOP, errno.ENXIO):
            raise OSError(error.errno, f"{file.name} is a link or a pipe, and no file", str(file)) from error
        raise
    if not stat.S_ISREG(os.fstat(descriptor).st_mode):
        os.close(descriptor)
        raise OSError(errno.EINVAL, f"{file.name} is no file", str(file))
    return descriptor


def read_file(file: Path, most: int) -> bytes:
    """All of a file that holds at most so many bytes."""
    descriptor = _opened(file, most)
    size = os.fstat(descriptor).st_size  # to ask for the most there may be takes longer than to read what there is
    with os.fdopen(descriptor, "rb") as opened:
        data = opened.read(size + 1)
        if len(data) > size:  # it has grown since
            data += opened.read(most + 1 - len(data))
    if len(data) > most:
        raise _too_large(file, most)
    return data


def digest_of(file: Path, most: int) -> str:
    """SHA-256 of a file that holds at most so many bytes, in lower-case hexadecimal."""
    with os.fdopen(_opened(file, most), "rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


def _opened(file: Path, most: int) -> int:
    """To read, with links followed: only files, and none that is larger."""
    descriptor = os.open(file, os.O_RDONLY | os.O_CLOEXEC | os.O_NONBLOCK)
    about = os.fstat(descriptor)
    if stat.S_ISREG(about.st_mode) and about.st_size <= most:
        return descriptor
    os.close(descriptor)
    if stat.S_ISDIR(about.st_mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(file))
    raise _too_large(file, most) if stat.S_ISREG(about.st_mode) else OSError(errno.EINVAL, "it is no file", str(file))


def _too_large(file: Path, most: int) -> OSError:
    return OSError(errno.EFBIG, f"it is larger than {most // 1_000_000 or 1} MB", str(file))


def write_synced(file: Path, data: bytes) -> None:
    """A whole new file."""
    _written(file, data, os.O_TRUNC)


def append_synced(file: Path, data: bytes) -> None:
    """More at the end of a file, which may not be there yet."""
    _written(file, data, os.O_APPEND)


def replace_synced(file: Path, data: bytes) -> None:
    """A file that is either as it was or as it is to be, whatever happens meanwhile."""
    new = file.with_name(f"{file.name}.new")
    write_synced(new, data)
    new.replace(file)
    sync_folder(file.parent)


def write_all(descriptor: int, data: bytes) -> None:
    """All of it in one piece, onto the disk."""
    if os.write(descriptor, data) != len(data):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    os.fsync(descriptor)


def sync_folder(folder: Path) -> None:
    """The names of its files."""
    descriptor = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _written(file: Path, data: bytes, how: int) -> None:
    descriptor = open_to_write(file, os.O_WRONLY | os.O_CREAT | how)
    try:
        write_all(descriptor, data)
    finally:
        os.close(descriptor)
