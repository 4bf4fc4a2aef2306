"""One answer in noise: what is made of it, and when, told with ears that were told beforehand what they will hear."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal

import numpy as np
import pytest
from numpy.typing import NDArray

from handsfree.bench.scene import Condition, make_scene
from handsfree.bench.tasks import Task
from handsfree.bench.trial import BLOCK, Answer, Microphone, Trial, Verdict, try_one, verdict_of
from handsfree.bench.voices import REPORTING_VOICES
from handsfree.checklist.limits import NO_LIMITS, Limits
from handsfree.hearing.recogniser import RATE
from handsfree.language.heard import Heard, HeardOutcome
from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Vocabulary
from tests.bench.made import CUT, GOOD
from tests.support.words import tyres

PASS = Heard("pass", "good", (GOOD,))
FINDING = Heard("finding", "cut", (CUT,))
ASK = Heard("ask", "[unk]")
NONE = Heard("none")
BLOCK_S = BLOCK / RATE
PSI_150, PSI_185 = (Meaning.of("value", item="tyres", value=value) for value in ("150", "185"))
WORN = Meaning.of("finding", item="tyres", finding="worn")


@dataclass
class Scripted:
    """Answers with the next of ``heard``, so many seconds after the beginning of the sound."""

    heard: list[Heard]
    decided_s: float = 3.0
    sounds: list[NDArray[np.int16]] = field(default_factory=list[NDArray[np.int16]])

    def hear(self, sound: NDArray[np.int16], vocabulary: Vocabulary) -> Answer:
        self.sounds.append(sound)
        return Answer(self.heard.pop(0), self.decided_s, self.decided_s + 0.2, 0.5, 4.0, (5.0,))


def tried(ears: Scripted, *wanted: Meaning, limits: Limits = NO_LIMITS) -> Trial:
    task = Task("tyres", "cut on tyre two", wanted, limits)
    return try_one(ears, tyres(), task, REPORTING_VOICES[0], Condition("pink", 5.0), seed=4)


@pytest.mark.parametrize(
    ("outcome", "meanings", "verdict"),
    [
        ("finding", (CUT,), "right"),
        ("finding", (WORN,), "wrong"),
        ("finding", (CUT, WORN), "wrong"),
        ("finding", (), "wrong"),
        ("pass", (CUT,), "wrong"),
        ("ask", (CUT,), "asked"),
        ("none", (), "missed"),
    ],
)
def test_right_is_the_same_outcome_and_the_same_meanings(
    outcome: HeardOutcome, meanings: tuple[Meaning, ...], verdict: Verdict
) -> None:
    assert verdict_of(Heard(outcome, meanings=meanings), (CUT,)) == verdict


def test_the_order_of_clauses_means_nothing() -> None:
    assert verdict_of(Heard("finding", meanings=(CUT, GOOD)), (GOOD, CUT)) == "right"


def test_what_is_right_at_first_is_not_said_again() -> None:
    ears = Scripted([FINDING])
    found = tried(ears, CUT)
    assert (found.verdict, found.second, found.right_within_two) == ("right", None, True)
    assert len(ears.sounds) == 1


@pytest.mark.parametrize(("first", "verdict"), [(ASK, "asked"), (NONE, "missed")])
def test_what_is_not_understood_is_said_again_in_fresh_noise(first: Heard, verdict: Verdict) -> None:
    ears = Scripted([first, FINDING])
    found = tried(ears, CUT)
    assert (found.verdict, found.second, found.right_within_two) == (verdict, "right", True)
    one, another = ears.sounds
    assert len(one) == len(another)
    assert not np.array_equal(one, another)


def test_what_is_wrong_is_not_said_again() -> None:
    """Nobody knows that it was wrong."""
    assert tried(Scripted([Heard("finding", meanings=(WORN,))]), CUT).second is None


@pytest.mark.parametrize("answers", [[PASS], [ASK, PASS], [NONE, PASS]])
def test_a_defect_taken_for_a_pass_at_either_try_is_a_false_pass(answers: list[Heard]) -> None:
    assert tried(Scripted(answers), CUT).false_pass


def test_a_pass_taken_for_a_defect_is_no_false_pass() -> None:
    found = tried(Scripted([FINDING]), GOOD)
    assert (found.false_finding, found.false_pass) == (True, False)


@pytest.mark.parametrize(
    ("spoken", "heard", "false_pass"),
    [
        (CUT, PSI_185, True),
        (CUT, PSI_150, False),
        (PSI_150, PSI_185, True),
        (PSI_150, PSI_150, False),
        (PSI_185, PSI_150, False),
        (GOOD, PSI_185, False),
    ],
    ids=["a defect as a good number", "a defect as a bad number", "a bad number as a good one",
         "a bad number as itself", "a good number as a bad one", "a pass as a good number"],
)  # fmt: skip
def test_a_number_within_its_limits_is_a_pass_and_one_beyond_them_a_defect(
    spoken: Meaning, heard: Meaning, false_pass: bool
) -> None:
    found = tried(
        Scripted([Heard(heard.outcome, meanings=(heard,))]), spoken, limits=Limits(Decimal(170), Decimal(200))
    )
    assert found.false_pass == false_pass
    assert found.defect == (spoken in {CUT, PSI_150})


def test_half_of_two_clauses_is_a_false_pass_when_the_other_half_was_the_defect() -> None:
    assert tried(Scripted([PASS]), GOOD, CUT).false_pass
    assert not tried(Scripted([FINDING]), GOOD, CUT).false_pass


def test_times_run_from_the_true_end_of_speech() -> None:
    found = tried(Scripted([FINDING], decided_s=5.0), CUT)
    end_s = make_scene("cut on tyre two", REPORTING_VOICES[0], Condition("pink", 5.0), 4).speech_end_s
    assert found.decided_after_s == pytest.approx(5.0 - end_s, abs=0.001)
    assert found.answered_after_s == pytest.approx(5.2 - end_s, abs=0.001)


def test_a_decision_before_the_end_of_speech_is_early() -> None:
    early, late = (tried(Scripted([PASS], decided_s=at), CUT) for at in (2.5, 5.0))
    assert (early.cut_off, late.cut_off) == (True, False)
    assert (early.early_and_wrong, late.early_and_wrong) == (True, False)
    assert not tried(Scripted([FINDING], decided_s=2.5), CUT).early_and_wrong


def test_a_missed_answer_has_no_time() -> None:
    found = tried(Scripted([NONE, NONE]), CUT)
    assert (found.decided_after_s, found.answered_after_s, found.cut_off) == (None, None, False)


@pytest.fixture
def at(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """A clock that stands still unless it is told to go on by so many seconds, with others at work or without."""
    now, worked = [0.0], [0.0]
    monkeypatch.setattr(time, "perf_counter", lambda: now[0])
    monkeypatch.setattr(time, "process_time", lambda: worked[0])

    def pass_by(seconds: float, others: float = 0.0) -> None:
        now[0] += seconds + others
        worked[0] += seconds

    return pass_by


def a_second() -> tuple[Microphone, Iterator[NDArray[np.int16]]]:
    microphone = Microphone(np.zeros(RATE, dtype=np.int16))
    return microphone, iter(microphone)


def test_who_is_quick_has_the_answer_when_the_sound_has_come(at: Callable[..., None]) -> None:
    microphone, frames = a_second()
    for _ in range(3):
        next(frames)
        at(0.01)
    answer = microphone.answer(FINDING)
    assert answer.answered_s == pytest.approx(3 * BLOCK_S + 0.01)
    assert (answer.cost_s, answer.audio_s) == (pytest.approx(0.03), pytest.approx(3 * BLOCK_S))
    assert answer.blocks_ms == (10.0, 10.0, 10.0)


def test_who_is_slow_falls_behind(at: Callable[..., None]) -> None:
    microphone, frames = a_second()
    next(frames)
    at(2.5 * BLOCK_S)  # the second and the third block have come by then
    next(frames)
    at(0.01)
    assert microphone.now_s() == pytest.approx(3.5 * BLOCK_S + 0.01)
    next(frames)
    assert microphone.now_s() == pytest.approx(3.5 * BLOCK_S + 0.01)


def test_work_before_the_first_sound_is_not_counted(at: Callable[..., None]) -> None:
    microphone, frames = a_second()
    at(2.0)
    next(frames)
    assert microphone.now_s() == pytest.approx(BLOCK_S)


def test_what_other_programs_take_does_not_count(at: Callable[..., None]) -> None:
    microphone, frames = a_second()
    next(frames)
    at(0.01, others=5.0)
    assert microphone.answer(FINDING).answered_s == pytest.approx(BLOCK_S + 0.01)


def test_the_whole_sound_is_given() -> None:
    sound = np.arange(4000, dtype=np.int16)
    assert np.array_equal(np.concatenate(list(Microphone(sound))), sound)
