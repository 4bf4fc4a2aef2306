"""One program writes; a lock ends with whoever held it."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from handsfree.journal.errors import JournalError
from handsfree.journal.lock import LOCK_NAME, WriterLock

HOLD = "import sys, time\nfrom pathlib import Path\nfrom handsfree.journal.lock import WriterLock\n\
lock = WriterLock(Path(sys.argv[1]))\nprint('held', flush=True)\ntime.sleep(60)\n"


def test_who_has_it_is_named(tmp_path: Path) -> None:
    lock = WriterLock(tmp_path)
    with pytest.raises(JournalError, match=rf"another program \(process {os.getpid()} on .*, since 20.*\) is writing"):
        WriterLock(tmp_path)
    lock.release()
    WriterLock(tmp_path).release()


def test_the_lock_of_a_program_that_was_killed_needs_no_clearing(tmp_path: Path) -> None:
    with subprocess.Popen([sys.executable, "-c", HOLD, str(tmp_path)], stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "held\n"
        with pytest.raises(JournalError, match=f"process {other.pid} on"):
            WriterLock(tmp_path)
        other.kill()
        other.wait()
        began = time.monotonic()
        WriterLock(tmp_path).release()
        assert time.monotonic() - began < 1.0
    assert f'"pid": {os.getpid()}' in (tmp_path / LOCK_NAME).read_text()


@pytest.mark.parametrize("note", [b"", b"\xff\xfe", b"[]", b'{"pid":"x","host":1,"since":2}', b'{"pid":1}'])
def test_a_note_that_cannot_be_read_is_left_out(note: bytes, tmp_path: Path) -> None:
    lock = WriterLock(tmp_path)
    (tmp_path / LOCK_NAME).write_bytes(note)
    with pytest.raises(JournalError, match="another program is writing"):
        WriterLock(tmp_path)
    lock.release()


def test_a_hostile_note_does_not_reach_the_terminal(tmp_path: Path) -> None:
    lock = WriterLock(tmp_path)
    (tmp_path / LOCK_NAME).write_text('{"pid": 1, "host": "\\u001b[2J", "since": "\\u0007"}')
    with pytest.raises(JournalError) as caught:
        WriterLock(tmp_path)
    assert caught.value.message.isprintable()
    lock.release()
