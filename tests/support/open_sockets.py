"""Whether a program has sockets: by what the kernel holds for it, and by what Python was asked for."""

from __future__ import annotations

import os
import sys
from collections.abc import Generator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any
from unittest import mock

_ASKED = (
    "socket.__new__",
    "socket.bind",
    "socket.connect",
    "socket.sendto",
    "socket.getaddrinfo",
    "socket.gethostbyname",
)


def open_sockets() -> list[str]:
    """Those of this process, whoever opened them: Python, or a library of another language."""
    found: list[str] = []
    for one in Path("/proc/self/fd").iterdir():
        with suppress(OSError):  # one is that of the folder itself
            if (to := str(one.readlink())).startswith("socket:"):
                found.append(to)
    return found


@contextmanager
def no_sockets() -> Generator[None]:
    """From here on to ask for a socket is an error, and at each write to a file none may be open.

    For a process of its own: what Python is asked to watch cannot be unwatched.
    """

    def watch(event: str, arguments: tuple[Any, ...]) -> None:
        if event in _ASKED:
            raise AssertionError(f"{event}{arguments} was asked for")

    def write(descriptor: int, data: bytes) -> int:
        if found := open_sockets():
            raise AssertionError(f"{found} are open")
        return real(descriptor, data)

    real = os.write
    sys.addaudithook(watch)
    with mock.patch.object(os, "write", write):
        yield
