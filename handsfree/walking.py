"""The command `walk`: a walk from the options given to the last word."""

from __future__ import annotations

import hashlib
import os
import shlex
import signal
import sys
import tempfile
from collections.abc import Callable, Collection, Generator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from platformdirs import user_cache_path, user_data_path
from rich.console import Console

from handsfree.book import Book, course_in
from handsfree.checklist.authored import unusable
from handsfree.checklist.compose import Patterns
from handsfree.checklist.loading import Source as ChecklistSource
from handsfree.checklist.loading import read
from handsfree.checklist.problems import ChecklistError
from handsfree.journal.errors import JournalError
from handsfree.journal.privacy import KEPT_DAYS
from handsfree.journal.reader import CHECKLIST_NAME, EXERCISE_NAME, LOG_NAME, MOST_OF_A_CHECKLIST, Journal
from handsfree.journal.seal import is_sealed
from handsfree.languages import language as language_of
from handsfree.replay import cut_off
from handsfree.resources import find_checklist
from handsfree.screen import TerminalScreen
from handsfree.session import Listener, Mouth, Revive, Session, Source
from handsfree.shown import harmless, shortened
from handsfree.terminal import BAD_INPUT, INTERRUPTED, complain, fail
from handsfree.walk.course import Course

if TYPE_CHECKING:
    from handsfree.journal.keys import SigningKey
    from handsfree.journal.writer import JournalWriter
    from handsfree.speaking.settings import VoiceSettings
    from handsfree.speaking.voice import Voice

APP = "handsfree-walkaround"
_NOT_WITH = {
    "typed": ("audio", "headset", "microphone"),
    "audio": ("headset", "microphone"),
    "resume": ("who", "registration", "given", "full"),
}
"""Options of a walk, and those that mean nothing beside them."""
_ONLY_ONCE = frozenset({"checklist", "resume", "log", "who", "registration", "given", "full", "audio"})
"""What is not said again to go on with a walk: it is in the log, or was used up."""
_LONGEST_LINE, _MOST_PIECES = 10_000, 1000
"""Characters of a typed line that are taken, and how many times as many are looked through for its end."""


ChecklistArgument = Annotated[str, typer.Argument(help="A checklist file, or the name of a shipped one.")]
ModelOption = Annotated[Path | None, typer.Option(help="Folder of the speech model; else it is looked for.")]
LanguageOption = Annotated[str, typer.Option(help="Language of the checklist, as ko; else its first.")]
TypedOption = Annotated[bool, typer.Option(help="Type the answers instead of speaking them.")]
AudioOption = Annotated[str | None, typer.Option(help="Take the answers from this sound file; - = raw 16 kHz PCM.")]
LogOption = Annotated[Path | None, typer.Option(help="Folder for this walk's log.")]
WhoOption = Annotated[str, typer.Option(help="Initials or name of the inspector; else they are asked.")]
GivenOption = Annotated[
    list[str] | None, typer.Option(help="Answer a question of the start beforehand, as night=no; once for each.")
]
VoiceOption = Annotated[str, typer.Option(help="Voice of the prompts, as espeak-ng names it.")]
RateOption = Annotated[int, typer.Option(help="Words a minute.")]
VolumeOption = Annotated[float, typer.Option(help="0 to 1.")]
MicrophoneOption = Annotated[str | None, typer.Option(help="Part of the microphone's name.")]
LoudspeakerOption = Annotated[str | None, typer.Option(help="Part of the loudspeaker's name.")]
SilentOption = Annotated[bool, typer.Option(help="Show the prompts and do not speak them.")]
HeadsetOption = Annotated[
    bool, typer.Option("--headset", help="Answer into the questions. Without a headset it would hear itself.")
]
KeepClipsOption = Annotated[
    float,
    typer.Option(
        help="Days after which the clips of finished walks are removed, when a walk begins; 0 = at once.",
        envvar="HANDSFREE_KEEP_CLIPS",
        min=0,
        max=36_500,
    ),
]
ClipsOption = Annotated[bool, typer.Option("--clips/--no-clips", help="Keep the sound of what was answered.")]


@dataclass(frozen=True, slots=True)
class Means:
    """What a walk is spoken and heard with, as the options say."""

    kind: Source
    audio: str | None
    silent: bool
    voice: VoiceSettings
    microphone: str | None
    loudspeaker: str | None
    headset: bool
    model: Path | None


