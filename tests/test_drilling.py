"""The commands `drill` and `score`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from handsfree.journal.reader import read
from handsfree.walking import practice_folder
from tests.drill.test_attempt import ROUND
from tests.journal.recorded import sealed_walk
from tests.support.commands import SMALL, TO_THE_END, Commands, Ran

DATA = Path(__file__).parent / "data"
EXERCISE, STOCK = DATA / "small-exercise.yaml", DATA / "small-stock.yaml"


def drill(run: Commands, log: Path, typed: tuple[str, ...], *more: str | Path) -> Ran:
    known = ("--typed", "--who", "AB", "--log", log, "--stock", STOCK)
    return run("drill", SMALL, *known, *(more or ("--exercise", EXERCISE)), typed=typed)


def test_a_round_ends_with_a_few_words_and_says_where_to_read_why(run: Commands, tmp_path: Path) -> None:
    ran = drill(run, tmp_path / "walk", ROUND)
    assert ran.code == 0, ran.err
    assert "Exercise: A small round" in ran.out
    assert "This is practice." in ran.out
    assert "You found all 3 defects." in ran.out
    assert "100 of 100 points." in ran.out
    assert f"handsfree score {tmp_path / 'walk'}" in ran.out


def test_the_log_says_that_it_is_practice_and_holds_the_exercise(run: Commands, tmp_path: Path) -> None:
    drill(run, tmp_path / "walk", ROUND)
    opened = read(tmp_path / "walk").opened
    assert opened is not None
    assert (opened.practice, opened.exercise, opened.registration) == ("scenes", "small-round", "Q7KTA")
    assert run("verify", tmp_path / "walk").code == 0
    kept = tmp_path / "walk" / "exercise.yaml"
    kept.write_text(kept.read_text(encoding="utf-8").replace("defect", "odd"), encoding="utf-8")
    assert run("verify", tmp_path / "walk").code == 12, "the truth was changed afterwards"


def test_a_score_says_why_with_the_event(run: Commands, tmp_path: Path) -> None:
    log = tmp_path / "walk"
    drill(run, log, ("negative", "covers off", "end the walk", "affirm", "no decision"))
    ran = run("score", log)
    assert ran.code == 0
    assert "AB, small-round: " in ran.out
    assert "missed at pitot covers: A bag over the tube stops the airspeed." in ran.out
    (row,) = run("score", log, "--json").rows
    missed = next(one for one in row["lost"] if one["reason"].startswith("missed"))
    event = next(one for one in read(log).events if one.seq == missed["event"])
    assert (event.type, event.item) == ("answer", "pitot-covers")


def test_a_practised_walk_that_was_cut_off_is_gone_on_with(run: Commands, tmp_path: Path) -> None:
    log = tmp_path / "walk"
    ran = drill(run, log, ROUND[:5])
    assert ran.code == 3
    assert f"handsfree walk --resume --log {log}" in ran.out
    run("walk", "--resume", "--log", log, "--typed", typed=("affirm", *ROUND[5:]))
    assert "100 of 100 points" in run("score", log).out


def test_an_exercise_by_chance_is_the_same_for_the_same_seed(run: Commands, tmp_path: Path) -> None:
    for name in ("one", "two", "other"):
        drill(run, tmp_path / name, (), "--seed", "8" if name == "other" else "7", "--difficulty", "3")
    files = [tmp_path / name / "exercise.yaml" for name in ("one", "two", "other")]
    one, two, other = (file.read_text(encoding="utf-8") for file in files)
    assert one == two
    assert json.loads(one)["scenes"] != json.loads(other)["scenes"]


def test_without_scenes_the_words_can_be_practised(run: Commands, tmp_path: Path) -> None:
    ran = drill(run, tmp_path / "walk", TO_THE_END, "--bare", "--guided")
    assert ran.code == 0, ran.err
    assert "Both tubes bare" in ran.out, "what to look for"
    assert not (tmp_path / "walk" / "exercise.yaml").exists()
    assert "no exercise" in run("score", tmp_path / "walk").out


def test_from_memory(run: Commands, tmp_path: Path) -> None:
    typed = ("negative", "pitot covers", "cover on right", "affirm", "end the walk", "affirm", "no decision")
    ran = drill(run, tmp_path / "walk", typed, "--from-memory", "--exercise", EXERCISE)
    assert ran.code == 0, ran.err
    assert "Where are you?" in ran.out
    assert "Pitot covers?" not in ran.out
    assert "left out: nose gear" in run("score", tmp_path / "walk").out


def test_a_reference_says_where_it_was_rushed(run: Commands, tmp_path: Path) -> None:
    drill(run, tmp_path / "walk", ROUND)
    slow = tmp_path / "slow"
    run.walk(slow, TO_THE_END)
    assert run("score", tmp_path / "walk", "--reference", slow).code == 0


def test_what_cannot_be_done(run: Commands, tmp_path: Path) -> None:
    run("drill", "--guided", "--from-memory").failed("--guided and --from-memory do not go together")
    run("drill", SMALL, "--exercise", "none").failed('there is no exercise "none" for small')
    run("drill", SMALL).failed("there are no scenes for small")
    run("drill", SMALL, "--exercise", EXERCISE).failed("the stock has no scene 'cover-left'")
    run.walk(tmp_path / "walk", TO_THE_END)
    run("score", tmp_path / "walk").failed("is not of a practised walk")
    run("score", tmp_path / "nowhere").failed("no log can be read")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("format: 1\nid: x\n", "the field 'title' is missing"),
        ("", "the file is empty"),
        ("- 1\n", "this is no exercise"),
        (EXERCISE.read_text(encoding="utf-8").replace("wing-drip", "wing-drop"), "the stock has no scene 'wing-drop'"),
        (EXERCISE.read_text(encoding="utf-8").replace("brake-lines", "brakes"), "the checklist has no item 'brakes'"),
        (EXERCISE.read_text(encoding="utf-8").replace("checklist: small", "checklist: large"), "this is for 'large'"),
        (EXERCISE.read_text(encoding="utf-8") + "conditions: {fog: true}\n", "the checklist asks no question 'fog'"),
    ],
)
def test_a_broken_exercise_names_its_place(run: Commands, tmp_path: Path, text: str, message: str) -> None:
    file = tmp_path / "broken.yaml"
    file.write_text(text, encoding="utf-8")
    ran = drill(run, tmp_path / "walk", (), "--exercise", file)
    ran.failed(message)
    assert str(file) in ran.err
    assert "the shipped exercises show how" in ran.err
    assert not (tmp_path / "walk").exists(), "nothing was begun"


def test_the_exercises_of_a_checklist_are_listed(run: Commands) -> None:
    ran = run("drill", "--list")
    assert ran.code == 0
    assert len(ran.out.splitlines()) >= 8
    assert "first-look" in ran.out


def test_several_attempts_are_put_in_a_row(run: Commands, tmp_path: Path) -> None:
    for name in ("one", "two"):
        drill(run, tmp_path / name, ROUND)
    ran = run("score", tmp_path / "one", tmp_path / "two")
    assert "over 2 attempts: 100, 100 points" in ran.out
    assert "no learning curve: fewer than 4 attempts" in ran.out
    *_, last = run("score", tmp_path / "one", tmp_path / "two", "--json").rows
    assert last["progress"]["points"] == [100, 100]


def test_voices_of_practice_are_not_kept_longer_than_those_of_walks(
    run: Commands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    old = sealed_walk(practice_folder() / "old")
    assert list((old / "clips").iterdir())
    drill(run, tmp_path / "walk", (), "--bare")
    assert list((old / "clips").iterdir()), "90 days"
    ran = drill(run, tmp_path / "again", (), "--bare", "--keep-clips", "0")
    assert "the clips of old were removed" in ran.out
    assert list((old / "clips").iterdir()) == []
