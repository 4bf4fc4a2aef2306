"""The commands: what goes wrong is one line and a way out; what machines read keeps its shape."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import wave
from pathlib import Path

import numpy as np
import pytest

from handsfree.hearing import recogniser as recogniser_module
from handsfree.hearing.settings import PhraseCosts
from tests.support.commands import BAD_INPUT, INTERRUPTED, SMALL, TO_THE_END, Commands, Ran
from tests.support.sounds import Sound, in_noise, joined, quiet, speech

ROOT = Path(__file__).parents[1]
START = [sys.executable, "-c", "from handsfree.cli import main; main()"]


# ---- checklists


@pytest.mark.parametrize(
    "command", [("walk", "none.yaml", "--typed"), ("phrases", "none.yaml"), ("check", "none.yaml")]
)
def test_a_checklist_that_is_not_there(run: Commands, command: tuple[str, ...]) -> None:
    run(*command).failed('there is no checklist "none.yaml"')


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("format: 1\nid: small\n  title: wrong\n", "3"),
        ((ROOT / "tests" / "data" / "small.yaml").read_text(encoding="utf-8") + "colour: red\n", "colour"),
        ("", "broken.yaml"),
    ],
    ids=["not yaml", "a field too many", "empty"],
)
def test_a_broken_checklist_names_its_place(run: Commands, tmp_path: Path, text: str, message: str) -> None:
    file = tmp_path / "broken.yaml"
    file.write_text(text, encoding="utf-8")
    log = tmp_path / "walk"
    ran = run("walk", file, "--typed", "--log", log)
    ran.failed(message)
    assert str(file) in ran.err
    assert not log.exists(), "nothing was begun"


@pytest.mark.parametrize("command", ["phrases", "hear"])
def test_an_unknown_item(run: Commands, command: str) -> None:
    ran = run(command, SMALL, "wing-tip", *(["x.wav"] if command == "hear" else []))
    ran.failed("the checklist has no item 'wing-tip'")
    assert "nose-gear" in ran.err


# ---- the speech model


def test_a_model_that_is_not_there(run: Commands, tmp_path: Path) -> None:
    run("hear", SMALL, "nose-gear", "x.wav", "--model", tmp_path / "nowhere").failed("no speech model in")


def test_a_model_that_is_damaged(run: Commands, tmp_path: Path, model: Path) -> None:
    damaged = tmp_path / "model"
    shutil.copytree(model, damaged)
    file = max((one for one in damaged.rglob("*") if one.is_file()), key=lambda one: one.stat().st_size)
    file.write_bytes(file.read_bytes()[:1000])
    for command in (
        ("hear", SMALL, "nose-gear", "x.wav"),
        ("check", SMALL),
        ("walk", SMALL, "--silent", "--audio", "x"),
    ):
        run(*command, "--model", damaged).failed(str(damaged))


# ---- sound


@pytest.mark.skipif(Path("/dev/snd").exists(), reason="this machine has a sound card")
@pytest.mark.parametrize("command", [["walk", SMALL, "--silent"], ["walk", SMALL], ["devices"]])
def test_no_sound_device(tmp_path: Path, model: Path, command: list[str]) -> None:
    silent = os.environ | {"PULSE_SERVER": "unix:/nonexistent", "XDG_RUNTIME_DIR": str(tmp_path)}
    homes = {"XDG_DATA_HOME": str(tmp_path / "data"), "HANDSFREE_MODEL": str(model)}
    done = subprocess.run([*START, *command], cwd=ROOT, env=silent | homes, capture_output=True, text=True, check=False)
    Ran(done.returncode, done.stdout, done.stderr).failed("there is no")
    assert not (tmp_path / "data").exists(), "nothing was begun"


@pytest.mark.parametrize(
    ("content", "message"),
    [(b"", "is empty"), (b"not sound at all", "is not a sound recording"), (None, "cannot be read")],
    ids=["empty", "not audio", "not there"],
)
def test_a_recording_that_is_none(
    run: Commands, tmp_path: Path, model: Path, content: bytes | None, message: str
) -> None:
    file = tmp_path / "answer.wav"
    if content is not None:
        file.write_bytes(content)
    run("hear", SMALL, "nose-gear", file, "--model", model).failed(message)
    run("walk", SMALL, "--silent", "--audio", file, "--model", model, "--log", tmp_path / "walk").failed(message)
    assert not (tmp_path / "walk").exists(), "nothing was begun"


def wav(path: Path, sound: Sound, rate: int = 16_000, channels: int = 1) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(np.repeat(sound, channels).astype("<i2").tobytes())
    return path


def answer(text: str) -> Sound:
    return joined(quiet(0.5), speech(text), quiet(1.6))


def test_telephone_quality_and_stereo_are_heard_too(run: Commands, tmp_path: Path, model: Path) -> None:
    sound = answer("worn on tyre two")
    low = wav(tmp_path / "low.wav", sound[::2], rate=8000)
    stereo = wav(tmp_path / "stereo.wav", sound, channels=2)
    rows = run("hear", SMALL, "nose-gear", low, stereo, "--json", "--model", model).rows
    assert [row["said"] for row in rows] == ["worn on tyre two", "worn on tyre two"]


def test_what_hear_says_has_a_stable_shape(run: Commands, tmp_path: Path, model: Path) -> None:
    finding = wav(tmp_path / "finding.wav", answer("worn on tyre two"))
    several = wav(tmp_path / "several.wav", answer("worn on tyre two, no leak"))
    nothing = wav(tmp_path / "nothing.wav", quiet(2.0))
    ran = run("hear", SMALL, "nose-gear", finding, several, nothing, "--json", "--model", model)
    assert ran.code == 0
    one, two, none = ran.rows
    assert list(one) == ["file", "outcome", "said", "meaning", "confidence", "snr_db", "decided_after_s"]
    assert {key: one[key] for key in ("file", "outcome", "said", "meaning")} == {
        "file": str(finding),
        "outcome": "finding",
        "said": "worn on tyre two",
        "meaning": {"finding": "worn", "item": "nose-gear", "number": "2"},
    }
    assert 0 < one["confidence"] <= 1
    assert one["snr_db"] > 10
    assert 0 < one["decided_after_s"] < 2
    assert (two["outcome"], two["said"]) == ("finding", "worn on tyre two, no leak")
    assert two["meaning"] == {"clauses": [one["meaning"], {"covers": "leaks", "item": "nose-gear"}]}
    assert list(none) == list(one)
    assert (none["outcome"], none["said"], none["meaning"]) == ("none", "", None)


def test_hear_takes_each_file_by_itself_with_one_model(
    run: Commands, tmp_path: Path, model: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is learnt of the noise in one file must not change what is heard in the next."""
    loaded: list[Path] = []

    class Counted(recogniser_module.VoskRecogniser):
        def __init__(self, path: Path, costs: PhraseCosts) -> None:
            loaded.append(path)
            super().__init__(path, costs)

    monkeypatch.setattr(recogniser_module, "VoskRecogniser", Counted)
    loud = wav(tmp_path / "loud.wav", in_noise(answer("nose gear serviceable"), 3.0))
    clean = wav(tmp_path / "clean.wav", answer("worn on tyre two"))
    files = [clean, loud, clean, loud, loud, clean]
    together = run("hear", SMALL, "nose-gear", *files, "--json", "--model", model).rows
    assert len(loaded) == 1
    alone = {file: run("hear", SMALL, "nose-gear", file, "--json", "--model", model).rows[0] for file in (loud, clean)}
    for file, row in zip(files, together, strict=True):
        for key in ("file", "outcome", "said", "meaning", "snr_db"):
            assert row[key] == alone[file][key], key
    assert alone[clean]["snr_db"] > alone[loud]["snr_db"] + 10


