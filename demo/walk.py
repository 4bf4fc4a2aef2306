"""The whole inspection of the invented twin turboprop, by a synthesised inspector through the real recogniser.

    python -m demo.walk            faster than real time
    python -m demo.walk --live     in real time, through a loudspeaker and a microphone made of software
    python -m demo.walk --zones 2  the first two zones only, then the walk is ended incomplete

The log, the clips, the summary, an instructor's page and the conversation as sound are left in a folder.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import shutil
import sys
import time
from collections.abc import Generator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from platformdirs import user_cache_path
from rich.console import Console

from demo.answering import AtOnce, InRealTime
from demo.inspector import STORY, Inspector, Story
from demo.virtual_audio import EAR_RATE, Recording, VirtualAudio, mixed
from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.debrief.gathering import gather, sounds_of
from handsfree.debrief.page import page
from handsfree.debrief.summary import as_text, summarise
from handsfree.hearing.ears import Ears
from handsfree.hearing.microphone import Microphone
from handsfree.journal.reader import LOG_NAME, read
from handsfree.journal.writer import JournalWriter
from handsfree.listeners import PATIENCE_S, HalfDuplex, SoundListener
from handsfree.resources import find_checklist
from handsfree.screen import TerminalScreen
from handsfree.session import Listener, Mouth, Session
from handsfree.speaking.loudspeakers import FileSpeaker
from handsfree.speaking.portaudio_speaker import PortAudioSpeaker
from handsfree.speaking.settings import VoiceSettings
from handsfree.speaking.sound import Sound, write_wav
from handsfree.speaking.voice import Voice
from handsfree.speech_model import locate
from handsfree.walk.events import Begin

OUT = Path(__file__).parent / "out"
_PROMPTS = user_cache_path("handsfree-walkaround") / "prompts"
_CONVERSATION = "conversation.wav"


@dataclass(frozen=True, slots=True)
class Demo:
    """What is walked, and how."""

    checklist: Path
    story: Story
    out: Path
    """Emptied first."""
    live: bool = False
    zones: int | None = None
    """None = all."""
    begin: Begin = field(default_factory=Begin)
    """What is known beforehand; the rest is asked."""
    voice: VoiceSettings = field(default_factory=VoiceSettings)
    """Of the prompts."""


def main() -> int:
    """Walk as the arguments say."""
    parser = argparse.ArgumentParser(prog="python -m demo.walk", description="Walk round the invented twin turboprop.")
    parser.add_argument("--live", action="store_true", help="in real time, through a virtual sound card")
    parser.add_argument("--zones", type=int, help="end the walk after so many zones")
    parser.add_argument("--out", type=Path, default=OUT, help="folder for what is left of it; emptied first")
    given = parser.parse_args()
    return walk(Demo(find_checklist("twin-turboprop"), STORY, given.out, live=given.live, zones=given.zones))


def walk(demo: Demo) -> int:
    """Walk; 0 when the walk came to its end."""
    began = time.monotonic()
    if demo.out.exists() and any(demo.out.iterdir()) and not (demo.out / "walk" / LOG_NAME).exists():
        print(f"demo: {demo.out} holds other things\n  what to do: give --out a new folder")
        return 2
    shutil.rmtree(demo.out, ignore_errors=True)
    book = Book(load(demo.checklist))
    text = demo.checklist.read_bytes()
    writer = JournalWriter.create(demo.out / "walk", text)
    console = Console(highlight=False)
    with (_in_real_time if demo.live else _at_once)(demo, book) as (mouth, listener):
        session = Session(book, writer, mouth, listener, TerminalScreen(book.checklist, console))
        source = "microphone" if demo.live else "synthetic"
        ended = session.begin(demo.begin, hashlib.sha256(text).hexdigest(), source)
    writer.close()
    _sum_up(demo, book, console)
    console.print(f"The walk took {time.monotonic() - began:.0f} s.")
    return 0 if ended else 1


@contextmanager
def _at_once(demo: Demo, book: Book) -> Generator[tuple[Mouth, Listener]]:
    inspector = Inspector(book, demo.story, demo.zones)
    with (
        FileSpeaker(demo.out / _CONVERSATION) as recording,
        Voice(demo.voice, _PROMPTS, recording) as voice,
    ):
        voice.prepare(item.prompt for item in book.checklist.items())
        yield voice, AtOnce(inspector, Ears(locate().path), recording)


@contextmanager
def _in_real_time(demo: Demo, book: Book) -> Generator[tuple[Mouth, Listener]]:
    inspector = Inspector(book, demo.story, demo.zones)
    ears = Ears(locate().path)
    with VirtualAudio() as card:
        os.environ.update(card.environment)  # before PortAudio is used for the first time
        with (
            card.listening("ear") as prompts,
            card.listening("mic_feed") as answers,
            Voice(demo.voice, _PROMPTS, PortAudioSpeaker()) as voice,
            Microphone() as microphone,
        ):
            voice.prepare(item.prompt for item in book.checklist.items())
            listener = SoundListener(lambda: ears, iter(microphone), PATIENCE_S, lambda: microphone.overflows)
            yield HalfDuplex(voice, microphone), InRealTime(inspector, listener, card)
    _keep(demo.out, prompts, answers)


def _keep(folder: Path, prompts: Recording, answers: Recording) -> None:
    write_wav(folder / "prompts.wav", Sound(prompts.samples, EAR_RATE))
    write_wav(folder / _CONVERSATION, Sound(mixed(prompts, answers), EAR_RATE))


def _sum_up(demo: Demo, book: Book, console: Console) -> None:
    folder = demo.out / "walk"
    text = as_text(summarise(read(folder).events, book.checklist), book.checklist)
    (demo.out / "summary.txt").write_text(text + "\n", encoding="utf-8")
    walked = gather(folder)
    (demo.out / "debrief.html").write_text(page(walked, sounds_of(walked)), encoding="utf-8")
    console.rule("summary")
    console.print(text, soft_wrap=True, markup=False)
    console.print(f"For an instructor, with the sounds: {demo.out / 'debrief.html'}", soft_wrap=True, markup=False)
    console.print(f"\nLog and clips: {_shown(folder)}", soft_wrap=True)
    console.print(f"To listen to:  {_shown(demo.out / _CONVERSATION)}", soft_wrap=True)


def _shown(path: Path) -> Path:
    return path.relative_to(Path.cwd()) if path.is_relative_to(Path.cwd()) else path


if __name__ == "__main__":
    sys.exit(main())
