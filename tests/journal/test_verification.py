"""What was written is intact; whatever was done to it since has its own name."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.journal.anchor import anchor_of
from handsfree.journal.errors import JournalError
from handsfree.journal.events import SilenceEvent
from handsfree.journal.keys import SigningKey
from handsfree.journal.lines import canonical, digest
from handsfree.journal.seal import SEAL_NAME, read_seal, seal_of
from handsfree.journal.verification import verify
from tests.faults.tampering import tamper
from tests.journal.recorded import copied, new_key, reopened, sealed_walk


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> SigningKey:
    return new_key(tmp_path_factory.mktemp("key"))


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory, key: SigningKey) -> Path:
    return sealed_walk(tmp_path_factory.mktemp("kept") / "walk", key)


@pytest.fixture
def walk(kept: Path, tmp_path: Path) -> Path:
    return copied(kept, tmp_path / "walk")


def lines(walk: Path) -> list[bytes]:
    return (walk / "log.jsonl").read_bytes().splitlines(keepends=True)


def test_a_finished_walk_is_intact_and_signed(walk: Path, key: SigningKey) -> None:
    found = verify(walk)
    assert (found.state, found.why, found.signed_by) == ("intact", "", key.public)
    assert found.events == len(lines(walk))
    assert found.clips_kept > 3
    assert (found.clips_removed, found.notes) == (0, ())
    assert verify(walk / "log.jsonl") == found


def test_a_walk_in_progress_is_unsealed_and_never_intact(walk: Path) -> None:
    (walk / SEAL_NAME).unlink()
    whole = lines(walk)
    for count in range(1, len(whole) + 1):
        (walk / "log.jsonl").write_bytes(b"".join(whole[:count]))
        assert verify(walk).state == "unsealed", count


def test_cut_anywhere_a_sealed_log_is_cut_short(walk: Path) -> None:
    raw = (walk / "log.jsonl").read_bytes()
    for size in (*range(0, len(raw), 97), len(raw) - 2, len(raw) - 1):
        (walk / "log.jsonl").write_bytes(raw[:size])
        assert verify(walk).state == "cut short", size


def test_what_follows_the_seal_was_not_there(walk: Path) -> None:
    count = len(lines(walk))
    writer = reopened(walk)
    writer.append([SilenceEvent()])
    writer.close()
    found = verify(walk)
    assert (found.state, found.altered_at) == ("altered", count + 1)


def test_every_kind_of_tampering_is_found(walk: Path) -> None:
    """A sample of what tests/faults.sh tries everywhere."""
    counts = tamper(walk, random.Random(5), every=61)
    assert counts.missed == []
    assert counts.tried > 200


def test_an_altered_event_is_named(walk: Path) -> None:
    whole = lines(walk)
    at = next(number for number, line in enumerate(whole, start=1) if b'"type":"answer"' in line)
    whole[at - 1] = whole[at - 1].replace(b'"kind":"', b'"kind":"x', 1)
    (walk / "log.jsonl").write_bytes(b"".join(whole))
    assert verify(walk).altered_at == at
    whole = lines(walk)
    whole[4] = whole[4].replace(b'"time":"2', b'"time":"1')
    (walk / "log.jsonl").write_bytes(b"".join(whole))
    assert verify(walk).altered_at == 6, "the first line that does not fit is the one after it"


def test_a_forger_who_mends_the_chain_cannot_mend_the_signature(walk: Path, key: SigningKey) -> None:
    """Without a key anybody can write a log that is intact, but not sign it."""
    forged, before = list[bytes](), digest(b"")
    for line in lines(walk):
        event = json.loads(line) | {"prev": before}
        if event["type"] == "answer" and event["kind"] == "finding":
            event["severity"] = "minor"
        forged.append(canonical(event))
        before = digest(forged[-1])
    raw = b"".join(line + b"\n" for line in forged)
    seal = read_seal(walk)
    assert seal is not None
    (walk / "log.jsonl").write_bytes(raw)
    unsigned = seal_of(raw, len(forged), seal.time)
    for made in (
        unsigned,
        unsigned.model_copy(update={"signed_by": seal.signed_by}).completed(),
        unsigned.model_copy(update={"signed_by": seal.signed_by, "signature": seal.signature}).completed(),
    ):
        (walk / SEAL_NAME).write_bytes(made.as_file())
        assert verify(walk).state == "wrongly signed"


def test_another_time_in_a_seal_that_nobody_signed_is_found(tmp_path: Path) -> None:
    """Nothing of the log says when it was sealed."""
    walk = sealed_walk(tmp_path / "walk")
    whole = (walk / SEAL_NAME).read_bytes()
    begin = whole.index(b'"time":"') + len(b'"time":"')
    for at in range(begin, whole.index(b'"', begin)):
        for digit in b"0123456789":
            changed = whole[:at] + bytes([digit]) + whole[at + 1 :]
            (walk / SEAL_NAME).write_bytes(changed)
            assert verify(walk).state == ("intact" if changed == whole else "altered"), changed


def test_another_spelling_of_the_same_signature_is_found(walk: Path) -> None:
    """The last sign of base64 holds four bits that mean nothing (RFC 4648, section 3.5)."""
    whole = (walk / SEAL_NAME).read_bytes()
    last = whole.index(b'=="')
    signs = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"
    for sign in signs:
        changed = whole[: last - 1] + bytes([sign]) + whole[last:]
        (walk / SEAL_NAME).write_bytes(changed)
        assert verify(walk).state == ("intact" if changed == whole else "wrongly signed"), chr(sign)


def test_another_key_than_the_one_expected_is_wrong(walk: Path, key: SigningKey, tmp_path: Path) -> None:
    other = new_key(tmp_path, "other.pem")
    assert verify(walk, signer=key.public).state == "intact"
    assert verify(walk, signer=other.public).state == "wrongly signed"
    seal = read_seal(walk)
    assert seal is not None
    (walk / SEAL_NAME).write_bytes(seal.signed_with(other).as_file())
    assert verify(walk).state == "wrongly signed", "the log says who was to sign"


def test_an_unsigned_walk_is_not_by_anybody(tmp_path: Path, key: SigningKey) -> None:
    walk = sealed_walk(tmp_path / "walk")
    found = verify(walk)
    assert (found.state, found.signed_by) == ("intact", None)
    assert verify(walk, signer=key.public).state == "wrongly signed"


def test_a_code_that_was_written_down_shows_what_came_after_was_cut_off(walk: Path) -> None:
    (walk / SEAL_NAME).unlink()
    whole = lines(walk)
    early, late = anchor_of(whole[9][:-1], 10), anchor_of(whole[-1][:-1], len(whole))
    assert verify(walk, [early, late]).state == "unsealed"
    (walk / "log.jsonl").write_bytes(b"".join(whole[:20]))
    assert verify(walk, [early]).state == "unsealed", "nothing is known of what came after the code"
    found = verify(walk, [early, late])
    assert (found.state, late.written in found.why) == ("cut short", True)
    assert verify(walk, [anchor_of(b"another log", 10)]).state == "altered"


def test_a_removed_clip_leaves_the_rest_verifiable(walk: Path) -> None:
    clips = sorted((walk / "clips").iterdir())
    clips[0].unlink()
    found = verify(walk)
    assert (found.state, found.clips_removed, found.clips_kept) == ("intact", 1, len(clips) - 1)


CHANGES: dict[str, tuple[Callable[[Path], object], str]] = {
    "another sound": (lambda walk: next((walk / "clips").iterdir()).write_bytes(b"RIFF"), "the clip clips/"),
    "another checklist": (lambda walk: (walk / "checklist.yaml").write_bytes(b"format: 1\n"), "checklist.yaml"),
    "a broken seal": (lambda walk: (walk / SEAL_NAME).write_bytes(b"{}"), "the seal"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_what_lies_beside_the_log_is_looked_at_too(walk: Path, change: str) -> None:
    alter, why = CHANGES[change]
    alter(walk)
    found = verify(walk)
    assert (found.state, why in found.why) == ("altered", True)


def test_what_is_no_part_of_the_walk_is_mentioned(walk: Path) -> None:
    (walk / "clips" / "99999.wav").write_bytes(b"something")
    (walk / "checklist.yaml").unlink()
    found = verify(walk)
    assert found.state == "intact"
    assert found.notes == ("checklist.yaml is not there any more", "1 files among the clips belong to no event")


def test_half_a_line_of_an_interrupted_walk_is_mentioned(walk: Path) -> None:
    (walk / SEAL_NAME).unlink()
    with (walk / "log.jsonl").open("ab") as log:
        log.write(b'{"half')
    found = verify(walk)
    assert found.state == "unsealed"
    assert found.notes == ("half a line at its end (6 bytes) was never acknowledged",)


def test_no_log_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(JournalError, match="no log can be read"):
        verify(tmp_path)