def test_a_walk_takes_its_answers_from_a_recording(run: Commands, tmp_path: Path, model: Path) -> None:
    sound = joined(answer("negative"), answer("covers off"), answer("worn on tyre two"), answer("affirm"))
    recording = wav(tmp_path / "answers.wav", sound)
    log = tmp_path / "walk"
    ran = run("walk", SMALL, "--silent", "--audio", recording, "--model", model, "--log", log, "--who", "AB",
              "--registration", "Q7KTA")  # fmt: skip
    assert ran.code == INTERRUPTED
    (summary,) = run("summary", log, "--json").rows
    assert summary["passed"] == 1
    assert [(one["item"], one["description"], one["confirmed"]) for one in summary["findings"]] == [
        ("nose-gear", "worn, tyre two", True)
    ]
    assert len(list((log / "clips").iterdir())) == 4


# ---- what can be said


def test_what_phrases_lists_has_a_stable_shape(run: Commands) -> None:
    rows = run("phrases", SMALL, "nose-gear", "--json").rows
    assert all(list(row) == ["item", "phrase", "outcome", "meaning"] for row in rows)
    assert {row["item"] for row in rows} == {"nose-gear"}
    assert {row["outcome"] for row in rows} == {"pass", "finding", "control"}
    said = {row["phrase"]: row["meaning"] for row in rows}
    assert len(said) == len(rows)
    assert said["cut on tyre two"] == {"finding": "cut", "item": "nose-gear", "number": "2"}
    assert said["dry"] == {"covers": "leaks", "item": "nose-gear"}
    assert said["say again"] == {"control": "say_again"}
    assert said["damage"] == {"finding": "damage", "item": "nose-gear"}


