"""An answer in noise, as the microphone takes it in."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from handsfree.bench.channels import CHANNELS
from handsfree.bench.noises import NOISES
from handsfree.bench.scene import Condition, Scene, make_scene
from handsfree.bench.speech_level import Sound, power_db, speech_level
from handsfree.bench.voices import VOICES, Voice

RATE = 16_000
VOICE = VOICES[0]
WORDS = "hydraulic fluid leak on the left side"
CLEAN = Condition("clean", None)


def floats(scene: Scene) -> Sound:
    return scene.sound.astype(np.float32) / np.float32(32767)


def between(scene: Scene, start_s: float, end_s: float) -> Sound:
    return floats(scene)[round(start_s * RATE) : round(end_s * RATE)]


@pytest.mark.parametrize(
    ("condition", "name"),
    [
        (CLEAN, "clean"),
        (Condition("pink", 5.0), "pink 5 dB"),
        (Condition("pink", -2.5), "pink -2.5 dB"),
        (Condition("rain", 5.0, "bluetooth"), "rain 5 dB, bluetooth"),
        (Condition("clean", None, "raised"), "clean, raised"),
    ],
)
def test_names_of_conditions(condition: Condition, name: str) -> None:
    assert condition.name == name


@pytest.mark.parametrize(("noise", "snr_db", "channel"), [
    ("pink", None, "plain"), ("clean", 5.0, "plain"), ("thunder", 5.0, "plain"), ("pink", 5.0, "tin"),
])  # fmt: skip
def test_a_condition_that_does_not_exist_is_refused(noise: str, snr_db: float | None, channel: str) -> None:
    with pytest.raises(ValueError, match="no such condition"):
        Condition(noise, snr_db, channel)


@pytest.mark.parametrize("channel", CHANNELS)
@pytest.mark.parametrize("noise", ["pink", "turbine"])
def test_the_same_arguments_give_the_same_samples(noise: str, channel: str) -> None:
    condition = Condition(noise, 5.0, channel)
    first, second = (make_scene(WORDS, VOICE, condition, 3) for _ in range(2))
    assert np.array_equal(first.sound, second.sound)
    assert not np.array_equal(first.sound, make_scene(WORDS, VOICE, condition, 4).sound)


@pytest.mark.parametrize("voice", VOICES, ids=lambda voice: voice.name)
def test_every_voice_speaks_at_the_same_level_and_where_the_scene_says(voice: Voice) -> None:
    scene = make_scene(WORDS, voice, CLEAN, 1)
    assert scene.speech_start_s == 2.0
    assert len(scene.sound) / RATE == pytest.approx(scene.speech_end_s + 2.0, abs=1e-4)
    speech = between(scene, scene.speech_start_s, scene.speech_end_s)
    assert speech_level(speech).active_db == pytest.approx(-26, abs=0.3)
    assert power_db(between(scene, 0.5, 2.0)) == pytest.approx(-75, abs=0.5)
    assert power_db(between(scene, scene.speech_end_s, scene.speech_end_s + 2)) == pytest.approx(-75, abs=0.5)
    for edge_s in (scene.speech_start_s, scene.speech_end_s - 0.05):
        assert power_db(between(scene, edge_s, edge_s + 0.05)) > -72


@pytest.mark.parametrize("noise", NOISES)
@pytest.mark.parametrize("snr_db", [20.0, 5.0])
def test_the_ratio_of_speech_and_noise_is_the_one_asked_for(noise: str, snr_db: float) -> None:
    """What a scene has more than a clean one is the noise."""
    noisy, clean = (
        floats(make_scene(WORDS, VOICE, condition, 1, prompt_tail=False))
        for condition in (Condition(noise, snr_db), CLEAN)
    )
    assert power_db(noisy - clean) == pytest.approx(-26 - snr_db, abs=0.1)


def test_less_ratio_is_the_same_noise_louder() -> None:
    silent = floats(make_scene(WORDS, VOICE, CLEAN, 1, prompt_tail=False))[:RATE]
    soft, loud = (
        floats(make_scene(WORDS, VOICE, Condition("pink", snr_db), 1, prompt_tail=False))[:RATE] - silent
        for snr_db in (10.0, 0.0)
    )
    assert np.corrcoef(soft, loud)[0, 1] > 0.99
    assert power_db(loud) - power_db(soft) == pytest.approx(10, abs=0.1)


@pytest.mark.parametrize("noise", NOISES)
def test_nothing_clips_however_loud_the_noise(noise: str) -> None:
    sound = make_scene(WORDS, VOICE, Condition(noise, -20.0), 1).sound
    assert np.count_nonzero(np.abs(sound.astype(np.int32)) >= 32767) <= 1


def test_a_prompt_fades_at_the_very_beginning() -> None:
    with_tail, without = (floats(make_scene(WORDS, VOICE, CLEAN, 1, prompt_tail=tail)) for tail in (True, False))
    tail = with_tail - without
    levels = [power_db(tail[start : start + 1200]) for start in range(0, 4800, 1200)]
    assert all(after < before for before, after in pairwise(levels))
    assert -45 < levels[0] < -30
    assert not tail[4800:].any()


def test_before_and_after_are_as_long_as_asked() -> None:
    scene = make_scene(WORDS, VOICE, CLEAN, 1, before_s=0.1, after_s=0.0)
    assert scene.speech_start_s == 0.1
    assert len(scene.sound) == round(scene.speech_end_s * RATE)


def test_a_raised_voice_takes_longer_at_the_same_level() -> None:
    normal, raised = (make_scene(WORDS, VOICE, Condition("clean", None, name), 1) for name in ("plain", "raised"))
    assert raised.speech_end_s > normal.speech_end_s + 0.1
    speech = between(raised, raised.speech_start_s, raised.speech_end_s)
    assert speech_level(speech).active_db == pytest.approx(-26, abs=0.3)
