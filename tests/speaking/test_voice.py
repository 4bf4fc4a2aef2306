"""What the rest of the program uses: say, tone, stop, prepare, pace."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.sound import Samples, Sound
from handsfree.speaking.tones import make_tone
from handsfree.speaking.voice import Voice

LIMIT_S = 5.0


class SlowSpeaker:
    """Plays in real time and writes down what it was given."""

    def __init__(self) -> None:
        self.played: list[Samples] = []
        self.began = threading.Event()
        self.at_once = 0
        self.most_at_once = 0

    def play(self, samples: Samples, rate: int, stopped: threading.Event) -> None:
        self.at_once += 1
        self.most_at_once = max(self.at_once, self.most_at_once)
        self.began.set()
        self.played.append(samples)
        stopped.wait(len(samples) / rate)
        self.at_once -= 1


class Renderer:
    """One tenth of a second for each word; can be made to fail or to take long."""

    def __init__(self) -> None:
        self.rendered: list[tuple[str, int]] = []
        self.fails = False
        self.gate = threading.Event()
        self.gate.set()

    def __call__(self, text: str, settings: VoiceSettings) -> Sound:
        assert self.gate.wait(LIMIT_S)
        self.rendered.append((text, settings.rate))
        if self.fails:
            raise SpeakingError("no synthesiser")
        return Sound(np.ones(len(text.split()) * 100, np.int16), 1000)


@pytest.fixture
def renderer(monkeypatch: pytest.MonkeyPatch) -> Renderer:
    renderer = Renderer()
    monkeypatch.setattr("handsfree.speaking.voice.render", renderer)
    return renderer


@pytest.fixture
def speaker() -> SlowSpeaker:
    return SlowSpeaker()


@pytest.fixture
def voice(renderer: Renderer, speaker: SlowSpeaker, tmp_path: Path) -> Iterator[Voice]:
    with Voice(VoiceSettings(), tmp_path, speaker) as voice:
        yield voice


def wait_until(condition: object, limit_s: float = LIMIT_S) -> None:
    assert callable(condition)
    end = time.monotonic() + limit_s
    while not condition():
        assert time.monotonic() < end
        time.sleep(0.005)


def test_say_returns_when_the_sound_is_over(voice: Voice) -> None:
    began = time.monotonic()
    assert voice.say("one two three") == pytest.approx(0.3)
    assert time.monotonic() - began >= 0.3


def test_nothing_to_say_is_no_sound(voice: Voice, speaker: SlowSpeaker) -> None:
    assert voice.say(" \n") == 0.0
    assert speaker.played == []


def test_stop_ends_the_sound_at_once(voice: Voice, speaker: SlowSpeaker) -> None:
    saying = threading.Thread(target=voice.say, args=("word " * 600,))
    saying.start()
    assert speaker.began.wait(LIMIT_S)
    voice.stop()
    saying.join(1.0)
    assert not saying.is_alive()


def test_stop_while_rendering_means_that_nothing_is_played(
    voice: Voice, speaker: SlowSpeaker, renderer: Renderer
) -> None:
    renderer.gate.clear()
    saying = threading.Thread(target=voice.say, args=("one",))
    saying.start()
    wait_until(lambda: voice._playing is not None)  # pyright: ignore[reportPrivateUsage]
    voice.stop()
    renderer.gate.set()
    saying.join(LIMIT_S)
    assert speaker.played == []


def test_stop_in_silence_does_not_swallow_the_next_text(voice: Voice, speaker: SlowSpeaker) -> None:
    voice.stop()
    voice.say("one")
    assert len(speaker.played) == 1


def test_one_sound_at_a_time(voice: Voice, speaker: SlowSpeaker) -> None:
    threads = [threading.Thread(target=voice.say, args=(text,)) for text in ("one", "two", "three")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(LIMIT_S)
    assert (len(speaker.played), speaker.most_at_once) == (3, 1)


def test_slower_and_back_again(voice: Voice, renderer: Renderer) -> None:
    voice.say("one")
    voice.pace(slow=True)
    voice.say("one")
    voice.pace(slow=False)
    voice.say("one")
    assert renderer.rendered == [("one", 150), ("one", VoiceSettings().slow_rate)]


def test_a_prepared_text_needs_no_rendering_when_it_is_said(voice: Voice, renderer: Renderer, tmp_path: Path) -> None:
    voice.prepare(["one", "", "two", "three"])
    wait_until(lambda: len(list(tmp_path.glob("[!.]*.wav"))) == 3)
    voice.say("three")
    assert sorted(text for text, _ in renderer.rendered) == ["one", "three", "two"]


def test_preparing_gives_up_after_the_first_failures(voice: Voice, renderer: Renderer) -> None:
    renderer.fails = True
    voice.prepare(f"text {number}" for number in range(100))
    wait_until(lambda: len(renderer.rendered) > 0)
    voice.close()
    assert len(renderer.rendered) <= 2


def test_what_could_not_be_prepared_fails_aloud_when_it_is_said(voice: Voice, renderer: Renderer) -> None:
    renderer.fails = True
    voice.prepare(["one"])
    with pytest.raises(SpeakingError, match="no synthesiser"):
        voice.say("one")


def test_closing_drops_what_waits_to_be_rendered(voice: Voice, renderer: Renderer) -> None:
    renderer.gate.clear()
    voice.prepare(f"text {number}" for number in range(100))
    threading.Timer(0.2, renderer.gate.set).start()
    voice.close()
    assert len(renderer.rendered) <= 2


def test_a_tone_is_as_loud_as_the_voice(speaker: SlowSpeaker, tmp_path: Path) -> None:
    with Voice(VoiceSettings(volume=0.5), tmp_path, speaker) as voice:
        voice.tone("finding")
    assert np.abs(speaker.played[0]).max() == pytest.approx(np.abs(make_tone("finding").samples).max() / 2, abs=1)