@pytest.mark.parametrize(("item", "good"), [("tyre-pressure", "175 to 195"), ("covers-in-hand", "4")])
def test_for_people_a_number_is_listed_with_its_limits(run: Commands, item: str, good: str) -> None:
    (line,) = [line for line in run("phrases", SMALL, item).out.splitlines() if line.startswith("  value ")]
    assert line.endswith(f"(good is {good})")


def test_phrases_of_all_items_come_item_by_item(run: Commands) -> None:
    items = [row["item"] for row in run("phrases", SMALL, "--json").rows]
    assert list(dict.fromkeys(items)) == ["pitot-covers", "nose-gear", "taxi-light", "pressure-on", "brake-pins",
        "brake-lines", "tyre-pressure", "fire-disc", "pressure-off", "fuel-caps", "covers-in-hand"]  # fmt: skip
    assert items == sorted(items, key=list(dict.fromkeys(items)).index)


def test_phrases_of_other_places_are_shown_when_asked_for(run: Commands) -> None:
    rows = run("phrases", SMALL, "nose-gear", "--everywhere", "--json").rows
    reports = [row for row in rows if "place" in row["meaning"]]
    assert reports
    assert all(row["outcome"] == "finding" for row in reports)


def test_for_people_phrases_lists_what_is_taught_and_counts_the_rest(run: Commands) -> None:
    every = run("phrases", SMALL, "nose-gear", "--json").rows
    ran = run("phrases", SMALL, "nose-gear")
    item, *outcomes, rest = ran.out.splitlines()
    assert item == "nose-gear"
    listed = {line.split()[0]: line.split(maxsplit=1)[1].split(", ") for line in outcomes}
    assert "nose gear serviceable" in listed["pass"]
    assert "cut" in listed["finding"]
    assert not [phrase for phrase in listed["finding"] if "not" in phrase.split() or "tyre" in phrase]
    assert rest == f"  … and {len(every) - sum(map(len, listed.values()))} more; --all or --json shows every one"


def test_people_too_can_see_every_phrase(run: Commands) -> None:
    every = [row["phrase"] for row in run("phrases", SMALL, "nose-gear", "--json").rows]
    lines = run("phrases", SMALL, "nose-gear", "--all").out.splitlines()
    assert [line.split(maxsplit=2)[2] for line in lines] == every
    assert len(run("phrases", SMALL, "nose-gear", "--everywhere").out.splitlines()) > len(every)


# ---- walks and their logs


def test_a_whole_walk_ends_well(run: Commands, tmp_path: Path) -> None:
    ran = run.walk(tmp_path / "walk", TO_THE_END)
    assert ran.code == 0
    assert f"Log: {tmp_path / 'walk'}" in ran.out
    assert "Walk complete." in ran.out


def test_a_walk_that_breaks_off_says_how_to_go_on_and_goes_on(run: Commands, tmp_path: Path) -> None:
    log = tmp_path / "walk"
    first = run.walk(log, TO_THE_END[:4])
    assert first.code == INTERRUPTED
    assert "handsfree walk --resume --log" in first.out
    second = run.walk(log, ["affirm", *TO_THE_END[4:]], "--resume")
    assert second.code == 0
    assert "Last answer: hydraulic pressure, pressure on. Affirm?" in second.out
    assert run("summary", log, "--json").rows[0]["outcome"] == "complete"


def test_resume_takes_the_newest_unfinished_walk(run: Commands, tmp_path: Path) -> None:
    walks = tmp_path / "data" / "handsfree-walkaround" / "walks"
    run.walk(walks / "20260101T080000Z-small", TO_THE_END[:2])
    run.walk(walks / "20260102T080000Z-small", TO_THE_END[:4])
    run.walk(walks / "20260103T080000Z-small", TO_THE_END)
    never_begun = walks / "20260104T080000Z-small"
    never_begun.mkdir()
    (never_begun / "log.jsonl").write_bytes(b'{"v":1,"se')
    ran = run("walk", "--resume", "--typed", typed=["affirm"])
    assert "20260102T080000Z-small" in ran.out


