"""The sound card: a small typed adapter over sounddevice (PortAudio), the only module that imports it.

The library is imported on first use, because the import needs a system library and talks to the sound server.
Everything that goes wrong comes out as `AudioError`, with what to do about it.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Generator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Any, Literal
from weakref import WeakSet

import numpy as np
from numpy.typing import NDArray

from handsfree.errors import Mendable

Samples = NDArray[np.int16]
"""Mono sound, signed 16 bit."""

Direction = Literal["input", "output"]

_NO_DEVICE_HINT = "plug in a microphone or a headset, then look at `handsfree devices`; without one, use `--typed`"
_BUSY_HINT = "close other programs that use the sound card, or choose another device (`handsfree devices` lists them)"

_OUTPUT_LATENCY_S = 0.1
"""Room for a busy machine: it does not delay a start, and a stop drops what is buffered."""
_TAIL_MARGIN_S = 0.05
_LONGEST_TAIL_S = 1.0
"""A stream that ends with its last sample loses what is still on its way: 30 to 70 ms of sound, measured through
PulseAudio.  So silence follows, as long as the stream's own latency and a margin."""

_one_at_a_time = threading.Lock()
"""PortAudio does not allow two threads to open or close streams at once."""
_opened: WeakSet[Any] = WeakSet()
"""Streams that may still be open: none may be when the library starts anew."""


class AudioError(Mendable):
    """Sound cannot be read or played; `hint` says what the user can do."""


class MicrophoneError(AudioError):
    """A microphone that worked does not work any more."""


class SilentMicrophoneError(AudioError):
    """A microphone works, and has given nothing but zeros since it was opened."""


class LoudspeakerError(AudioError):
    """A sound was not played, or not to its end."""


@dataclass(frozen=True, slots=True)
class AudioDevice:
    """A microphone, a loudspeaker, or both, as PortAudio names it."""

    index: int
    """PortAudio's number for it; it may change when something is plugged in."""
    name: str
    host: str
    """The sound system it belongs to ("ALSA", "JACK Audio Connection Kit")."""
    input_channels: int
    output_channels: int
    rate: int
    """The sampling rate that the device prefers, in hertz."""
    default_input: bool
    default_output: bool

    def channels(self, direction: Direction) -> int:
        """How many channels it has one way; 0 when it cannot be used that way."""
        return self.input_channels if direction == "input" else self.output_channels


def devices() -> tuple[AudioDevice, ...]:
    """All devices, as they were when the library was first used, or last started anew: it does not notice changes.

    Raises AudioError when PortAudio itself is missing or broken.
    """
    library = _sounddevice()
    try:
        hosts = [str(host["name"]) for host in library.query_hostapis()]
        default_input, default_output = (int(number) for number in library.default.device)
        return tuple(
            AudioDevice(
                index=index,
                name=str(found["name"]),
                host=hosts[int(found["hostapi"])],
                input_channels=int(found["max_input_channels"]),
                output_channels=int(found["max_output_channels"]),
                rate=round(float(found["default_samplerate"])),
                default_input=index == default_input,
                default_output=index == default_output,
            )
            for index, found in enumerate(library.query_devices())
        )
    except library.PortAudioError as error:
        raise AudioError(f"the sound devices cannot be listed: {error}", _BUSY_HINT) from error


def start_anew() -> None:
    """Look for devices again, as after something was plugged in or the sound server started again.

    It closes every stream; what it costs was measured as 0.05 s.  Raises AudioError when PortAudio does not start.
    """
    library = _sounddevice()
    with _one_at_a_time:
        for stream in list(_opened):
            _end(stream)
        with suppress(library.PortAudioError):  # an earlier start may have failed: then there is nothing to end
            library._terminate()
        try:
            library._initialize()
        except library.PortAudioError as error:
            raise AudioError(f"the sound library PortAudio does not start: {error}", _BUSY_HINT) from error


def find_device(name: str | None, direction: Direction) -> AudioDevice:
    """The default device, or the one whose name holds `name` (upper and lower case are alike).

    An exact name wins over a part of one, and the default device over others.  Raises AudioError when there is none.
    """
    usable = [device for device in devices() if device.channels(direction) > 0]
    what = "microphone" if direction == "input" else "loudspeaker"
    if name is None:
        for device in usable:
            if device.default_input if direction == "input" else device.default_output:
                return device
        raise AudioError(f"there is no {what}", _NO_DEVICE_HINT)
    wanted = name.casefold()
    matching = [device for device in usable if wanted in device.name.casefold()]
    if not matching:
        known = ", ".join(f'"{device.name}"' for device in usable) or "none at all"
        raise AudioError(f'no {what} is called "{name}"', f"there is: {known}")
    return min(matching, key=lambda device: (device.name.casefold() != wanted, not _is_default(device, direction)))


def _is_default(device: AudioDevice, direction: Direction) -> bool:
    return device.default_input if direction == "input" else device.default_output


def accepted_rate(device: AudioDevice, direction: Direction, wanted: int) -> int:
    """`wanted` (hertz) if the device takes it, else the device's own rate: the caller resamples then."""
    library = _sounddevice()
    check = library.check_input_settings if direction == "input" else library.check_output_settings
    try:
        with _one_at_a_time, _quietly():
            check(device=device.index, channels=1, dtype="int16", samplerate=wanted)
    except library.PortAudioError:
        return device.rate
    return wanted