def walk(  # noqa: PLR0913, PLR0917  # one option a setting
    context: typer.Context,
    checklist: ChecklistArgument = "twin-turboprop",
    typed: TypedOption = False,
    audio: AudioOption = None,
    resume: Annotated[
        bool, typer.Option(help="Go on with the walk of --log, or with the newest unfinished one.")
    ] = False,
    log: LogOption = None,
    who: WhoOption = "",
    registration: Annotated[str, typer.Option(help="The aircraft's registration; else it is asked.")] = "",
    given: GivenOption = None,
    full: Annotated[bool, typer.Option(help="Full prompts, for a trainee.")] = False,
    voice: VoiceOption = "en",
    rate: RateOption = 150,
    volume: VolumeOption = 1.0,
    microphone: MicrophoneOption = None,
    loudspeaker: LoudspeakerOption = None,
    silent: SilentOption = False,
    headset: HeadsetOption = False,
    sign: Annotated[Path | None, typer.Option(help="Sign the record with this key; see handsfree key.")] = None,
    clips: ClipsOption = True,
    keep_clips: KeepClipsOption = KEPT_DAYS,
    language: LanguageOption = "",
    model: ModelOption = None,
) -> None:
    """Walk round the aircraft: prompts are spoken, answers heard, everything kept in a log.

    Examples:  handsfree walk twin-turboprop  |  handsfree walk my.yaml --typed  |  handsfree walk --resume
    """
    from handsfree.journal.keys import read_key  # noqa: PLC0415
    from handsfree.walk.events import Begin  # noqa: PLC0415

    options = given_options(context)
    refuse_contradictions(options)
    settings = voice_settings(voice, rate, volume, named="voice" in options)
    refuse_odd_name(who)
    key = read_key(sign) if sign else None
    means = Means(source_of(typed, audio), audio, silent, settings, microphone, loudspeaker, headset, model)
    console = plain_console()
    forget_voices(keep_clips, console)
    with told_to_end() as told, ExitStack() as stack:
        writer, journal = _reopened(stack, log or _newest_unfinished(), key) if resume else (None, None)
        if writer and journal and journal.ended:
            if not is_sealed(writer.folder):
                writer.seal(key)
            folder = harmless(str(writer.folder))
            typer.echo(f"The walk in {folder} is over. See it with:  handsfree summary {folder}")
            return
        file = writer.folder / CHECKLIST_NAME if writer else find_checklist(checklist)
        spoken = journal.language if journal else language
        source, text = read(file, spoken), file.read_bytes()
        book = prepared_book(source, course_in(journal, source.checklist) if journal else None)
        if "voice" not in options:
            means = replace(means, voice=replace(settings, voice=book.tongue.voice))
        left = cut_off(book, journal) if journal else None
        answers = _checked_answers(given or (), book)
        plain = _checked_registration(registration, book)
        begin = Begin(who, plain, full, level_check=means.kind == "microphone", given=answers)
        equipment = equipped(stack, book, means, console)
        writer = writer or new_log(stack, log or new_folder(walks_folder(), source.checklist.id), text)
        session = equipment.session(book, writer, key=key, keep_clips=clips)
        digest = hashlib.sha256(text).hexdigest()
        ended = until_told(
            told, console, lambda: session.resume(left) if left else session.begin(begin, digest, means.kind)
        )
    take_leave(writer, console, go_on="" if ended else _go_on(writer.folder, options))


@dataclass(frozen=True, slots=True)
class Equipment:
    """What a walk is spoken, heard and shown with."""

    mouth: Mouth
    listener: Listener
    screen: TerminalScreen
    ask: Callable[[str], float] | None = None
    revive: Revive | None = None

    def session(
        self, book: Book, writer: JournalWriter, *, key: SigningKey | None = None, keep_clips: bool = True
    ) -> Session:
        """A walk with it."""
        return Session(
            book, writer, self.mouth, self.listener, self.screen, self.ask, self.revive, key=key, keep_clips=keep_clips
        )


def plain_console() -> Console:
    """What is shown comes from outside: no markup."""
    return Console(highlight=False, markup=False, emoji=False)


def source_of(typed: bool, audio: str | None) -> Source:
    """Where the answers come from."""
    return "typed" if typed else "file" if audio else "microphone"


def refuse_odd_name(who: str) -> None:
    """Whoever inspects has a name that can be printed."""
    if not who.isprintable():
        fail("--who is not plain text", "give initials or a name in letters")