def test_nothing_to_resume(run: Commands, tmp_path: Path) -> None:
    run("walk", "--resume", "--typed").failed("there is no unfinished walk")
    run("walk", "--resume", "--typed", "--log", tmp_path / "none").failed("no log can be read")


def test_a_walk_is_not_written_over(run: Commands, tmp_path: Path) -> None:
    run.walk(tmp_path / "walk", TO_THE_END[:3])
    before = (tmp_path / "walk" / "log.jsonl").read_bytes()
    run.walk(tmp_path / "walk", TO_THE_END).failed("holds a walk already")
    assert (tmp_path / "walk" / "log.jsonl").read_bytes() == before


def test_a_log_that_was_cut_off_is_read_and_gone_on_with(run: Commands, tmp_path: Path) -> None:
    log = tmp_path / "walk"
    run.walk(log, TO_THE_END[:3])
    file = log / "log.jsonl"
    file.write_bytes(file.read_bytes() + b'{"v":1,"seq":99,"ti')
    ran = run("summary", log, "--json")
    assert ran.code == 0
    assert ran.rows[0]["passed"] == 2
    assert "the last line was cut off and does not count (19 bytes)" in ran.err
    assert run.walk(log, ["affirm", *TO_THE_END[3:]], "--resume").code == 0
    assert run("summary", log, "--json").rows[0]["passed"] == 10


def test_an_altered_log_is_refused(run: Commands, tmp_path: Path) -> None:
    log = tmp_path / "walk"
    run.walk(log, TO_THE_END[:3])
    lines = (log / "log.jsonl").read_bytes().splitlines(keepends=True)
    (log / "log.jsonl").write_bytes(b"".join([*lines[:4], *lines[5:]]))
    summary = run("summary", log)
    summary.failed("line 5: number 6 where 5 was due")
    assert "keep the folder as it is" in summary.err
    assert "begin a new walk with --log" in summary.err
    run.walk(log, ["affirm"], "--resume").failed("line 5")


def test_a_log_without_its_checklist_is_refused(run: Commands, tmp_path: Path) -> None:
    log = tmp_path / "walk"
    run.walk(log, TO_THE_END[:3])
    (log / "checklist.yaml").unlink()
    run("summary", log).failed("checklist.yaml")
    run.walk(log, ["affirm"], "--resume").failed("checklist.yaml")


