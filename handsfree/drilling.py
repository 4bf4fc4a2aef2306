"""The commands `drill` and `score`: practice, and what it came to."""

from __future__ import annotations

import dataclasses
import hashlib
import secrets
import shlex
from collections.abc import Mapping
from contextlib import ExitStack
from pathlib import Path
from typing import Annotated, Any

import typer

from handsfree.book import course_of
from handsfree.checklist.loading import load, read
from handsfree.checklist.models import Checklist, Practice
from handsfree.drill.attempt import Attempt, attempt_of
from handsfree.drill.composing import completed, composed
from handsfree.drill.exercise import Difficulty, Exercise, Stock, exercise_as_file, load_exercise, load_stock
from handsfree.drill.feedback import feedback
from handsfree.drill.progress import as_text, progress
from handsfree.drill.score import FULL, Score
from handsfree.drill.score import score as count
from handsfree.journal.privacy import KEPT_DAYS
from handsfree.journal.reader import CHECKLIST_NAME, EXERCISE_NAME, Journal
from handsfree.journal.reader import read as read_log
from handsfree.resources import exercise_names, find_checklist, find_exercise, find_stock
from handsfree.session import Practised
from handsfree.terminal import fail, row_out
from handsfree.walking import (
    AudioOption,
    ChecklistArgument,
    ClipsOption,
    HeadsetOption,
    KeepClipsOption,
    LogOption,
    LoudspeakerOption,
    Means,
    MicrophoneOption,
    ModelOption,
    RateOption,
    SilentOption,
    TypedOption,
    VoiceOption,
    VolumeOption,
    WhoOption,
    equipped,
    forget_voices,
    given_options,
    new_folder,
    new_log,
    plain_console,
    practice_folder,
    prepared_book,
    refuse_contradictions,
    refuse_odd_name,
    source_of,
    take_leave,
    told_to_end,
    until_told,
    voice_settings,
)

_MOST_SEEDS = 1_000_000


def drill(  # noqa: PLR0913, PLR0917  # one option a setting
    context: typer.Context,
    checklist: ChecklistArgument = "twin-turboprop",
    guided: Annotated[bool, typer.Option("--guided", help="Hear what to look for, and why.")] = False,
    from_memory: Annotated[
        bool, typer.Option("--from-memory", help="No questions: say where you are, then what you find.")
    ] = False,
    exercise: Annotated[str | None, typer.Option(help="An exercise's name or file; see --list.")] = None,
    seed: Annotated[int | None, typer.Option(help="Make the exercise of this number anew; else one by chance.")] = None,
    stock: Annotated[
        Path | None, typer.Option(help="A file of scenes to choose from; else those that come with the program.")
    ] = None,
    difficulty: Annotated[int, typer.Option(help="Of an exercise by chance: 1 to 3.", min=1, max=3)] = 1,
    bare: Annotated[bool, typer.Option("--bare", help="Without scenes, to learn the words.")] = False,
    show: Annotated[bool, typer.Option("--list", help="List the exercises of the checklist, and end.")] = False,
    typed: TypedOption = False,
    audio: AudioOption = None,
    log: LogOption = None,
    who: WhoOption = "",
    voice: VoiceOption = "en",
    rate: RateOption = 150,
    volume: VolumeOption = 1.0,
    microphone: MicrophoneOption = None,
    loudspeaker: LoudspeakerOption = None,
    silent: SilentOption = False,
    headset: HeadsetOption = False,
    clips: ClipsOption = True,
    keep_clips: KeepClipsOption = KEPT_DAYS,
    model: ModelOption = None,
) -> None:
    """Practise a walk: scenes are described, you decide, and a score says why.

    Examples:  handsfree drill --guided  |  handsfree drill --exercise first-look  |  handsfree drill --from-memory
    """
    from handsfree.walk.events import Begin  # noqa: PLC0415

    given = given_options(context)
    refuse_contradictions(given)
    settings = voice_settings(voice, rate, volume, named="voice" in given)
    refuse_odd_name(who)
    if guided and from_memory:
        fail("--guided and --from-memory do not go together", "leave one of them out")
    practice: Practice = "guided" if guided else "memory" if from_memory else "scenes"
    file = find_checklist(checklist)
    source, text = read(file), file.read_bytes()
    if show:
        _list(source.checklist, _stock(source.checklist, stock))
        return
    chosen = None if bare else _exercise(source.checklist, _stock(source.checklist, stock), exercise, seed, difficulty)
    book = prepared_book(source, course_of(practice, chosen))
    means = Means(source_of(typed, audio), audio, silent, settings, microphone, loudspeaker, headset, model)
    console = plain_console()
    forget_voices(keep_clips, console)
    registration = source.checklist.aircraft.registration.example
    begin = Begin(who, registration, full_prompts=guided, level_check=means.kind == "microphone")
    written = exercise_as_file(chosen) if chosen else None
    if chosen:
        console.print(f"Exercise: {chosen.title}", soft_wrap=True)
    with told_to_end() as told, ExitStack() as stack:
        equipment = equipped(stack, book, means, console)
        writer = new_log(stack, log or new_folder(practice_folder(), source.checklist.id), text, written)
        session = equipment.session(book, writer, keep_clips=clips)
        practised = Practised(chosen.id, hashlib.sha256(written).hexdigest()) if chosen and written else None
        digest = hashlib.sha256(text).hexdigest()
        ended = until_told(told, console, lambda: session.begin(begin, digest, means.kind, practised))
        if ended:
            attempt, points = _scored(read_log(writer.folder), source.checklist, chosen, {})
            for sentence in feedback(attempt, points, source.checklist):
                equipment.screen.said(sentence)
                equipment.mouth.say(sentence)
    go_on = shlex.join(["handsfree", "walk", "--resume", "--log", str(writer.folder)])
    take_leave(writer, console, go_on="" if ended else go_on)
    console.print(f"Why:  handsfree score {shlex.quote(str(writer.folder))}", soft_wrap=True)


