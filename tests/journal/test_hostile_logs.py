"""A walk's folder from somebody else: what lies in it is refused, and nothing outside it is touched."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from handsfree.checklist.loading import load
from handsfree.journal.belonging import refuse_what_is_not_in
from handsfree.journal.disk import digest_of, open_to_write, read_file
from handsfree.journal.errors import JournalError
from handsfree.journal.events import EVENTS
from handsfree.journal.lines import canonical, digest, is_canonical
from handsfree.journal.lock import LOCK_NAME
from handsfree.journal.privacy import forget
from handsfree.journal.reader import MOST_BYTES, AlteredError, is_begun, read
from handsfree.journal.seal import BrokenSealError, read_seal
from handsfree.journal.verification import verify
from handsfree.journal.writer import JournalWriter
from tests.faults.hostile_logs import Template, loosely
from tests.faults.special_files import put, remove
from tests.walk.conversation import SMALL
from tests.walk.performance import finish


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Template:
    return Template.made(tmp_path_factory.mktemp("good") / "walk")


@pytest.fixture
def walk(good: Template, tmp_path: Path) -> Path:
    """The first half of a walk."""
    good.put(tmp_path / "walk", good.log())
    return tmp_path / "walk"


@pytest.fixture
def precious(tmp_path: Path) -> Path:
    """A file that is nobody's business."""
    file = tmp_path / "precious"
    file.write_bytes(b"precious")
    return file


# ---- lines


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"confidence": float("nan")}, "confidence: Input should be a finite number"),
        ({"snr_db": float("inf")}, "snr_db: Input should be a finite number"),
        ({"offset_s": float("-inf")}, "offset_s: Input should be a finite number"),
        ({"time": "0001-01-01T00:00:00.000+23:59"}, "there is no such time in UTC"),
        ({"time": "9999-12-31T23:59:59.000-23:59"}, "there is no such time in UTC"),
    ],
)
def test_a_number_or_a_time_that_cannot_be_written_is_none_to_be_read(
    good: Template, walk: Path, changed: dict[str, Any], message: str
) -> None:
    (walk / "log.jsonl").write_bytes(good.log(written=loosely, **changed))
    with pytest.raises(AlteredError, match=message) as caught:
        read(walk)
    assert caught.value.event == good.heard + 1
    assert (verify(walk).state, verify(walk).altered_at) == ("altered", good.heard + 1)


@pytest.mark.parametrize("figures", [40, 400])
def test_a_number_with_too_many_figures_is_altered(good: Template, walk: Path, figures: int) -> None:
    (walk / "log.jsonl").write_bytes(good.raw("12345", "1" * figures, confidence=12345))
    assert verify(walk).altered_at == good.heard + 2


@pytest.mark.parametrize(
    ("line", "holds"),
    [
        (b'{"a":1,"b":[]}', True),
        (b'{"a":1.5}', True),
        (b'{"a":1.0}', False),
        (b'{"b":1,"a":1}', False),
        (b'{"a": 1}', False),
        (b'{"a":1,"a":1}', False),
        (b'{"a":NaN}', False),
        (b'{"a":1e999}', False),
        (b'{"a":' + b"1" * 400 + b"}", False),
        (b'{"a":' + b"1" * 5000 + b"}", False),
        (b'{"a":"\\ud800"}', False),
        (b"[" * 100_000, False),
        (b"", False),
    ],
)
def test_what_is_written_in_another_way_is_not_canonical(line: bytes, holds: bool) -> None:
    assert is_canonical(line) is holds


def test_a_message_about_a_hostile_line_is_short(good: Template, walk: Path) -> None:
    event = good.events[good.heard] | {"x" * 100_000: 1}
    (walk / "log.jsonl").write_bytes(good.log(event))
    with pytest.raises(AlteredError) as caught:
        read(walk)
    assert len(caught.value.what) < 400