def new_folder(above: Path, checklist_id: str) -> Path:
    """The folder of a walk that begins now."""
    return above / f"{datetime.now(UTC):%Y%m%dT%H%M%SZ}-{checklist_id}"


def new_log(stack: ExitStack, folder: Path, checklist: bytes, exercise: bytes | None = None) -> JournalWriter:
    """A log that is closed with the stack."""
    from handsfree.journal.writer import JournalWriter  # noqa: PLC0415

    writer = JournalWriter.create(folder, checklist, exercise_text=exercise)
    stack.callback(writer.close)
    return writer


def until_told(told: list[str], console: Console, act: Callable[[], bool]) -> bool:
    """Walk until it ends, or somebody ends the program; whether it came to its end."""
    try:
        return act()
    except (KeyboardInterrupt, Exception):  # an interruption while a line is written comes out as another error
        if not told:
            raise
        console.print(f"\nStopped by {told[0]}.")
        return False


def take_leave(writer: JournalWriter, console: Console, *, go_on: str) -> None:
    """Say where the log is, and, where the walk is not over, how to go on with it."""
    if writer.unwritten:
        _hand_out(writer, console)
    console.print(f"\nLog: {harmless(str(writer.folder))}", soft_wrap=True)
    if go_on:
        console.print(f"The walk is not over. Go on with:  {harmless(go_on)}", soft_wrap=True)
        raise typer.Exit(INTERRUPTED)


def walks_folder() -> Path:
    """Where walks are kept unless --log says otherwise."""
    return user_data_path(APP) / "walks"


def practice_folder() -> Path:
    """Where practised walks are kept unless --log says otherwise."""
    return user_data_path(APP) / "practice"


def prompts_folder() -> Path:
    """Where rendered prompts are kept."""
    return user_cache_path(APP) / "prompts"


def equipped(stack: ExitStack, book: Book, means: Means, console: Console) -> Equipment:
    """Open what the options name; what it opens is closed with the stack.  Raises AudioError, ModelError."""
    from handsfree import listeners, mouths, steadfast  # noqa: PLC0415

    screen = TerminalScreen(book.checklist, console)
    silent = means.silent or means.kind == "typed"
    spoken = None if silent else _voice(stack, means.voice, means.loudspeaker)
    prompts = [*steadfast.SENTENCES, *(item.prompt for item in book.checklist.items())]
    mouth: Mouth = mouths.RenderingAhead(spoken, prompts) if spoken else mouths.Silent()
    if means.kind == "typed":
        reconfigure: Any = getattr(sys.stdin, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="replace")  # bytes of another encoding must not end a walk
        return Equipment(mouth, listeners.TypedListener(_read_line), screen)
    from handsfree.hearing.ears import Ears  # noqa: PLC0415
    from handsfree.models_by_language import locate  # noqa: PLC0415
    from handsfree.revival import Revival  # noqa: PLC0415

    # The model loads while the cautions are spoken; what is wrong with its files is said before.
    model = locate(book.tongue.code, means.model)
    if not model.measured:
        console.print("Note: the tool was not measured with this speech model. Do not rely on what it hears.")
    ears = stack.enter_context(ThreadPoolExecutor(1)).submit(Ears, model.path).result
    if means.audio is not None:
        from handsfree.hearing.files import blocks_from_file, blocks_from_pcm  # noqa: PLC0415

        blocks = blocks_from_pcm(sys.stdin.buffer) if means.audio == "-" else blocks_from_file(Path(means.audio))
        revive = Revival(None, partial(mouth.say, steadfast.CAN_SPEAK))
        return Equipment(mouth, listeners.SoundListener(ears, blocks), screen, revive=revive)
    from handsfree.hearing.microphone import Microphone  # noqa: PLC0415

    opened = stack.enter_context(Microphone(means.microphone))
    mouth = listeners.HalfDuplex(mouth, opened)
    revive = Revival(opened, partial(mouth.say, steadfast.CAN_SPEAK))
    if spoken is None or not means.headset:
        blocks = listeners.Metered(opened, lambda: opened.level_dbfs, screen.level)
        listener = listeners.SoundListener(ears, blocks, listeners.PATIENCE_S, lambda: opened.overflows)
        return Equipment(mouth, listener, screen, revive=revive)
    from handsfree.headset import OpenEars  # noqa: PLC0415

    open_ears = OpenEars(spoken, opened)
    blocks = listeners.Metered(open_ears, lambda: opened.level_dbfs, screen.level)
    listener = listeners.SoundListener(ears, blocks, listeners.PATIENCE_S, lambda: opened.overflows)
    return Equipment(mouth, listener, screen, open_ears.ask, revive)


