"""The adapter to the sound card, with a library that does as it is told (the real one: speaking/test_live)."""

from __future__ import annotations

import builtins
from contextlib import nullcontext
from dataclasses import dataclass, field
from types import ModuleType, SimpleNamespace
from typing import Any

import numpy as np
import pytest

from handsfree import portaudio
from handsfree.portaudio import AudioError, InputStream, OutputStream, accepted_rate, devices, find_device, start_anew


class FakeError(Exception):
    """What the library raises."""


class FakeStopError(Exception):
    """How a callback ends its stream."""


class FakeAbortError(Exception):
    """How a callback ends its stream with an error."""


@dataclass(eq=False)
class FakeStream:
    """Remembers how it was opened; the test calls its callback."""

    options: dict[str, Any]
    latency: float = 0.02
    closed: bool = False
    calls: list[str] = field(default_factory=list[str])

    def start(self) -> None:
        self.calls.append("start")

    def abort(self) -> None:
        self.calls.append("abort")

    def close(self) -> None:
        self.closed = True


class FakeLibrary:
    """A sound card with a microphone, a headset (both ways) and a loudspeaker that knows only 48 kHz."""

    PortAudioError = FakeError
    CallbackStop = FakeStopError
    CallbackAbort = FakeAbortError

    def __init__(self) -> None:
        self.default = SimpleNamespace(device=(0, 2))
        self.cards = [("Built-in microphone", 1, 0), ("USB Headset", 1, 2), ("Loudspeaker", 0, 2), ("Headset", 1, 1)]
        self.busy = False
        self.broken = False
        self.running = True
        self.calls: list[str] = []
        self.opened: list[FakeStream] = []

    def _terminate(self) -> None:
        self.calls.append("terminate")
        if not self.running:
            raise FakeError("PortAudio not initialized")
        self.running = False

    def _initialize(self) -> None:
        self.calls.append("initialize")
        if self.broken:
            raise FakeError("Internal error")
        self.running = True

    def query_hostapis(self) -> list[dict[str, str]]:
        return [{"name": "ALSA"}]

    def query_devices(self) -> list[dict[str, str | float]]:
        return [
            {
                "name": name,
                "hostapi": 0,
                "max_input_channels": inputs,
                "max_output_channels": outputs,
                "default_samplerate": 48000.0,
            }
            for name, inputs, outputs in self.cards
        ]

    def check_input_settings(self, *, samplerate: int, **_: object) -> None:
        if samplerate != 48000:
            raise FakeError("Invalid sample rate")

    check_output_settings = check_input_settings

    def _open(self, **options: Any) -> FakeStream:
        if self.busy:
            raise FakeError("Device unavailable")
        self.opened.append(FakeStream(options))
        return self.opened[-1]

    InputStream = OutputStream = _open


@pytest.fixture
def library(monkeypatch: pytest.MonkeyPatch) -> FakeLibrary:
    library = FakeLibrary()
    monkeypatch.setattr(portaudio, "_sounddevice", lambda: library)
    return library


def nothing(*_: object) -> None:
    """A callback that is not looked at."""


# ---- devices


@pytest.mark.usefixtures("library")
def test_devices_are_listed_with_what_they_can_do() -> None:
    assert [(card.name, card.channels("input"), card.channels("output"), card.rate) for card in devices()] == [
        ("Built-in microphone", 1, 0, 48000),
        ("USB Headset", 1, 2, 48000),
        ("Loudspeaker", 0, 2, 48000),
        ("Headset", 1, 1, 48000),
    ]


@pytest.mark.usefixtures("library")
@pytest.mark.parametrize(
    ("name", "direction", "found"),
    [
        (None, "input", "Built-in microphone"),  # the default
        (None, "output", "Loudspeaker"),
        ("speak", "output", "Loudspeaker"),  # a part of the name
        ("usb head", "input", "USB Headset"),  # whatever the case
        ("headset", "output", "Headset"),  # the whole name wins over a part of another
    ],
)
def test_a_device_is_found(name: str | None, direction: portaudio.Direction, found: str) -> None:
    assert find_device(name, direction).name == found


@pytest.mark.usefixtures("library")
@pytest.mark.parametrize(("name", "direction"), [("Loudspeaker", "input"), ("microphone", "output"), ("tape", "input")])
def test_a_device_that_is_not_there_gets_the_list_of_those_that_are(name: str, direction: portaudio.Direction) -> None:
    with pytest.raises(AudioError, match=f'is called "{name}"') as caught:
        find_device(name, direction)
    assert '"Headset"' in caught.value.hint


@pytest.mark.parametrize(("direction", "what"), [("input", "microphone"), ("output", "loudspeaker")])
def test_a_machine_without_a_sound_card(library: FakeLibrary, direction: portaudio.Direction, what: str) -> None:
    library.cards, library.default.device = [], (-1, -1)
    assert devices() == ()
    with pytest.raises(AudioError, match=f"there is no {what}") as caught:
        find_device(None, direction)
    assert "--typed" in caught.value.hint


def test_a_missing_system_library_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    usual = builtins.__import__

    def refuse(name: str, *rest: Any) -> ModuleType:
        if name == "sounddevice":
            raise OSError("PortAudio library not found")
        return usual(name, *rest)

    monkeypatch.setattr(builtins, "__import__", refuse)
    with pytest.raises(AudioError, match="PortAudio library not found") as caught:
        devices()
    assert "apt install libportaudio2" in caught.value.hint


