"""A sound card made of software: a PulseAudio daemon of our own with a microphone that can be fed and an ear.

`mic_feed` is a sink whose sound comes out of the default microphone; `ear` is the default loudspeaker, and what is
played there can be recorded.  The daemon lives in a folder of its own and leaves any other PulseAudio alone.  Nothing
but Debian's packages `pulseaudio`, `pulseaudio-utils` and `libasound2-plugins` is needed; running as root is fine.
"""

from __future__ import annotations

import os
import subprocess
import tempfile
import time
from collections.abc import Generator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.int16]

Sink = Literal["ear", "mic_feed"]

EAR_RATE = 48000
"""Samples per second of the virtual card, as of most real ones."""

_SCRIPT = """\
.fail
load-module module-native-protocol-unix socket={socket} auth-anonymous=1
load-module module-null-sink sink_name=mic_feed {card}
load-module module-null-sink {ear}
load-module module-remap-source source_name=microphone master=mic_feed.monitor
set-default-source microphone
set-default-sink ear
"""
_CARD = f"rate={EAR_RATE} channels=1 norewinds=1"
"""Without `norewinds` an idle card hands sound on in lumps of two seconds, and loses the first 20 ms of each sound."""
_EAR = f"sink_name=ear {_CARD}"
_START_LIMIT_S = 15.0
_RECORDING_LATENCY_MS = 20


class VirtualAudioError(Exception):
    """The daemon is not installed or does not start."""


