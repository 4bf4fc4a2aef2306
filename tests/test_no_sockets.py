"""Nothing listens and nothing connects: a walk opens no socket at all, unless sound is played or recorded."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from pathlib import Path

from handsfree.journal.reader import read
from tests.support.commands import SMALL, TO_THE_END
from tests.support.no_network import without_network
from tests.support.open_sockets import open_sockets

ROOT = Path(__file__).parents[1]
WATCHED = """
import sys
from pathlib import Path
from tests.support.open_sockets import no_sockets
from handsfree.cli import main
try:
    with no_sockets():
        main()
finally:
    for kind in ("tcp", "tcp6", "udp", "udp6", "raw", "packet"):
        for line in Path("/proc/self/net", kind).read_text().splitlines()[1:]:
            print("SOCKET", kind, line)
"""
"""A program that ends with an error when it asks for a socket; and what the kernel knows of its network."""


def watched(program: str, *arguments: str | Path, typed: str = "") -> subprocess.CompletedProcess[str]:
    """A program in a network of its own, where every socket of that network is its own."""
    command = without_network([sys.executable, "-c", program, *map(str, arguments)])
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    return subprocess.run(command, input=typed, env=environment, capture_output=True, text=True, check=False)


def test_a_whole_typed_walk(tmp_path: Path) -> None:
    typed = "".join(f"{one}\n" for one in ("leave a note", "bird on the apron", *TO_THE_END))
    known = ("--who", "AB", "--registration", "Q7KTA")
    done = watched(WATCHED, "walk", SMALL, "--typed", "--log", tmp_path / "log", *known, typed=typed)
    assert (done.returncode, "SOCKET" in done.stdout) == (0, False), done.stdout + done.stderr
    assert read(tmp_path / "log").ended


def test_the_commands_about_a_record(tmp_path: Path) -> None:
    known = ("--who", "AB", "--registration", "Q7KTA")
    watched(WATCHED, "walk", SMALL, "--typed", "--log", tmp_path / "log", *known, typed="negative\n")
    for command, code in (("verify", 10), ("summary", 0), ("anchor", 0), ("replay --silent", 0), ("forget", 0)):
        done = watched(WATCHED, *command.split(), tmp_path / "log")
        assert (done.returncode, "SOCKET" in done.stdout) == (code, False), done.stdout + done.stderr


def test_the_watch_sees_sockets() -> None:
    """One that sees nothing would let everything pass."""
    asks = WATCHED.replace("        main()", "        import socket; socket.create_server(('127.0.0.1', 0))")
    done = watched(asks)
    assert "was asked for" in done.stderr
    hidden = WATCHED.replace(
        "    with no_sockets():\n        main()", "    import socket; kept = socket.socket(); kept.listen()"
    )
    assert "SOCKET tcp" in watched(hidden).stdout
    with socket.socket():
        assert len(open_sockets()) >= 1