@pytest.mark.usefixtures("library")
def test_a_refused_rate_is_replaced_by_the_devices_own() -> None:
    assert accepted_rate(find_device(None, "output"), "output", 22050) == 48000
    assert accepted_rate(find_device(None, "output"), "output", 48000) == 48000


@pytest.mark.parametrize("kind", [InputStream, OutputStream])
def test_a_busy_device_is_named(library: FakeLibrary, kind: type[InputStream] | type[OutputStream]) -> None:
    library.busy = True
    with pytest.raises(AudioError, match='"Headset" cannot be opened: Device unavailable') as caught:
        kind(find_device("headset", "output"), 48000, nothing, nothing)  # pyright: ignore[reportArgumentType]
    assert "another device" in caught.value.hint


def test_it_starts_anew_with_every_stream_closed(library: FakeLibrary) -> None:
    InputStream(find_device(None, "input"), 48000, nothing, nothing)
    closed_before = InputStream(find_device(None, "input"), 48000, nothing, nothing)
    closed_before.close()
    start_anew()
    assert [stream.closed for stream in library.opened] == [True, True]
    assert [stream.calls.count("abort") for stream in library.opened] == [1, 1]
    assert library.calls == ["terminate", "initialize"]


def test_a_start_that_failed_can_be_tried_again(library: FakeLibrary) -> None:
    library.broken = True
    with pytest.raises(AudioError, match="does not start: Internal error"):
        start_anew()
    library.broken = False
    start_anew()
    assert library.running


# ---- streams


def test_the_microphone_hands_over_copies_and_says_when_sound_was_lost(library: FakeLibrary) -> None:
    blocks: list[tuple[list[int], bool]] = []
    card = find_device(None, "input")
    with InputStream(card, 16000, lambda samples, lost: blocks.append((samples.tolist(), lost)), nothing) as stream:
        assert stream.rate == 48000
        callback, buffer = library.opened[0].options["callback"], np.array([[1], [2]], np.int16)
        callback(buffer, 2, None, SimpleNamespace(input_overflow=False))
        buffer[:] = 7
        callback(buffer, 2, None, SimpleNamespace(input_overflow=True))
    assert blocks == [([1, 2], False), ([7, 7], True)]
    assert library.opened[0].closed


def test_an_error_while_handing_over_ends_the_stream_and_is_reported(library: FakeLibrary) -> None:
    ends: list[Exception | None] = []
    wrong = ValueError("wrong")

    def fail(*_: object) -> None:
        raise wrong

    InputStream(find_device(None, "input"), 16000, fail, ends.append)
    options = library.opened[0].options
    with pytest.raises(FakeAbortError):
        options["callback"](np.zeros((2, 1), np.int16), 2, None, SimpleNamespace(input_overflow=False))
    options["finished_callback"]()
    assert ends == [wrong]


def play(library: FakeLibrary, pieces: list[list[int]], frames: int) -> tuple[list[int], int]:
    """What the card is given until the stream ends, and in how many pieces; the last piece of sound comes first."""
    supply = [np.array(piece, np.int16) for piece in pieces]
    empty = np.zeros(0, np.int16)
    OutputStream(find_device(None, "output"), 48000, lambda _: supply.pop(0) if supply else empty, nothing)
    given: list[int] = []
    for count in range(1, 10_000):
        buffer = np.full((frames, 1), 99, np.int16)
        try:
            library.opened[0].options["callback"](buffer, frames, None, None)
        except FakeStopError:
            return given + buffer[:, 0].tolist(), count
        given += buffer[:, 0].tolist()
    raise AssertionError("the stream never ends")


def test_the_loudspeaker_gets_every_sample_and_then_silence_for_as_long_as_sound_is_on_its_way(
    library: FakeLibrary,
) -> None:
    given, _ = play(library, [[1, 2, 3, 4], [5, 6]], frames=4)
    assert given[:6] == [1, 2, 3, 4, 5, 6]
    silence = given[6:]
    assert set(silence) == {0}
    assert len(silence) >= (0.02 + 0.05) * 48000  # the stream's latency, and a margin
    assert len(silence) < 0.1 * 48000


def test_closing_drops_what_is_buffered_and_may_be_done_twice(library: FakeLibrary) -> None:
    stream = OutputStream(find_device(None, "output"), 48000, lambda _: np.zeros(0, np.int16), nothing)
    stream.close()
    stream.close()
    assert library.opened[0].calls == ["start", "abort"]


@pytest.mark.parametrize(("how", "reported"), [("played", False), ("closed", False), ("taken away", True)])
def test_a_sound_that_a_device_ended_early_is_told_from_one_that_was_played(
    library: FakeLibrary, how: str, reported: bool
) -> None:
    ends: list[Exception | None] = []
    card, empty = find_device(None, "output"), np.zeros(0, np.int16)
    stream = OutputStream(
        card, 48000, lambda frames: empty if how == "played" else np.ones(frames, np.int16), ends.append
    )
    options = library.opened[0].options
    if how == "closed":
        stream.close()
    else:
        with pytest.raises(FakeStopError) if how == "played" else nullcontext():
            options["callback"](np.zeros((48000, 1), np.int16), 48000, None, None)
    options["finished_callback"]()
    assert [isinstance(one, OSError) for one in ends] == [reported]