def test_a_place_where_nothing_can_be_written(run: Commands, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    run.walk(tmp_path / "file" / "walk", TO_THE_END).failed("cannot be written")


@pytest.mark.parametrize("folder", ["a.wav", "a.wav/walk"])
def test_a_file_where_the_log_is_to_be(run: Commands, tmp_path: Path, folder: str) -> None:
    (tmp_path / "a.wav").write_bytes(b"sound")
    ran = run.walk(tmp_path / folder, TO_THE_END)
    ran.failed("cannot be written")
    assert "a file of that name is in the way: give a folder" in ran.err
    assert "free space" not in ran.err
    assert (tmp_path / "a.wav").read_bytes() == b"sound"


@pytest.mark.parametrize("command", ["summary", "debrief", "verify", "replay"])
def test_a_checklist_in_the_place_of_a_log(run: Commands, tmp_path: Path, command: str) -> None:
    file = tmp_path / "mine.yaml"
    shutil.copyfile(SMALL, file)
    ran = run(command, file)
    ran.failed(f"{file} is no log of a walk")
    assert "give the folder of a walk, or its log.jsonl" in ran.err
    damaged = tmp_path / "log.jsonl"
    damaged.write_bytes(file.read_bytes())
    assert "is no log of a walk" not in run(command, damaged).err, "what has the name of a log may be a damaged one"


def test_what_the_summary_says_has_a_stable_shape(run: Commands, tmp_path: Path) -> None:
    run.walk(tmp_path / "walk", ["negative", "covers off", "cut on tyre two", "affirm"])
    (summary,) = run("summary", tmp_path / "walk", "--json").rows
    assert list(summary) == [
        "who", "registration", "checklist", "outcome", "findings", "passed", "not_answered", "not_understood",
        "unclear", "holds_active", "withdrawn", "seconds", "heard", "speech_over_noise", "decision",
        "decision_by", "refer",
    ]  # fmt: skip
    (finding,) = summary["findings"]
    assert list(finding) == ["severity", "item", "name", "description", "words", "ata", "confirmed", "time"]
    assert summary["who"] == "AB"
    assert summary["registration"] == "Q7KTA"
    assert finding["time"].endswith("Z")


def test_a_registration_of_another_operator(run: Commands, tmp_path: Path) -> None:
    log = tmp_path / "walk"
    ran = run("walk", SMALL, "--typed", "--log", log, "--registration", "G-ABCD")
    ran.failed("'G-ABCD' is no registration of this operator")
    assert not log.exists(), "nothing was begun"


@pytest.mark.parametrize(
    ("options", "message", "remedy"),
    [
        (["--typed", "--audio", "x.wav"], "--typed and --audio do not go together", "leave one of them out"),
        (["--typed", "--headset"], "--typed and --headset do not go together", "leave one of them out"),
        (["--audio", "x.wav", "--microphone", "usb"], "--audio and --microphone", "leave one of them out"),
        (["--typed", "--volume", "5"], "a volume of 5.0 is not between 0 and 1", "walk --help"),
        (["--typed", "--volume", "nan"], "a volume of nan is not between 0 and 1", "walk --help"),
        (["--typed", "--rate", "5"], "a rate of 5 words a minute is not between", "walk --help"),
        (["--typed", "--voice", "xx-none"], 'has no voice "xx-none"', "lists the voices"),
        (["--typed", "--who", "A\udce9"], "--who is not plain text", "in letters"),
        (["--typed", "--registration", "-"], "'-' is no registration", "Q7KTA"),
        (["--typed", "--given", "fog=yes"], "'fog=yes' answers no question of the start", "the names: night"),
        (
            ["--typed", "--given", "night=perhaps"],
            "'night=perhaps' is neither yes nor no",
            "write night=yes or night=no",
        ),
        (["--typed", "--given", "night=no", "--given", "night=yes"], "answered with yes and with no", "leave one"),
    ],
)
def test_options_that_mean_nothing_are_refused_before_anything_begins(
    run: Commands, tmp_path: Path, options: list[str], message: str, remedy: str
) -> None:
    ran = run("walk", SMALL, "--log", tmp_path / "walk", *options)
    ran.failed(message)
    assert remedy in ran.err
    assert not (tmp_path / "walk").exists(), "nothing was begun"


def test_what_is_given_beforehand_is_read_out_and_not_asked(run: Commands, tmp_path: Path) -> None:
    log = tmp_path / "walk"
    ran = run(
        "walk", SMALL, "--typed", "--log", log, "--who", "AB", "--registration", "Q7KTA", "--given", "night=no",
        typed=["covers off"],
    )  # fmt: skip
    assert "Given beforehand. Night: no." in ran.out
    assert "Is it dark" not in ran.out
    assert run("summary", log, "--json").rows[0]["passed"] == 1
    assert run.walk(log, ["affirm", *TO_THE_END[2:]], "--resume").code == 0, "what was given is in the log"


@pytest.mark.parametrize("option", [["--who", "XX"], ["--registration", "Q7ABC"], ["--given", "night=no"], ["--full"]])
def test_what_a_walk_began_with_is_not_given_anew(run: Commands, tmp_path: Path, option: list[str]) -> None:
    log = tmp_path / "walk"
    run.walk(log, TO_THE_END[:3])
    before = (log / "log.jsonl").read_bytes()
    ran = run.walk(log, TO_THE_END[3:], "--resume", *option)
    ran.failed(f"--resume and {option[0]} do not go together")
    assert f"leave {option[0]} out" in ran.err
    assert (log / "log.jsonl").read_bytes() == before


def typed_bytes(log: Path, typed: bytes) -> subprocess.CompletedProcess[bytes]:
    command = [*START, "walk", SMALL, "--typed", "--log", str(log), "--who", "AB", "--registration", "Q7KTA"]
    return subprocess.run(command, cwd=ROOT, input=typed, capture_output=True, check=False)


def test_bytes_of_another_encoding_do_not_end_a_walk(run: Commands, tmp_path: Path) -> None:
    done = typed_bytes(tmp_path / "walk", b"negative\ncovers off\ndry\xe9\nleak\xe9\naffirm\n")
    assert (done.returncode, done.stderr) == (INTERRUPTED, b"")
    (summary,) = run("summary", tmp_path / "walk", "--json").rows
    assert summary["passed"] == 1, "what is no text may have been a 'not'"
    assert [finding["description"] for finding in summary["findings"]] == ["leak"]


def test_a_sound_file_poured_into_the_keyboard_does_no_harm(run: Commands, tmp_path: Path) -> None:
    sound = wav(tmp_path / "sound.wav", speech("dry")).read_bytes()
    done = typed_bytes(tmp_path / "walk", b"negative\n" + sound)
    assert (done.returncode, done.stderr) == (INTERRUPTED, b"")
    assert not [byte for byte in done.stdout if byte < ord(" ") and byte != ord("\n")], "nothing acts on a terminal"
    (summary,) = run("summary", tmp_path / "walk", "--json").rows
    assert (summary["passed"], summary["findings"]) == (0, [])


def test_a_registration_may_have_a_hyphen_and_small_letters(run: Commands, tmp_path: Path) -> None:
    log = tmp_path / "walk"
    run("walk", SMALL, "--typed", "--log", log, "--who", "AB", "--registration", "q7-kta", typed=TO_THE_END[:2])
    assert run("summary", log, "--json").rows[0]["registration"] == "Q7KTA"


@pytest.mark.parametrize(
    ("stop", "message"),
    [(signal.SIGINT, "by hand"), (signal.SIGTERM, "by SIGTERM"), (signal.SIGHUP, "by SIGHUP")],
    ids=str,
)
def test_stopped_it_says_so_and_can_go_on(tmp_path: Path, stop: signal.Signals, message: str) -> None:
    log = tmp_path / "a walk"
    command = [*START, "walk", SMALL, "--typed", "--log", str(log), "--who", "AB", "--registration", "Q7KTA"]
    command += ["--rate", "120", "--model", "my model"]
    command = ["env", "--default-signal=INT,HUP", *command]  # who runs the tests may have them ignored
    process = subprocess.Popen(
        command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write("negative\ncovers off\n")
    process.stdin.flush()
    assert any("Nose gear, tyres and leaks?" in line for line in iter(process.stdout.readline, ""))
    process.send_signal(stop)
    output, errors = process.communicate(timeout=30)
    assert (process.returncode, errors) == (INTERRUPTED, "")
    assert f"Stopped {message}." in output
    again = f"handsfree walk --resume --log '{log}' --typed --rate 120 --model 'my model'"
    assert output.endswith(f"Go on with:  {again}\n")
    assert (log / "log.jsonl").read_bytes().endswith(b"\n")


# ---- other commands


def test_an_unknown_action_on_the_model(run: Commands) -> None:
    run("model", "dance").failed("there is no action 'dance'")


def test_check_ends_well_only_for_a_good_checklist(run: Commands, tmp_path: Path, model: Path) -> None:
    assert run("check", SMALL, "--model", model).code == 0
    broken = tmp_path / "broken.yaml"
    broken.write_text(Path(SMALL).read_text(encoding="utf-8").replace("kind: hold", "kind: told"), encoding="utf-8")
    ran = run("check", broken, "--model", model)
    assert ran.code == 1
    assert "told" in ran.out


def test_check_says_so_where_words_cannot_be_pronounced(
    run: Commands, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, model: Path
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    ran = run("check", SMALL, "--model", model)
    assert (ran.code, ran.err.count("\n")) == (0, 1)
    assert ran.err.startswith("note: without espeak-ng")


def test_hear_goes_on_after_a_file_that_cannot_be_read(run: Commands, tmp_path: Path, model: Path) -> None:
    bad, good = tmp_path / "not-audio.wav", wav(tmp_path / "answer.wav", speech("dry"))
    bad.write_text("not audio", encoding="utf-8")
    ran = run("hear", SMALL, "nose-gear", bad, good, "--json", "--model", model)
    assert ran.code == BAD_INPUT
    assert "not-audio.wav" in ran.err
    assert [row["file"] for row in ran.rows] == [str(good)]


def test_a_walk_that_is_over_is_not_resumed(run: Commands, tmp_path: Path) -> None:
    run.walk(tmp_path / "walk", TO_THE_END)
    ran = run.walk(tmp_path / "walk", [], "--resume")
    assert ran.code == 0
    assert "is over" in ran.out
