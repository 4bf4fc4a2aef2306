"""The commands about a walk's record, from the first key to a forgotten voice."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from handsfree.evidence import EXIT_CODES
from handsfree.journal.verification import STATES
from tests.support.commands import TO_THE_END, Commands


@pytest.fixture
def walk(run: Commands, tmp_path: Path) -> Path:
    ran = run.walk(tmp_path / "walk", TO_THE_END)
    assert ran.code == 0, ran.err
    return tmp_path / "walk"


def test_a_finished_walk_is_intact(run: Commands, walk: Path) -> None:
    ran = run("verify", walk)
    assert ran.code == 0
    assert ran.out.splitlines()[0] == "intact"
    assert "not signed" in ran.out


def test_an_interrupted_walk_is_unsealed(run: Commands, tmp_path: Path) -> None:
    run.walk(tmp_path / "walk", TO_THE_END[:4])
    ran = run("verify", tmp_path / "walk")
    assert ran.code == 10
    assert ran.out.startswith("unsealed: the walk is in progress, or was interrupted")
    assert "handsfree anchor" in ran.out


def test_an_altered_event_is_named_and_has_its_own_code(run: Commands, walk: Path) -> None:
    log = walk / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b"covers off", b"covers 0ff", 1))
    ran = run("verify", walk, "--json")
    assert ran.code == 12
    (row,) = ran.rows
    assert (row["state"], row["altered_at"]) == ("altered", row["events"] + 1)
    assert run("verify", walk).out.startswith(f"altered at event {row['altered_at']}: it does not follow")


def test_cut_short_has_its_own_code(run: Commands, walk: Path) -> None:
    log = walk / "log.jsonl"
    log.write_bytes(b"".join(log.read_bytes().splitlines(keepends=True)[:-2]))
    assert run("verify", walk).code == 11


def test_each_state_has_an_exit_code_of_its_own() -> None:
    assert set(EXIT_CODES) == set(STATES)
    assert len(set(EXIT_CODES.values())) == len(STATES)
    assert not set(EXIT_CODES.values()) & {1, 2, 3}


def test_no_log_is_one_clear_error(run: Commands, tmp_path: Path) -> None:
    for command in ("verify", "anchor", "forget"):
        run(command, tmp_path / "none").failed("no log can be read")


# ---- codes to write down


def test_a_code_read_aloud_is_held_against_the_log_later(run: Commands, walk: Path) -> None:
    code, spoken = run("anchor", walk).out.splitlines()
    assert run("verify", walk, "--anchor", code).code == 0
    assert run("verify", walk, "--anchor", spoken).code == 0
    log = walk / "log.jsonl"
    (walk / "seal.json").unlink()
    log.write_bytes(b"".join(log.read_bytes().splitlines(keepends=True)[:-1]))
    ran = run("verify", walk, "--anchor", code)
    assert (ran.code, code in ran.out) == (11, True)
    (row,) = run("anchor", walk, "--json").rows
    assert row["events"] == int(code.split("-")[0]) - 1


def test_a_code_that_was_misread_is_said_to_be(run: Commands, walk: Path) -> None:
    code = run("anchor", walk).out.splitlines()[0]
    wrong = code[:-1] + ("A" if code[-1] != "A" else "B")
    run("verify", walk, "--anchor", wrong).failed("misread or mistyped")


# ---- keys


def test_a_signed_walk_says_whose_key_it_was(run: Commands, tmp_path: Path) -> None:
    made = run("key", tmp_path / "mine.pem")
    public = made.out.strip()
    assert run("key", tmp_path / "mine.pem", "--show").out.strip() == public
    ran = run.walk(tmp_path / "walk", TO_THE_END, "--sign", tmp_path / "mine.pem")
    assert ran.code == 0, ran.err
    verified = run("verify", tmp_path / "walk", "--signer", public)
    assert (verified.code, f"signed with the key {public}" in verified.out) == (0, True)
    (tmp_path / "mine.pub").write_text(public)
    assert run("verify", tmp_path / "walk", "--signer", tmp_path / "mine.pub").code == 0
    other = run("key", tmp_path / "other.pem").out.strip()
    assert run("verify", tmp_path / "walk", "--signer", other).code == 13
    secret = (tmp_path / "mine.pem").read_text().splitlines()[1]
    for file in (tmp_path / "walk").rglob("*"):
        assert file.is_dir() or secret.encode() not in file.read_bytes(), "the key is in the record"


def test_a_walk_that_is_to_be_signed_is_gone_on_with_by_the_same_key(run: Commands, tmp_path: Path) -> None:
    run("key", tmp_path / "mine.pem")
    run("key", tmp_path / "other.pem")
    walk = tmp_path / "walk"
    run.walk(walk, TO_THE_END[:4], "--sign", tmp_path / "mine.pem")
    run.walk(walk, [], "--resume").failed("is to be signed with the key")
    run.walk(walk, [], "--resume", "--sign", tmp_path / "other.pem").failed("is to be signed with the key")
    ran = run.walk(walk, ("affirm", *TO_THE_END[4:]), "--resume", "--sign", tmp_path / "mine.pem")
    assert ran.code == 0, ran.out + ran.err
    assert run("verify", walk).code == 0


@pytest.mark.parametrize("given", ["none.pem", "AAAA"])
def test_what_is_no_key_is_one_clear_error(run: Commands, walk: Path, tmp_path: Path, given: str) -> None:
    run.walk(tmp_path / "other", [], "--sign", tmp_path / given).failed("cannot be read")
    run("verify", walk, "--signer", given).failed("is no public key")
    assert not (tmp_path / "other").exists(), "nothing was begun"


# ---- going on


def test_another_checklist_beside_the_log_is_refused(run: Commands, tmp_path: Path) -> None:
    walk = tmp_path / "walk"
    run.walk(walk, TO_THE_END[:4])
    copy = walk / "checklist.yaml"
    copy.write_text(copy.read_text(encoding="utf-8").replace("Pitot", "Static"), encoding="utf-8")
    run.walk(walk, [], "--resume").failed("is not the checklist that this walk began with")


def test_a_walk_that_ended_without_its_seal_is_sealed_when_it_is_gone_on_with(run: Commands, walk: Path) -> None:
    (walk / "seal.json").unlink()
    ran = run("verify", walk)
    assert (ran.code, "--resume" in ran.out) == (10, True)
    assert "is over" in run.walk(walk, [], "--resume").out
    assert run("verify", walk).code == 0


# ---- voices


def test_forgetting_says_what_stays(run: Commands, walk: Path) -> None:
    (walk / "clips" / "00005.wav").write_bytes(b"RIFF")
    ran = run("forget", walk)
    assert ran.code == 0
    assert "1 clips removed" in ran.out
    assert f"the words and meanings of {len(TO_THE_END)} utterances" in ran.out
    assert "(AB)" in ran.out
    assert run("verify", walk).code == 0
    assert json.loads(run("forget", walk, "--json").out)["clips"] == 0


def test_old_voices_go_when_a_new_walk_begins(run: Commands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run("walk", "--typed", "--who", "AB", "--registration", "Q7KTA", str(Path(__file__).parent / "data" / "small.yaml"),
        typed=TO_THE_END)  # fmt: skip
    (walk,) = (tmp_path / "data" / "handsfree-walkaround" / "walks").iterdir()
    (walk / "clips" / "00005.wav").write_bytes(b"RIFF")
    assert "were removed" not in run.walk(tmp_path / "second", []).out
    monkeypatch.setenv("HANDSFREE_KEEP_CLIPS", "0")
    assert f"the clips of {walk.name} were removed" in run.walk(tmp_path / "third", []).out
    assert list((walk / "clips").iterdir()) == []