def _voice(stack: ExitStack, settings: VoiceSettings, device: str | None) -> Voice:
    from handsfree.speaking.portaudio_speaker import PortAudioSpeaker  # noqa: PLC0415
    from handsfree.speaking.voice import Voice  # noqa: PLC0415

    speaker = PortAudioSpeaker(device)
    speaker.device()  # without one nothing is begun
    return stack.enter_context(Voice(settings, prompts_folder(), speaker))


def voice_settings(voice: str, rate: int, volume: float, *, named: bool) -> VoiceSettings:
    """How the prompts sound; a voice that was named is tried, also where nothing will be spoken."""
    from handsfree.speaking.rendering import render  # noqa: PLC0415
    from handsfree.speaking.settings import VoiceSettings  # noqa: PLC0415

    try:
        settings = VoiceSettings(voice, rate, volume=volume)
    except ValueError as error:
        fail(str(error), "see handsfree walk --help")
    if named:
        render("one", settings)
    return settings


def _reopened(stack: ExitStack, path: Path, key: SigningKey | None) -> tuple[JournalWriter, Journal]:
    """A walk to go on with, as it was begun: with the same checklist, and the same key if it is to be signed."""
    from handsfree.journal.writer import JournalWriter  # noqa: PLC0415

    writer, journal = JournalWriter.reopen(path)
    stack.callback(writer.close)
    opened = journal.opened
    if opened is None:
        return writer, journal
    for name, sha256 in ((CHECKLIST_NAME, opened.checklist_sha256), (EXERCISE_NAME, opened.exercise_sha256)):
        _refuse_another(writer.folder / name, sha256)
    if opened.signed_by and (key is None or key.public != opened.signed_by):
        fail(
            f"this walk is to be signed with the key {shortened(opened.signed_by)}",
            "give that key with --sign KEY-FILE",
        )
    return writer, journal


def _refuse_another(copy: Path, sha256: str) -> None:
    """What lies beside the log must be what the walk began with."""
    from handsfree.journal.disk import digest_of  # noqa: PLC0415

    put_back = "put it back as it was, or begin a new walk"
    try:
        same = not sha256 or digest_of(copy, MOST_OF_A_CHECKLIST) == sha256
    except OSError as error:
        fail(f"{copy} cannot be read: {error.strerror}", put_back)
    if not same:
        fail(f"{copy} is not the {copy.stem} that this walk began with", put_back)


def prepared_book(source: ChecklistSource, course: Course | None = None) -> Book:
    """The checklist ready to be walked; what is wrong with a phrase is told before, with its place."""
    try:
        book = Book(source.checklist, course=course)
    except ChecklistError as error:
        problems = list(unusable(source.checklist, Patterns(language_of(source.checklist.language).grammars)))
        raise ChecklistError(source.placed(problems or error.problems)) from error
    if problems := list(book.phrasebook.unusable()):
        raise ChecklistError(source.placed(problems))
    return book


def forget_voices(days: float, console: Console) -> None:
    """Remove the clips of walks and of practice that are older."""
    from handsfree.journal.privacy import forget_old  # noqa: PLC0415

    for folder in (walks_folder(), practice_folder()):
        for old in forget_old(folder, days):
            name = harmless(old.name)
            console.print(f"Older than {days:g} days: the clips of {name} were removed.", soft_wrap=True)


def _hand_out(writer: JournalWriter, console: Console) -> None:
    """What the log's disk never took: into another folder, or at the very least onto the screen."""
    lines = writer.rescue()
    try:
        descriptor, name = tempfile.mkstemp(prefix="handsfree-unwritten-", suffix=".jsonl")
        with os.fdopen(descriptor, "wb") as file:
            file.write(lines)
            file.flush()
            os.fsync(descriptor)
    except OSError:
        console.print(lines.decode(), soft_wrap=True, markup=False)
        complain(f"the last {writer.unwritten} events could be written nowhere; they stand above", "copy them")
        raise typer.Exit(BAD_INPUT) from None
    log = writer.folder / LOG_NAME
    command = f"cat {shlex.quote(name)} >> {shlex.quote(str(log))}"
    fail(
        f"the last {writer.unwritten} events could not be written to {log}: they are in {name}",
        f"when that disk can be written again:  {command}  and then go on with --resume",
    )