def score(
    logs: Annotated[list[Path], typer.Argument(help="Folders of practised walks, in the order of the attempts.")],
    reference: Annotated[
        Path | None, typer.Option(help="The walk of somebody who knows the job: time in each zone is held against it.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object an attempt, for machines.")] = False,
) -> None:
    """Say what practice came to: points, each that was lost with its event, and how well defects were told apart.

    Example:  handsfree score practice/20260101T080000Z-twin-turboprop --reference walks/20260101T060000Z-twin-turboprop
    """
    usual: Mapping[str, float] = _seconds(reference) if reference else {}
    scores: list[Score] = []
    for log in logs:
        journal = read_log(log)
        checklist = load(journal.folder / CHECKLIST_NAME, journal.language)
        opened = journal.opened
        if opened is None or not opened.practice:
            fail(f"{log} is not of a practised walk", "handsfree summary shows what was found on a real one")
        exercise = load_exercise(journal.folder / EXERCISE_NAME, checklist) if opened.exercise else None
        attempt, points = _scored(journal, checklist, exercise, usual)
        row_out(_row(attempt, points) | {"log": str(log)}, as_json, *_lines(attempt, points))
        scores.append(points)
    if len(scores) > 1:
        made = progress(scores)
        row_out({"progress": dataclasses.asdict(made)}, as_json, *as_text(made))


def _list(checklist: Checklist, stock: Stock | None) -> None:
    for name in exercise_names(checklist.id):
        one = load_exercise(find_exercise(name, checklist.id), checklist, stock)
        row_out({}, False, f"{name:20} {one.title}")


def _exercise(
    checklist: Checklist, stock: Stock | None, name: str | None, seed: int | None, difficulty: int
) -> Exercise:
    if name is not None:
        exercise = load_exercise(find_exercise(name, checklist.id), checklist, stock)
        return completed(exercise, stock, checklist) if stock else exercise
    if stock is None:
        fail(f"there are no scenes for {checklist.id}", "give --stock FILE or --exercise FILE, or practise with --bare")
    hardness: Difficulty = 1 if difficulty == 1 else 2 if difficulty == 2 else 3  # noqa: PLR2004
    return composed(checklist, stock, secrets.randbelow(_MOST_SEEDS) if seed is None else seed, hardness)


def _stock(checklist: Checklist, given: Path | None) -> Stock | None:
    file = given or find_stock(checklist.id)
    return load_stock(file, checklist) if file else None


def _scored(
    journal: Journal, checklist: Checklist, exercise: Exercise | None, usual: Mapping[str, float]
) -> tuple[Attempt, Score]:
    attempt = attempt_of(journal.events, checklist, exercise)
    return attempt, count(attempt, checklist, usual)


def _seconds(reference: Path) -> Mapping[str, float]:
    journal = read_log(reference)
    return attempt_of(journal.events, load(journal.folder / CHECKLIST_NAME, journal.language), None).seconds_by_zone


def _row(attempt: Attempt, points: Score) -> dict[str, Any]:
    return {
        "who": attempt.who,
        "exercise": attempt.exercise,
        "practice": attempt.practice,
        "ended": attempt.ended,
        "points": points.points,
        "lost": [dataclasses.asdict(one) for one in points.lost],
        "counts": dataclasses.asdict(points.counts),
        "detection": dataclasses.asdict(points.detection),
        "order": dataclasses.asdict(points.order),
        "left_out": list(attempt.left_out),
        "seconds_by_zone": dict(attempt.seconds_by_zone),
        "asked_again": attempt.asked_again,
        "utterances": attempt.utterances,
        "speech_over_noise_db": attempt.speech_over_noise_db,
    }


def _lines(attempt: Attempt, points: Score) -> list[str]:
    counts, found = points.counts, points.detection
    lines = [
        f"{attempt.who or 'not given'}, {attempt.exercise or 'no exercise'}: {points.points} of {FULL} points"
        + ("" if attempt.ended else " so far: it is not over"),
        f"  defects: {counts.hits} found, {counts.misses} passed; sound: {counts.correct_rejections} passed, "
        f"{counts.false_alarms} called wrong",
    ]
    if found.d_prime is not None:
        low, high = found.d_prime.low, found.d_prime.high
        lines.append(f"  told apart: d' {found.d_prime.value:.2f} ({low:.2f} to {high:.2f})")
    for one in sorted(points.lost, key=lambda lost: (lost.event is None, lost.event or 0)):
        where = f"event {one.event}" if one.event else ""
        lines.append(f"  -{one.points:<3} {where:10} {one.reason}")
    return lines
