"""A walk played: in its order, at any speed, wherever keys lead, and with what is not there any more."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from handsfree.debrief.playback import Answer, AnyCue, Mark, Pause, Playing, Prompt, cues_of
from handsfree.journal.reader import read
from handsfree.player import Sounds, play
from handsfree.portaudio import LoudspeakerError
from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.sound import Samples
from handsfree.speaking.stretching import AtSpeed
from handsfree.speaking.voice import Voice
from tests.support.spoken_walk import spoken_walk
from tests.walk.conversation import small

SAID = ("negative", "covers off", "cut on tyre two", "affirm")


@pytest.fixture(scope="module")
def walk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return spoken_walk(tmp_path_factory.mktemp("spoken") / "walk", SAID)


@pytest.fixture(scope="module")
def cues(walk: Path) -> tuple[AnyCue, ...]:
    return cues_of(read(walk).events, small().checklist)


@dataclass
class Sounder:
    """Sounds each cue for as long as it is told, and remembers how it ended."""

    lasting_s: float = 0.0
    sounded: list[tuple[AnyCue, float]] = field(default_factory=list[tuple[AnyCue, float]])
    stopped: int = 0
    _stop: threading.Event = field(default_factory=threading.Event)

    def sound(self, cue: AnyCue, speed: float) -> None:
        self._stop.clear()
        self.sounded.append((cue, speed))
        self.stopped += self._stop.wait(self.lasting_s)

    def stop(self) -> None:
        self._stop.set()


def pressing(keys: str) -> Iterator[str]:
    yield from keys
    while True:
        yield ""


@dataclass
class Keys:
    """Presses one key after the other, each once ``sounder`` sounds something new."""

    sounder: Sounder
    keys: str
    seen: int = 0

    def __call__(self, wait_s: float) -> str:
        if not self.keys:
            time.sleep(wait_s)
            return ""
        if len(self.sounder.sounded) == self.seen and self.keys[0] != " ":
            time.sleep(wait_s)
            return ""
        self.seen, key, self.keys = len(self.sounder.sounded), self.keys[0], self.keys[1:]
        return key


def no_key(wait_s: float) -> str:
    time.sleep(wait_s)
    return ""


# ---- the way through


def test_everything_is_shown_and_sounded_once_in_order(cues: tuple[AnyCue, ...]) -> None:
    sounder, shown = Sounder(), list[AnyCue]()
    play(cues, Playing(speed=2.0), shown.append, sounder, no_key)
    assert shown == list(cues)
    assert sounder.sounded == [(cue, 2.0) for cue in cues]


def test_it_begins_where_it_is_told_to(cues: tuple[AnyCue, ...]) -> None:
    shown: list[AnyCue] = []
    play(cues, Playing(at=5), shown.append, Sounder(), no_key)
    assert shown == list(cues[5:])


def test_a_key_stops_what_sounds_and_goes_on_elsewhere(cues: tuple[AnyCue, ...]) -> None:
    sounder, shown = Sounder(lasting_s=30.0), list[AnyCue]()
    began = time.monotonic()
    play(cues, Playing(), shown.append, sounder, Keys(sounder, "f3q"))
    assert time.monotonic() - began < 5
    assert [type(cue).__name__ for cue, _ in sounder.sounded] == ["Prompt", "Prompt", "Prompt"]
    assert [speed for _, speed in sounder.sounded] == [1.0, 1.0, 3.0]
    assert isinstance(shown[1], Prompt)
    assert (shown[1].text, len(shown)) == ("Nose gear, tyres and leaks?", 2)
    assert sounder.stopped == 3


def test_after_a_pause_the_cue_is_heard_from_its_beginning(cues: tuple[AnyCue, ...]) -> None:
    sounder, shown = Sounder(lasting_s=30.0), list[AnyCue]()
    play(cues, Playing(), shown.append, sounder, Keys(sounder, "  q"))
    assert [cue for cue, _ in sounder.sounded] == [cues[0], cues[0]]
    assert shown == [cues[0]]


def test_an_interruption_by_hand_ends_what_sounds(cues: tuple[AnyCue, ...]) -> None:
    sounder = Sounder(lasting_s=30.0)

    def interrupted(wait_s: float) -> str:
        raise KeyboardInterrupt

    began = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        play(cues, Playing(), lambda _: None, sounder, interrupted)
    assert time.monotonic() - began < 5


def test_a_loudspeaker_that_goes_away_is_told(cues: tuple[AnyCue, ...]) -> None:
    class Gone(Sounder):
        def sound(self, cue: AnyCue, speed: float) -> None:
            raise LoudspeakerError("gone", "plug it in")

    with pytest.raises(LoudspeakerError, match="gone"):
        play(cues, Playing(), lambda _: None, Gone(), no_key)


# ---- what is heard


@dataclass
class Speaker:
    """Remembers how long each sound was."""

    seconds: list[float] = field(default_factory=list[float])

    def play(self, samples: Samples, rate: int, stopped: threading.Event) -> None:
        self.seconds.append(round(len(samples) / rate, 2))


@dataclass
class Spoken:
    """A voice of which only the words are kept."""

    said: list[str] = field(default_factory=list[str])

    def say(self, text: str) -> float:
        self.said.append(text)
        return 0.0


def sounds(walk: Path, tmp_path: Path) -> tuple[Sounds, Speaker, list[str]]:
    speaker, said = Speaker(), list[str]()
    at_speed = AtSpeed(speaker)
    voice = Voice(VoiceSettings(), tmp_path / "prompts", at_speed)
    say = voice.say

    def remembered(text: str) -> float:
        said.append(text)
        return say(text)

    voice.say = remembered
    return Sounds(voice, at_speed, walk), speaker, said


def test_prompts_are_spoken_and_clips_played_at_the_speed(walk: Path, tmp_path: Path, cues: tuple[AnyCue, ...]) -> None:
    prompt = next(cue for cue in cues if isinstance(cue, Prompt) and cue.text == "Pitot covers?")
    answer = next(cue for cue in cues if isinstance(cue, Answer) and cue.words == "covers off")
    assert answer.clip is not None
    player, speaker, said = sounds(walk, tmp_path)
    with player:
        for speed in (1.0, 2.0):
            player.sound(prompt, speed)
            player.sound(answer, speed)
        player.sound(Mark(1, 0.0, None, None, "zone", "nose", "Nose"), 1.0)
    assert said == ["Pitot covers?"] * 2
    first_prompt, first_clip, fast_prompt, fast_clip = speaker.seconds
    assert first_clip == pytest.approx(answer.clip.seconds, abs=0.02)
    assert fast_clip == pytest.approx(first_clip / 2, abs=0.02)
    assert fast_prompt == pytest.approx(first_prompt / 2, abs=0.02)


@pytest.mark.parametrize("state", ["removed", "altered"])
def test_a_clip_that_is_not_there_is_said(tmp_path: Path, state: str) -> None:
    walk = spoken_walk(tmp_path / "walk", SAID[:1])
    (answer,) = [one for one in cues_of(read(walk).events, small().checklist) if isinstance(one, Answer)]
    (clip,) = (walk / "clips").iterdir()
    if state == "removed":
        clip.unlink()
    else:
        clip.write_bytes(clip.read_bytes()[:-2])
    player, speaker, said = sounds(walk, tmp_path)
    with player:
        player.sound(answer, 1.0)
    assert said == [f"Clip {state}."]
    assert len(speaker.seconds) == 1


@pytest.mark.parametrize(("seconds", "speed", "waited"), [(0.4, 2.0, 0.2), (60.0, 8.0, 0.25)])
def test_a_pause_is_waited_out_and_a_long_one_shortened(
    walk: Path, tmp_path: Path, seconds: float, speed: float, waited: float
) -> None:
    player, _, _ = sounds(walk, tmp_path)
    began = time.monotonic()
    with player:
        player.sound(Pause(1, 0.0, None, None, seconds), speed)
    assert time.monotonic() - began == pytest.approx(waited, abs=0.15)


def test_a_pause_can_be_stopped(walk: Path, tmp_path: Path) -> None:
    player, _, _ = sounds(walk, tmp_path)
    with player:
        sounding = threading.Thread(target=player.sound, args=(Pause(1, 0.0, None, None, 60.0), 0.25))
        sounding.start()
        while sounding.is_alive():
            player.stop()
            sounding.join(0.01)