class InputStream:
    """A running microphone, mono.  Use it as a context manager, or call `close`.

    `on_block(samples, overflowed)` is called on PortAudio's thread with a copy of each block and must not block;
    `overflowed` says that sound was lost before it.  `on_end(error)` is called once when the stream ends, with the
    exception that `on_block` raised, if it did; it must not close the stream.  An unplugged device calls nothing:
    watch the time since the last block.  Where the device refuses the wanted rate (hertz), its own is used: look at
    `rate`.  Raises AudioError.
    """

    rate: int
    """Samples per second, as they really come."""
    device: AudioDevice

    def __init__(
        self,
        device: AudioDevice,
        wanted_rate: int,
        on_block: Callable[[Samples, bool], None],
        on_end: Callable[[Exception | None], None],
    ) -> None:
        library = _sounddevice()
        failure: list[Exception] = []

        def callback(indata: Samples, _frames: int, _time: object, status: Any) -> None:
            try:
                on_block(indata[:, 0].copy(), bool(status.input_overflow))
            except Exception as error:  # left alone it is only printed, and the stream dies unnoticed
                failure.append(error)
                raise library.CallbackAbort from error

        def finished() -> None:
            on_end(failure[0] if failure else None)

        self.device = device
        self.rate = accepted_rate(device, "input", wanted_rate)
        self._stream = _open(
            library.InputStream,
            device,
            samplerate=self.rate,
            latency="high",
            callback=callback,
            finished_callback=finished,
        )
        _start(self._stream, device)

    def close(self) -> None:
        """Stop and release the device; safe to call twice."""
        _close(self._stream)

    def __enter__(self) -> InputStream:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


class OutputStream:
    """A running loudspeaker, mono.  Use it as a context manager, or call `close`.

    `fill(frames)` is called on PortAudio's thread and gives the next samples; fewer than asked for are the last ones,
    and it gives none when it is called after that.
    `on_end(error)` is called once, when the last samples have been played, or after `close`, or with the exception that
    `fill` raised, or with an OSError when the device ended it before; it must not close the stream.
    The rate (hertz) must be one that `accepted_rate` gave.  Raises AudioError.
    """

    def __init__(
        self,
        device: AudioDevice,
        rate: int,
        fill: Callable[[int], Samples],
        on_end: Callable[[Exception | None], None],
    ) -> None:
        library = _sounddevice()
        failure: list[Exception] = []
        silence_to_come = round(_LONGEST_TAIL_S * rate)
        self._ended_by_us = False

        def callback(outdata: Samples, frames: int, _time: object, _status: object) -> None:
            nonlocal silence_to_come
            try:
                samples = fill(frames)
            except Exception as error:  # left alone it is only printed, and the stream dies unnoticed
                failure.append(error)
                raise library.CallbackAbort from error
            outdata[: len(samples), 0] = samples
            outdata[len(samples) :, 0] = 0
            silence_to_come -= frames - len(samples)
            if silence_to_come <= 0:
                self._ended_by_us = True
                raise library.CallbackStop

        def finished() -> None:
            taken_away = None if self._ended_by_us else OSError("the device ended it")
            on_end(failure[0] if failure else taken_away)

        self._stream = _open(
            library.OutputStream,
            device,
            samplerate=rate,
            latency=_OUTPUT_LATENCY_S,
            callback=callback,
            finished_callback=finished,
        )
        silence_to_come = round(min(self._stream.latency + _TAIL_MARGIN_S, _LONGEST_TAIL_S) * rate)
        _start(self._stream, device)

    def close(self) -> None:
        """Stop at once, dropping what is still buffered, and release the device; safe to call twice."""
        self._ended_by_us = True
        _close(self._stream)

    def __enter__(self) -> OutputStream:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def _open(kind: Callable[..., Any], device: AudioDevice, **options: Any) -> Any:
    """A mono 16-bit stream, not yet started, with blocks of whatever size suits the device."""
    library = _sounddevice()
    try:
        with _one_at_a_time, _quietly():
            stream = kind(device=device.index, channels=1, dtype="int16", blocksize=0, **options)
            _opened.add(stream)
            return stream
    except library.PortAudioError as error:
        raise AudioError(f'"{device.name}" cannot be opened: {error}', _BUSY_HINT) from error


def _start(stream: Any, device: AudioDevice) -> None:
    library = _sounddevice()
    try:
        with _one_at_a_time, _quietly():
            stream.start()
    except library.PortAudioError as error:
        _close(stream)
        raise AudioError(f'"{device.name}" does not start: {error}', _BUSY_HINT) from error


def _close(stream: Any) -> None:
    with _one_at_a_time:
        _end(stream)


def _end(stream: Any) -> None:
    _opened.discard(stream)
    if not stream.closed:
        stream.abort()
        stream.close()


@contextmanager
def _quietly() -> Generator[None]:
    """Nothing on the terminal but what the tool says: ALSA prints what PortAudio reports as an error anyway."""
    try:
        before = os.dup(2)
    except OSError:  # there is nothing to print on
        yield
        return
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 2)
        os.close(nowhere)
        yield
    finally:
        os.dup2(before, 2)
        os.close(before)


def _sounddevice() -> Any:
    """The library, imported on first use.  Raises AudioError when it cannot work here."""
    try:
        import sounddevice  # noqa: PLC0415 - see the module's docstring
    except OSError as error:
        raise AudioError(
            f"the sound library PortAudio cannot be loaded: {error}",
            "on Debian or Ubuntu: apt install libportaudio2",
        ) from error
    except Exception as error:
        # Only PortAudio's own start raises here, with a class that cannot be imported when the import fails.
        raise AudioError(f"the sound library PortAudio does not start: {error}", _BUSY_HINT) from error
    return sounddevice