class VirtualAudio:
    """The daemon, as a context manager.

    Programs that are to use it get `environment` added to theirs.  PortAudio looks at the environment when it is first
    used, so a process that wants to use the card itself sets it before that.
    """

    def __init__(self) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="va-")  # short: a socket's path has at most 107 bytes
        self._daemon: subprocess.Popen[bytes] | None = None

    @property
    def environment(self) -> dict[str, str]:
        """The variables that lead PulseAudio's clients, ALSA and PortAudio to this daemon."""
        return {"XDG_RUNTIME_DIR": self._folder.name, "PULSE_SERVER": f"unix:{self._socket}"}

    def start(self) -> None:
        """Start, and wait until it answers.  Raises VirtualAudioError."""
        folder = Path(self._folder.name)
        script = folder / "card.pa"
        script.write_text(_SCRIPT.format(socket=self._socket, card=_CARD, ear=_EAR), encoding="utf-8")
        command = ["setpriv", "--pdeathsig", "TERM"]  # it must not outlive a parent that is killed
        command += ["pulseaudio", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no", "-n", "-F", str(script)]
        with (folder / "daemon.log").open("wb") as log:
            try:
                self._daemon = subprocess.Popen(
                    command, env=self._environment_of_daemon(), stdin=subprocess.DEVNULL, stdout=log, stderr=log
                )
            except FileNotFoundError as error:
                raise VirtualAudioError(f"{error.filename} is not installed: apt install pulseaudio") from error
        self._wait_until_it_answers(folder / "daemon.log")

    def close(self) -> None:
        """Stop the daemon and remove its folder; safe to call twice."""
        if self._daemon is not None:
            self._daemon.terminate()
            try:
                self._daemon.wait(timeout=5.0)
            except subprocess.TimeoutExpired:
                self._daemon.kill()
                self._daemon.wait()
            self._daemon = None
        self._folder.cleanup()

    def __enter__(self) -> VirtualAudio:
        try:
            self.start()
        except BaseException:
            self.close()
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def kill(self) -> None:
        """End the daemon at once, as when it crashes; `start` starts it again, with the same cards."""
        if self._daemon is not None:
            self._daemon.kill()
            self._daemon.wait()
            self._daemon = None

    def hold_still(self, device: Literal["ear", "microphone"], *, still: bool) -> None:
        """The loudspeaker takes, or the microphone gives, no sound any more, or does so again."""
        self._control("suspend-sink" if device == "ear" else "suspend-source", device, str(int(still)))

    def unplug_ear(self) -> None:
        """The loudspeaker is gone; what was played there goes on elsewhere, as PulseAudio does it."""
        modules = (line.split("\t") for line in self._control("list", "short", "modules").splitlines())
        for number, *rest in modules:
            if "sink_name=ear" in " ".join(rest):
                self._control("unload-module", number)

    def plug_in_ear(self) -> None:
        """The loudspeaker is back."""
        self._control("load-module", "module-null-sink", *_EAR.split())
        self._control("set-default-sink", "ear")

    def _control(self, *command: str) -> str:
        done = subprocess.run(
            ["pactl", *command], env=self._environment_of_clients(), capture_output=True, text=True, check=True
        )
        return done.stdout

    def speak_into_microphone(self, samples: Samples, rate: int) -> None:
        """Play mono samples (`rate` in hertz) into the microphone, and return when the last one has gone in."""
        command = ["pacat", "--playback", "--device=mic_feed", *_format(rate)]
        subprocess.run(
            command, input=samples.astype("<i2").tobytes(), env=self._environment_of_clients(), check=True, timeout=600
        )

    @contextmanager
    def listening(self, sink: Sink = "ear") -> Generator[Recording]:
        """Record what the loudspeaker plays (or what goes into the microphone), from entering this until leaving it."""
        command = ["pacat", "--record", f"--device={sink}.monitor", f"--latency-msec={_RECORDING_LATENCY_MS}"]
        recording = Recording()
        with tempfile.TemporaryFile() as raw:
            recorder = subprocess.Popen(
                [*command, *_format(EAR_RATE)],
                env=self._environment_of_clients(),
                stdout=raw,
                stderr=subprocess.DEVNULL,
            )
            try:
                _wait_for_growth(raw.fileno())
                recording.started = time.monotonic()
                yield recording
                time.sleep(3 * _RECORDING_LATENCY_MS / 1000)
            finally:
                recorder.terminate()
                recorder.wait()
            raw.seek(0)
            whole = raw.read()
            recording.samples = np.frombuffer(whole[: len(whole) // 2 * 2], dtype="<i2").astype(np.int16)

    @property
    def _socket(self) -> str:
        return str(Path(self._folder.name) / "native")

    def _environment_of_daemon(self) -> dict[str, str]:
        own = {"XDG_RUNTIME_DIR": self._folder.name, "HOME": self._folder.name}
        return {name: value for name, value in os.environ.items() if not name.startswith("PULSE_")} | own

    def _environment_of_clients(self) -> dict[str, str]:
        return dict(os.environ) | self.environment

    def _wait_until_it_answers(self, log: Path) -> None:
        limit = time.monotonic() + _START_LIMIT_S
        while time.monotonic() < limit:
            if self._daemon is None or self._daemon.poll() is not None:
                break
            question = subprocess.run(
                ["pactl", "info"], env=self._environment_of_clients(), capture_output=True, check=False
            )
            if b"Default Source: microphone" in question.stdout:
                return
            time.sleep(0.05)
        raise VirtualAudioError(f"the virtual sound card does not start: {log.read_text(errors='replace').strip()}")


class Recording:
    """What the ear heard; `samples` (mono, `EAR_RATE` hertz) is there when the recording is over."""

    def __init__(self) -> None:
        self.samples: Samples = np.zeros(0, np.int16)
        self.started = 0.0
        """When the first sound came in, on the monotonic clock, in seconds."""


def mixed(one: Recording, other: Recording) -> Samples:
    """Two recordings that ran together, as one who stood by would have heard them."""
    first = min(one.started, other.started)
    starts = [round((recording.started - first) * EAR_RATE) for recording in (one, other)]
    whole = np.zeros(max(start + len(r.samples) for start, r in zip(starts, (one, other), strict=True)), np.int32)
    for start, recording in zip(starts, (one, other), strict=True):
        whole[start : start + len(recording.samples)] += recording.samples
    return np.clip(whole, -32768, 32767).astype(np.int16)


def _format(rate: int) -> list[str]:
    return ["--raw", "--format=s16le", "--channels=1", f"--rate={rate}"]


def _wait_for_growth(handle: int) -> None:
    limit = time.monotonic() + _START_LIMIT_S
    while os.fstat(handle).st_size == 0:
        if time.monotonic() > limit:
            raise VirtualAudioError("the ear of the virtual sound card hears nothing")
        time.sleep(0.01)