def test_a_log_that_is_too_large_to_be_one_is_not_read(walk: Path) -> None:
    os.truncate(walk / "log.jsonl", MOST_BYTES + 1)
    for look in (read, verify, forget, JournalWriter.reopen):
        with pytest.raises(JournalError, match="larger than 48 MB"):
            look(walk)
    assert is_begun(walk)  # so that no walk is begun over it


# ---- a log about something else


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"type": "left", "item": "nothing", "reason": "asked"}, "no item 'nothing'"),
        ({"type": "zone", "zone": "nothing"}, "no zone 'nothing'"),
        ({"type": "hold", "hold": "nothing", "active": True}, "no hold 'nothing'"),
        (
            {
                "type": "opened",
                "tool": "",
                "checklist": "",
                "checklist_sha256": "",
                "source": "typed",
                "conditions": {"nothing": True},
            },
            "no condition 'nothing'",
        ),
        ({"type": "condition", "condition": "nothing", "holds": True, "assumed": True}, "no condition 'nothing'"),
        ({"type": "servicing", "items": ["nothing"]}, "no item 'nothing'"),
        ({"type": "ended", "outcome": "complete", "open_items": ["nothing"], "holds": []}, "no item 'nothing'"),
        ({"type": "ended", "outcome": "complete", "open_items": [], "holds": ["nothing"]}, "no hold 'nothing'"),
        ({"type": "zone", "zone": "x" * 1000}, "no zone 'x{58} …'"),
    ],
)
def test_what_the_checklist_does_not_have_is_named(fields: dict[str, Any], message: str) -> None:
    event = EVENTS.validate_python({"seq": 7, **fields})
    with pytest.raises(JournalError, match=rf"^walk, event 7: its checklist has {message}"):
        refuse_what_is_not_in(load(SMALL), [event], Path("walk"))


def test_every_event_of_a_walk_belongs_to_its_checklist(good: Template) -> None:
    refuse_what_is_not_in(load(SMALL), read(good.folder).events, good.folder)


# ---- files that are none


def gone_on_with(walk: Path) -> None:
    JournalWriter.reopen(walk)[0].close()


_FILES: dict[str, Callable[[Path], object]] = {
    "log.jsonl": gone_on_with,
    "writer.lock": forget,
    "log.jsonl.torn": finish,
    "seal.json.new": finish,
}  # fmt: skip
"""Files of a walk that are written, and what writes them."""


@pytest.mark.parametrize("name", _FILES)
@pytest.mark.parametrize("to", ["precious", "new"])
def test_nothing_is_written_through_a_link(walk: Path, precious: Path, name: str, to: str) -> None:
    log = walk / "log.jsonl"
    if name == "log.jsonl.torn":
        log.write_bytes(log.read_bytes() + b"half a li")
    if name == "log.jsonl" and to == "precious":
        precious.write_bytes(log.read_bytes())
    before = precious.read_bytes()
    remove(walk / name)
    (walk / name).symlink_to(precious.with_name(to))
    if name == "seal.json.new":
        finish(walk)  # the walk is not kept from its end; it has no seal
        assert verify(walk).state == "unsealed"
    else:
        with pytest.raises(JournalError) as caught:
            _FILES[name](walk)
        assert caught.value.hint
    assert precious.read_bytes() == before
    assert not (precious.with_name("new")).exists()


def begun(walk: Path) -> None:
    JournalWriter.create(walk, b"format: 1\n").close()


@pytest.mark.parametrize("name", ["log.jsonl", "checklist.yaml"])
def test_a_new_walk_is_not_written_through_a_link(tmp_path: Path, precious: Path, name: str) -> None:
    folder = tmp_path / "new"
    folder.mkdir()
    for to in (precious, tmp_path / "nothing"):
        remove(folder / name)
        (folder / name).symlink_to(to)
        with pytest.raises(JournalError):
            JournalWriter.create(folder, b"format: 1\n")
    assert precious.read_bytes() == b"precious"
    assert not (tmp_path / "nothing").exists()


