"""The whole way from sound to meaning, with the real recogniser and synthetic voices."""

from __future__ import annotations

import subprocess
import sys
import time
import wave
from collections.abc import Iterator
from pathlib import Path

import pytest

from handsfree.hearing.ears import Ears, Utterance
from handsfree.hearing.files import blocks_from_file
from handsfree.hearing.settings import EndpointSettings
from handsfree.language.heard import Heard
from tests.support.sounds import Sound, blocks, in_noise, joined, pink_noise, quiet, speech
from tests.support.words import tyres

ENDPOINT = EndpointSettings()
VOICES = ("en-gb", "en-us", "slt", "awb")
SAID = (
    *("tyres good", "dry", "fuel leak", "leak", "oil leak left", "hydraulic fluid leak right"),
    *("cut on tyre two", "cut on tyre three", "worn left", "worn right", "gash tyre one", "dripping"),
    *("say again", "stand by", "affirm", "correction", "leave for later", "what do I look for"),
)


def heard(ears: Ears, sound: Sound) -> Utterance:
    return ears.listen(blocks(joined(quiet(0.4), sound, quiet(0.4))), tyres(), patience_s=None)


def spoken(words: str, voice: str = "en-gb") -> Sound:
    """Without the silence that the voice puts around it."""
    sound = speech(words, voice)
    loud = abs(sound) > 300
    return sound[int(loud.argmax()) : len(sound) - int(loud[::-1].argmax())]


def counted(ears: Ears, snr_db: float | None) -> dict[str, list[str]]:
    """What was said by each voice, sorted into right, asked about, wrong and falsely passed."""
    results: dict[str, list[str]] = {"right": [], "asked": [], "wrong": [], "false pass": []}
    for words in SAID:
        meant = tyres().parse(words).clauses
        for voice in VOICES:
            clean = joined(quiet(1.0), speech(words, voice), quiet(1.0))
            answer = heard(ears, clean if snr_db is None else in_noise(clean, snr_db, seed=len(words))).heard
            if answer.outcome in {"ask", "none"}:
                results["asked"].append(f"{voice}: {words}")
            elif answer.meanings == meant:
                results["right"].append(words)
            else:
                results["false pass" if answer.outcome == "pass" else "wrong"].append(
                    f"{voice}: {words}, {answer.said}"
                )
    return results


def test_clean_speech_is_understood(ears: Ears) -> None:
    results = counted(ears, None)
    assert results["false pass"] == []
    assert len(results["right"]) >= 0.98 * len(SAID) * len(VOICES), results


def test_in_noise_it_is_rather_asked_than_falsely_passed(ears: Ears) -> None:
    results = counted(ears, 10.0)
    assert results["false pass"] == []
    assert len(results["wrong"]) <= 0.03 * len(SAID) * len(VOICES), results
    assert len(results["right"]) >= 0.80 * len(SAID) * len(VOICES), results


@pytest.mark.parametrize("voice", ["en-gb", "slt"])
@pytest.mark.parametrize("share", [0.15, 0.8], ids=["before the decision", "before the answer"])
def test_several_things_in_one_breath_are_one_answer(ears: Ears, share: float, voice: str) -> None:
    pause = quiet(share * ENDPOINT.answer_pass_s)
    answer = heard(ears, joined(spoken("tyres good", voice), pause, spoken("cut on tyre two", voice))).heard
    assert answer.outcome == "finding"
    assert [meaning.outcome for meaning in answer.meanings] == ["pass", "finding"]


def test_after_a_longer_pause_the_second_thing_is_the_next_answer(ears: Ears) -> None:
    pause = quiet(ENDPOINT.answer_pass_s + 0.3)
    source = blocks(joined(quiet(0.4), spoken("tyres good"), pause, spoken("cut on tyre two"), quiet(1.5)))
    answers = [ears.listen(source, tyres(), patience_s=None).heard for _ in range(2)]
    assert [answer.outcome for answer in answers] == ["pass", "finding"]
    assert answers[1].meanings == tyres().parse("cut on tyre two").clauses


@pytest.mark.parametrize("voice", VOICES)
def test_a_recording_may_begin_and_end_in_the_middle_of_a_sound(ears: Ears, voice: str) -> None:
    utterance = ears.listen(blocks(spoken("cut on tyre two", voice)), tyres(), patience_s=None)
    assert utterance.heard.outcome == "finding"
    assert utterance.heard.meanings[0].get("number") == "2"


@pytest.mark.parametrize(("rate", "channels"), [(8000, 1), (44100, 2)])
def test_telephone_sound_and_stereo_just_work(ears: Ears, tmp_path: Path, rate: int, channels: int) -> None:
    path = tmp_path / "spoken.wav"
    source = speech("cut on tyre two")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(2)
        file.setframerate(rate)
        for at in range(int(len(source) * rate / 16000)):  # nearest sample: rough, as cheap recorders are
            file.writeframesraw(source[int(at * 16000 / rate)].astype("<i2").tobytes() * channels)
    answer = ears.listen(blocks_from_file(path), tyres(), patience_s=None).heard
    assert answer.meanings == tyres().parse("cut on tyre two").clauses


@pytest.mark.parametrize("level", [30, 300, 3000])
def test_a_minute_of_noise_brings_nothing(ears: Ears, level: int) -> None:
    utterance = ears.listen(blocks(pink_noise(60.0, level)), tyres(), patience_s=None)
    assert (utterance.heard.outcome, utterance.heard.why) == ("none", "silence")


def test_the_decision_comes_soon_and_is_measured_from_the_end_of_speech(ears: Ears) -> None:
    clean = joined(quiet(1.5), spoken("cut on tyre two"), quiet(3.0))
    sound = clean + pink_noise(len(clean) / 16000, 20)[: len(clean)]
    taken, decided_at = 0, list[int]()

    def note(_heard: Heard) -> None:
        decided_at.append(taken)

    def source() -> Iterator[Sound]:
        nonlocal taken
        for block in blocks(sound):
            taken += len(block)
            yield block

    utterance = ears.listen(source(), tyres(), patience_s=None, on_decided=note)
    end_s = int((abs(clean) > 60).nonzero()[0][-1]) / 16000
    assert utterance.heard.decided_after_s == pytest.approx(decided_at[-1] / 16000 - end_s, abs=0.2)
    assert decided_at[-1] / 16000 - end_s < ENDPOINT.pause_growing_s + 0.3
    assert taken / 16000 - end_s < ENDPOINT.answer_finding_s + 0.3


def test_it_costs_less_than_a_seventh_of_a_core(ears: Ears) -> None:
    sound = joined(*[joined(speech(words), quiet(1.2)) for words in SAID])
    sound = in_noise(sound, 15.0)
    source, began = blocks(sound), time.process_time()
    while not ears.listen(source, tyres(), patience_s=None).ended:
        pass
    assert (time.process_time() - began) / (len(sound) / 16000) < 0.14


def test_the_process_stays_small(model: Path) -> None:
    """Its own process, because this one holds much else; 350 MB is the limit."""
    script = (
        "import sys; from pathlib import Path; from handsfree.hearing.ears import Ears;"
        "from tests.support.memory import highest_kb;"
        "from tests.support.words import tyres; from tests.support.sounds import speech, blocks;"
        "ears = Ears(Path(sys.argv[1]));"
        "[ears.listen(blocks(speech('cut on tyre two')), tyres(), patience_s=None) for _ in range(20)];"
        "print(highest_kb())"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, str(model)],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=True,
    )
    assert int(done.stdout) / 1024 < 350