def given_options(context: typer.Context) -> dict[str, str]:
    """The options that were written on the command line, each as a shell takes it: ``rate`` → ``--rate 120``."""
    given: dict[str, str] = {}
    for option in context.command.params:
        name = option.name or ""
        source, value = context.get_parameter_source(name), context.params.get(name)
        if option.param_type_name == "option" and source and source.name == "COMMANDLINE" and value is not False:
            given[name] = option.opts[0] if value is True else shlex.join([option.opts[0], str(value)])
    return given


def refuse_contradictions(given: Collection[str]) -> None:
    """Options that mean nothing beside each other are an error."""
    for one, others in _NOT_WITH.items():
        for other in others:
            if one in given and other in given:
                begun = one == "resume"
                hint = f"leave --{other} out: a walk keeps what it began with" if begun else "leave one of them out"
                fail(f"--{one} and --{other} do not go together", hint)


def _go_on(folder: Path, given: dict[str, str]) -> str:
    """The command that goes on with a walk, with the options that were given."""
    again = [option for name, option in given.items() if name not in _ONLY_ONCE]
    return " ".join([shlex.join(["handsfree", "walk", "--resume", "--log", str(folder)]), *again])


@contextmanager
def told_to_end() -> Generator[list[str]]:
    """To be told to end, or to lose the terminal, is like being stopped by hand.  Yields by what, once it happens."""
    told: list[str] = []

    def stop(number: int, _frame: object) -> None:
        signal.signal(number, signal.SIG_DFL)  # a second time ends at once
        told.append("hand" if number == signal.SIGINT else signal.Signals(number).name)
        raise KeyboardInterrupt

    # One that is ignored was meant to be: a walk under nohup outlives its terminal.
    before = {one: signal.getsignal(one) for one in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)}
    heeded = [one for one, handler in before.items() if handler is not signal.SIG_IGN]
    for one in heeded:
        signal.signal(one, stop)
    try:
        yield told
    finally:
        for one in heeded:
            signal.signal(one, before[one])


def _read_line() -> str:
    """A line; of one that is too long to be typed only the beginning, and one that never ends is no line."""
    if sys.stdin.isatty():
        return input("> ")
    line = sys.stdin.readline(_LONGEST_LINE)
    rest, pieces, more = line, 1, False
    while len(rest) == _LONGEST_LINE and not rest.endswith("\n") and pieces < _MOST_PIECES:
        rest, pieces = sys.stdin.readline(_LONGEST_LINE), pieces + 1
        more = more or rest not in ("", "\n")
    if not line or pieces == _MOST_PIECES:
        raise EOFError
    return f"{line} …" if more else line


def _newest_unfinished() -> Path:
    from handsfree.journal.reader import is_begun  # noqa: PLC0415
    from handsfree.journal.reader import read as read_log  # noqa: PLC0415

    above = walks_folder()
    for folder in sorted(above.iterdir() if above.is_dir() else (), reverse=True):
        if folder.is_dir() and is_begun(folder) and not read_log(folder).ended:
            return folder
    raise JournalError(f"there is no unfinished walk in {above}", "give its folder with --log, or start a new walk")


def _checked_registration(text: str, book: Book) -> str:
    import re  # noqa: PLC0415

    plain = text.upper().replace("-", "")
    expected = book.checklist.aircraft.registration
    if text and not re.fullmatch(expected.pattern, plain):
        fail(f"'{text}' is no registration of this operator", f"one looks like {expected.example}")
    return plain


def _checked_answers(texts: Sequence[str], book: Book) -> tuple[tuple[str, bool], ...]:
    """Answers to questions at the start, in the order of the questions."""
    questions = [one.id for one in book.checklist.conditions]
    answers: dict[str, bool] = {}
    for text in texts:
        name, _, answer = text.partition("=")
        if name not in questions:
            told = ", ".join(questions) or "none"
            fail(
                f"'{shortened(text)}' answers no question of the start", f"write NAME=yes or NAME=no; the names: {told}"
            )
        if answer not in ("yes", "no"):
            fail(f"'{shortened(text)}' is neither yes nor no", f"write {name}=yes or {name}=no")
        if answers.setdefault(name, answer == "yes") != (answer == "yes"):
            fail(f"'{name}' is answered with yes and with no", "leave one of them out")
    return tuple((name, answers[name]) for name in questions if name in answers)