@pytest.mark.parametrize("begin", [begun, gone_on_with])
def test_clips_are_not_kept_behind_a_link(walk: Path, tmp_path: Path, begin: Callable[[Path], object]) -> None:
    (tmp_path / "elsewhere").mkdir()
    remove(walk / "clips")
    (walk / "clips").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(JournalError, match="clips is a link, and no folder"):
        begin(walk)
    assert verify(walk).why == "the folder of its clips is a link to another"


@pytest.mark.parametrize("kind", ["a pipe", "an endless device", "a terabyte", "a link to itself", "a folder"])
def test_what_is_no_file_is_not_read(walk: Path, good: Template, kind: str) -> None:
    clip = good.events[good.heard]["clip"]["file"]
    put(walk / clip, kind)
    assert verify(walk).why == f"the clip {clip} is not the one that was recorded"
    put(walk / "checklist.yaml", kind)
    assert verify(walk).why.startswith("checklist.yaml is not what was walked with: ")
    put(walk / "seal.json", kind)
    with pytest.raises(BrokenSealError, match="cannot be read"):
        read_seal(walk)
    put(walk / "log.jsonl", kind)
    with pytest.raises(JournalError, match="no log can be read"):
        read(walk)


def test_a_clip_that_is_a_link_is_not_followed(walk: Path, good: Template, tmp_path: Path) -> None:
    clip = walk / good.events[good.heard]["clip"]["file"]
    clip.rename(tmp_path / "same.wav")
    clip.symlink_to(tmp_path / "same.wav")
    assert verify(walk).altered_at == good.heard + 1


@pytest.mark.parametrize(
    "seal",
    [
        b"[" * 5000,
        b"x" * 1_000_000,
        b'{"events":' + b"9" * 400 + b',"last_sha256":"' + b"0" * 64 + b'","log_sha256":"' + b"0" * 64
        + b'","signature":null,"signed_by":null,"time":"2026-01-01T00:00:00.000Z","v":1}\n',
        b'{"events":1,"last_sha256":"' + b"0" * 64 + b'","log_sha256":"' + b"0" * 64
        + b'","signature":null,"signed_by":null,"time":"9999-12-31T23:59:59.000-23:59","v":1}\n',
    ],
)  # fmt: skip
def test_a_seal_that_is_none_is_said_to_be_broken(walk: Path, seal: bytes) -> None:
    (walk / "seal.json").write_bytes(seal)
    with pytest.raises(BrokenSealError):
        read_seal(walk)
    assert verify(walk).state == "altered"


def test_voices_in_a_folder_of_another_owner_are_one_clear_error(walk: Path) -> None:
    put(walk / LOCK_NAME, "a folder")
    with pytest.raises(JournalError, match=r"the clips in .* cannot be removed"):
        forget(walk)


# ---- the disk


def test_a_file_is_read_up_to_a_size(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"x" * 100)
    assert read_file(file, 100) == b"x" * 100
    assert digest_of(file, 100) == digest(b"x" * 100)
    for look in (read_file, digest_of):
        with pytest.raises(OSError, match="larger than"):
            look(file, 99)
        with pytest.raises(FileNotFoundError):
            look(tmp_path / "none", 100)


def test_only_a_file_is_opened_to_write(tmp_path: Path) -> None:
    for kind in ("a pipe", "an endless device", "a link to itself"):
        with pytest.raises(OSError, match="is a link or a pipe, and no file"):
            open_to_write(put(tmp_path / "file", kind), os.O_WRONLY | os.O_CREAT)
    remove(tmp_path / "file")
    os.close(open_to_write(tmp_path / "file", os.O_WRONLY | os.O_CREAT))
    assert (tmp_path / "file").stat().st_mode & 0o777 == 0o600


def test_the_template_is_a_good_walk(good: Template, walk: Path) -> None:
    """What is altered above would else pass for altered anyway."""
    assert verify(walk).state == "unsealed"
    assert verify(good.folder).state == "intact"
    assert all(canonical(one) == line for one, line in zip(good.events, good.log().splitlines(), strict=False))
