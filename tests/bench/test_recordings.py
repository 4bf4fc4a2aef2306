"""A folder of recordings with a list of what is said in them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from handsfree.bench.errors import BenchError
from handsfree.bench.recordings import MANIFEST, recordings, speech_end_s, try_recording
from handsfree.bench.trial import Answer, WalkEars
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.hearing.recogniser import RATE
from handsfree.language.heard import Heard
from handsfree.language.vocabulary import Vocabulary
from handsfree.portaudio import AudioError
from tests.support.sounds import joined, quiet, speech, tone

CHECKLIST = Path(__file__).parents[1] / "data" / "three-items.yaml"


@pytest.fixture(scope="module")
def book() -> Book:
    return Book(load(CHECKLIST))


def said(words: str) -> NDArray[np.int16]:
    return joined(quiet(1.0), speech(words, "slt"), quiet(0.2))


def folder(path: Path, *lines: str, heading: str = "file,item,phrase") -> Path:
    """With a recording in it, and the list."""
    soundfile.write(str(path / "one.wav"), said("cut on tyre two"), RATE)
    (path / MANIFEST).write_text("\n".join([heading, *lines, ""]), encoding="utf-8")
    return path


def problem(path: Path, book: Book) -> str:
    with pytest.raises(BenchError) as caught:
        recordings(path, book)
    return f"{caught.value.message}; {caught.value.hint}"


# The list


def test_each_line_is_a_recording_and_what_its_words_mean_at_the_item(tmp_path: Path, book: Book) -> None:
    (one,) = recordings(folder(tmp_path, 'one.wav,tyres,"cut on tyre two"'), book)
    assert one.path == tmp_path / "one.wav"
    assert (one.task.item, one.task.words) == ("tyres", "cut on tyre two")
    assert [meaning.get("number") for meaning in one.task.wanted] == ["2"]


def test_a_list_saved_by_a_spreadsheet_is_read(tmp_path: Path, book: Book) -> None:
    folder(tmp_path)
    (tmp_path / MANIFEST).write_bytes(b"\xef\xbb\xbffile,item,phrase\r\none.wav,tyres,tyres good\r\n")
    assert len(recordings(tmp_path, book)) == 1


@pytest.mark.parametrize(
    ("line", "said_of_it"),
    [
        ("two.wav,tyres,tyres good", 'line 3: there is no file "two.wav"'),
        (",tyres,tyres good", 'line 3: there is no file ""'),
        ("one.wav,wings,tyres good", 'line 3: there is no item "wings"'),
        ("one.wav,tyres,bananas", 'line 3: "bananas" means nothing at tyres'),
        ("one.wav,tyres", 'line 3: "" means nothing at tyres'),
    ],
)
def test_a_line_that_is_wrong_is_named(tmp_path: Path, book: Book, line: str, said_of_it: str) -> None:
    assert said_of_it in problem(folder(tmp_path, "one.wav,tyres,tyres good", line), book)


def test_all_wrong_lines_are_named_at_once(tmp_path: Path, book: Book) -> None:
    told = problem(folder(tmp_path, "a.wav,tyres,tyres good", "one.wav,wings,cut"), book)
    assert "line 2" in told
    assert "line 3" in told


def test_a_list_that_is_none_is_refused(tmp_path: Path, book: Book) -> None:
    assert "cannot be read" in problem(tmp_path, book)
    assert "another heading" in problem(folder(tmp_path, heading="file,words"), book)
    assert "lists no recording" in problem(folder(tmp_path), book)
    (tmp_path / MANIFEST).write_bytes(b"file,item,phrase\n\xff\xfe\n")
    assert "UTF-8" in problem(tmp_path, book)


# The sound


def test_the_end_of_speech_is_where_it_was_loud_last() -> None:
    sound = joined(quiet(1.0), tone(0.5, 3000), tone(1.0, 30), quiet(0.5))
    assert speech_end_s(sound) == pytest.approx(1.5, abs=0.02)
    assert speech_end_s(quiet(2.0)) == 2.0


def test_the_trial_tells_what_was_heard_and_when(tmp_path: Path, book: Book) -> None:
    class Scripted:
        def hear(self, sound: NDArray[np.int16], vocabulary: Vocabulary) -> Answer:
            return Answer(Heard("pass", "tyres good", vocabulary.parse("tyres good").clauses), 4.0, 4.2, 0.1, 5.0, ())

    (one,) = recordings(folder(tmp_path, "one.wav,tyres,cut on tyre two"), book)
    trial = try_recording(Scripted(), one, book)
    assert (trial.voice, trial.condition, trial.verdict, trial.false_pass) == ("one.wav", "recorded", "wrong", True)
    assert trial.decided_after_s == pytest.approx(4.0 - speech_end_s(said("cut on tyre two")), abs=0.001)


def test_what_is_no_recording_is_told(tmp_path: Path, book: Book) -> None:
    (one,) = recordings(folder(tmp_path, "one.wav,tyres,tyres good"), book)
    one.path.write_bytes(b"words")
    with pytest.raises(AudioError, match="is not a sound recording"):
        try_recording(WalkEars(tmp_path), one, book)


def test_real_ears_hear_a_recording(tmp_path: Path, book: Book, model: Path) -> None:
    (one,) = recordings(folder(tmp_path, "one.wav,tyres,cut on tyre two"), book)
    trial = try_recording(WalkEars(model), one, book)
    assert trial.verdict == "right"
    assert trial.decided_after_s is not None
    assert 0.0 < trial.decided_after_s < 2.0
