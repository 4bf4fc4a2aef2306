"""Commands."""

from __future__ import annotations

import dataclasses
import hashlib
import os
import shlex
import signal
import sys
import tempfile
from collections.abc import Callable, Collection, Generator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer
from platformdirs import user_cache_path, user_data_path
from rich.console import Console

from handsfree import evidence
from handsfree.bench.command import bench
from handsfree.book import Book
from handsfree.checklist.authored import unusable
from handsfree.checklist.compose import Patterns
from handsfree.checklist.loading import Source as ChecklistSource
from handsfree.checklist.loading import read
from handsfree.checklist.problems import ChecklistError
from handsfree.errors import Mendable
from handsfree.hearing.one_heap import keep_one_heap
from handsfree.journal.errors import JournalError
from handsfree.journal.privacy import KEPT_DAYS
from handsfree.journal.reader import LOG_NAME, Journal
from handsfree.journal.seal import is_sealed
from handsfree.language.errors import GrammarError
from handsfree.language.grammars import Grammars
from handsfree.replay import cut_off
from handsfree.resources import find_checklist, grammars_folder
from handsfree.screen import TerminalScreen
from handsfree.session import Listener, Mouth, Revive, Session, Source
from handsfree.shown import harmless, json_line, shortened

if TYPE_CHECKING:
    from handsfree.journal.keys import SigningKey
    from handsfree.journal.writer import JournalWriter
    from handsfree.language.phrase import Phrase
    from handsfree.speaking.settings import VoiceSettings
    from handsfree.speaking.voice import Voice

APP = "handsfree-walkaround"
app = typer.Typer(
    name="handsfree",
    help="A hands-free, offline, spoken assistant for the walk round an aircraft before flight.\n\n"
    "It reports; the aircraft's own manuals, local rules and licensed staff decide.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
)
BAD_INPUT, INTERRUPTED = 2, 3
"""Exit codes beside 0 (done) and 1 (``check`` found errors): something given is unusable; the walk did not end."""
_NOT_WITH = {
    "typed": ("audio", "headset", "microphone"),
    "audio": ("headset", "microphone"),
    "resume": ("who", "registration", "full"),
}
"""Options of a walk, and those that mean nothing beside them."""
_ONLY_ONCE = frozenset({"checklist", "resume", "log", "who", "registration", "full", "audio"})
"""What is not said again to go on with a walk: it is in the log, or was used up."""
_LONGEST_LINE, _MOST_PIECES = 10_000, 1000
"""Characters of a typed line that are taken, and how many times as many are looked through for its end."""

app.command()(bench)
for _command in (evidence.verify, evidence.anchor, evidence.forget, evidence.key):
    app.command()(_command)

ChecklistArgument = Annotated[str, typer.Argument(help="A checklist file, or the name of a shipped one.")]
ModelOption = Annotated[Path | None, typer.Option(help="Folder of the speech model; else it is looked for.")]
JsonOption = Annotated[bool, typer.Option("--json", help="One JSON object a line, for machines.")]


def main() -> None:
    """Run a command; what goes wrong is one line that says what, and one that says what to do."""
    keep_one_heap()
    try:
        app()
    except Mendable as error:
        _fail(error.message, error.hint)
    except ChecklistError as error:
        first, *others = map(str, error.problems)
        _fail(first, "handsfree check FILE lists every problem", *others)
    except GrammarError as error:
        _fail(str(error), "handsfree check FILE lists every problem")


@app.command()
def walk(  # noqa: PLR0913, PLR0917  # one option a setting
    context: typer.Context,
    checklist: ChecklistArgument = "twin-turboprop",
    typed: Annotated[bool, typer.Option(help="Type the answers instead of speaking them.")] = False,
    audio: Annotated[
        str | None, typer.Option(help="Take the answers from this sound file; - = raw 16 kHz PCM.")
    ] = None,
    resume: Annotated[
        bool, typer.Option(help="Go on with the walk of --log, or with the newest unfinished one.")
    ] = False,
    log: Annotated[Path | None, typer.Option(help="Folder for this walk's log.")] = None,
    who: Annotated[str, typer.Option(help="Initials or name of the inspector; else they are asked.")] = "",
    registration: Annotated[str, typer.Option(help="The aircraft's registration; else it is asked.")] = "",
    full: Annotated[bool, typer.Option(help="Full prompts, for a trainee.")] = False,
    voice: Annotated[str, typer.Option(help="Voice of the prompts, as espeak-ng names it.")] = "en",
    rate: Annotated[int, typer.Option(help="Words a minute.")] = 150,
    volume: Annotated[float, typer.Option(help="0 to 1.")] = 1.0,
    microphone: Annotated[str | None, typer.Option(help="Part of the microphone's name.")] = None,
    loudspeaker: Annotated[str | None, typer.Option(help="Part of the loudspeaker's name.")] = None,
    silent: Annotated[bool, typer.Option(help="Show the prompts and do not speak them.")] = False,
    headset: Annotated[
        bool, typer.Option("--headset", help="Answer into the questions. Without a headset it would hear itself.")
    ] = False,
    sign: Annotated[Path | None, typer.Option(help="Sign the record with this key; see handsfree key.")] = None,
    clips: Annotated[bool, typer.Option("--clips/--no-clips", help="Keep the sound of what was answered.")] = True,
    keep_clips: Annotated[
        float,
        typer.Option(
            help="Days after which the clips of finished walks are removed, when a walk begins; 0 = at once.",
            envvar="HANDSFREE_KEEP_CLIPS",
            min=0,
            max=36_500,
        ),
    ] = KEPT_DAYS,
    model: ModelOption = None,
) -> None:
    """Walk round the aircraft: prompts are spoken, answers heard, everything kept in a log.

    Examples:  handsfree walk twin-turboprop  |  handsfree walk my.yaml --typed  |  handsfree walk --resume
    """
    from handsfree.journal.keys import read_key  # noqa: PLC0415
    from handsfree.journal.reader import CHECKLIST_NAME  # noqa: PLC0415
    from handsfree.journal.writer import JournalWriter  # noqa: PLC0415
    from handsfree.walk.events import Begin  # noqa: PLC0415

    given = _given(context)
    _refuse_contradictions(given)
    settings = _voice_settings(voice, rate, volume, named="voice" in given)
    if not who.isprintable():
        _fail("--who is not plain text", "give initials or a name in letters")
    key = read_key(sign) if sign else None
    kind: Source = "typed" if typed else "file" if audio else "microphone"
    console = Console(highlight=False, markup=False, emoji=False)  # what is shown comes from outside
    _forget_old(keep_clips, console)
    with _told_to_end() as told, ExitStack() as stack:
        writer, journal = _reopened(stack, log or _newest_unfinished(), key) if resume else (None, None)
        if writer and journal and journal.ended:
            if not is_sealed(writer.folder):
                writer.seal(key)
            folder = harmless(str(writer.folder))
            typer.echo(f"The walk in {folder} is over. See it with:  handsfree summary {folder}")
            return
        file = writer.folder / CHECKLIST_NAME if writer else find_checklist(checklist)
        source, text = read(file), file.read_bytes()
        book = _book(source)
        left = cut_off(book, journal) if journal else None
        begin = Begin(who, _checked_registration(registration, book), full, level_check=kind == "microphone")
        screen = TerminalScreen(source.checklist, console)
        mouth, listener, ask, revive = _mouth_and_listener(
            stack, book, kind=kind, audio=audio, silent=silent or typed, voice=settings,
            devices=(microphone, loudspeaker), headset=headset, model=model, screen=screen,
        )  # fmt: skip
        if writer is None:
            folder = log or walks_folder() / f"{datetime.now(UTC):%Y%m%dT%H%M%SZ}-{source.checklist.id}"
            writer = JournalWriter.create(folder, text)
            stack.callback(writer.close)
        session = Session(book, writer, mouth, listener, screen, ask, revive, key=key, keep_clips=clips)
        digest = hashlib.sha256(text).hexdigest()
        try:
            ended = session.resume(left) if left else session.begin(begin, digest, kind)
        except (KeyboardInterrupt, Exception):  # an interruption while a line is written comes out as another error
            if not told:
                raise
            console.print(f"\nStopped by {told[0]}.")
            ended = False
    if writer.unwritten:
        _hand_out(writer, console)
    console.print(f"\nLog: {harmless(str(writer.folder))}", soft_wrap=True)
    if not ended:
        go_on = harmless(_go_on(writer.folder, given))
        console.print(f"The walk is not over. Go on with:  {go_on}", soft_wrap=True)
        raise typer.Exit(INTERRUPTED)


@app.command()
def phrases(
    checklist: ChecklistArgument,
    item: Annotated[str | None, typer.Argument(help="Only this item.")] = None,
    everywhere: Annotated[bool, typer.Option(help="Also examples of reports of other places; with them, all.")] = False,
    everything: Annotated[bool, typer.Option("--all", help="Every phrase, one a line.")] = False,
    as_json: JsonOption = False,
) -> None:
    """List what can be said: for people the responses and findings of each item, with --all or --json everything.

    Examples:  handsfree phrases twin-turboprop nose-tyres  |  handsfree phrases twin-turboprop --json
    """
    book = _book(read(find_checklist(checklist)))
    for one in [_item(book, item)] if item else book.checklist.items():
        listed = [*book.phrasebook.own_phrases(one), *book.phrasebook.general_phrases(one)]
        own = {phrase.heard_as for phrase in listed}
        listed += [phrase for phrase in book.phrasebook.control_phrases() if phrase.heard_as not in own]
        listed += book.phrasebook.everywhere_phrases() if everywhere else ()
        if not (as_json or everything or everywhere):
            typer.echo(_in_short(one.id, book.phrasebook.own_phrases(one), len(listed)))
            continue
        for phrase in listed:
            row = {
                "item": one.id,
                "phrase": phrase.text,
                "outcome": phrase.meaning.outcome,
                "meaning": phrase.meaning.as_dict(),
            }
            _row(row, as_json, f"{one.id:24} {phrase.meaning.outcome:8} {phrase.text}")


@app.command()
def hear(
    checklist: ChecklistArgument,
    item: Annotated[str, typer.Argument(help="The item that is being asked.")],
    files: Annotated[list[Path], typer.Argument(help="Sound files, one utterance each.")],
    as_json: JsonOption = False,
    model: ModelOption = None,
) -> None:
    """Say what would be understood of recordings at an item, exactly as on a walk.

    Example:  handsfree hear twin-turboprop nose-tyres answer.wav --json
    """
    from handsfree.hearing.ears import Ears  # noqa: PLC0415
    from handsfree.hearing.files import blocks_from_file  # noqa: PLC0415
    from handsfree.hearing.recogniser import VoskRecogniser  # noqa: PLC0415
    from handsfree.portaudio import AudioError  # noqa: PLC0415
    from handsfree.speech_model import locate  # noqa: PLC0415
    from handsfree.walk.events import Expect  # noqa: PLC0415

    book = _book(read(find_checklist(checklist)))
    vocabulary = book.listening.vocabulary(Expect("item", _item(book, item).id))
    path = locate(model).path
    load = cache(VoskRecogniser)  # the model is loaded once
    unreadable = 0
    for file in files:
        # Ears of each file's own: what is learnt of the noise in one must not change what is heard in the next.
        ears = Ears(path, load=load)
        try:
            heard = ears.listen(blocks_from_file(file), vocabulary, patience_s=None).heard
        except AudioError as error:
            _complain(error.message, error.hint)
            unreadable += 1
            continue
        meanings = [one.as_dict() for one in heard.meanings]
        row = {
            "file": str(file),
            "outcome": heard.outcome,
            "said": heard.said,
            "meaning": meanings[0] if len(meanings) == 1 else {"clauses": meanings} if meanings else None,
            "confidence": round(heard.confidence, 4),
            "snr_db": heard.snr_db,
            "decided_after_s": heard.decided_after_s,
        }
        _row(row, as_json, f"{file}: {heard.outcome}: {heard.said} {heard.why}".rstrip())
    if unreadable:
        raise typer.Exit(BAD_INPUT)


@app.command()
def check(
    files: Annotated[list[str], typer.Argument(help="Checklist files, or names of shipped ones.")],
    as_json: JsonOption = False,
    model: ModelOption = None,
) -> None:
    """Check checklists: format, phrases, words that the speech model does not know, holds, limits, the way round.

    Example:  handsfree check my-aircraft.yaml
    """
    from handsfree.checklist.linter import check as lint  # noqa: PLC0415
    from handsfree.hearing.ears import Ears  # noqa: PLC0415
    from handsfree.pronunciation import Espeak  # noqa: PLC0415
    from handsfree.speech_model import locate  # noqa: PLC0415

    knows = Ears(locate(model).path).knows
    espeak = Espeak()
    if not espeak.answers():
        typer.echo("note: without espeak-ng (apt install espeak-ng) what sounds alike is told by letters", err=True)
    problems = 0
    for name in files:
        try:
            source = read(find_checklist(name))
            found = source.placed(lint(source.checklist, Grammars.load(grammars_folder()), knows, espeak.pronounce))
        except ChecklistError as error:
            found = list(error.problems)
        problems += sum(problem.level == "error" for problem in found)
        for problem in found:
            _row(dataclasses.asdict(problem), as_json, str(problem))
        if not found and not as_json:
            typer.echo(harmless(f"{name}: good"))
    raise typer.Exit(1 if problems else 0)


@app.command()
def model(
    action: Annotated[str, typer.Argument(help="show, fetch or verify.")] = "show",
    path: Annotated[Path | None, typer.Option("--model", help="Folder of the speech model.")] = None,
) -> None:
    """Show, fetch or verify the speech model.

    Example:  handsfree model fetch
    """
    from handsfree import speech_model  # noqa: PLC0415

    if action == "fetch":
        found = speech_model.fetch(_progress())
        typer.echo(f"\n{found.path} ({found.source})")
        return
    if action not in ("show", "verify"):
        _fail(f"there is no action '{action}'", "use show, fetch or verify")
    found = speech_model.locate(path)
    typer.echo(f"{found.path} ({found.source})")
    if action == "verify":
        for one in speech_model.verify(found.path):
            typer.echo(f"  {one.file.name}: {one.problem or 'good'}")


@app.command()
def devices(as_json: JsonOption = False) -> None:
    """List microphones and loudspeakers."""
    from handsfree import portaudio  # noqa: PLC0415

    found = portaudio.devices()
    if not found:
        _fail("there is no sound device", "plug in a headset, or use --typed or --audio")
    for one in found:
        use = ", ".join(
            word for word, there in (("microphone", one.input_channels), ("loudspeaker", one.output_channels)) if there
        )
        default = " (default)" if one.default_input or one.default_output else ""
        _row(dataclasses.asdict(one), as_json, f"{one.name}: {use}, {one.rate} Hz{default}")


@app.command()
def summary(
    log: Annotated[Path, typer.Argument(help="The folder of a walk, or its log.jsonl.")],
    as_json: JsonOption = False,
) -> None:
    """Print what was found, what was never looked at, and how long it took.

    Example:  handsfree summary walks/20260101T080000Z-twin-turboprop
    """
    from handsfree.debrief.summary import as_text, summarise  # noqa: PLC0415
    from handsfree.journal.belonging import refuse_what_is_not_in  # noqa: PLC0415
    from handsfree.journal.reader import CHECKLIST_NAME  # noqa: PLC0415
    from handsfree.journal.reader import read as read_log  # noqa: PLC0415

    journal = read_log(log)
    checklist = read(journal.folder / CHECKLIST_NAME).checklist
    refuse_what_is_not_in(checklist, journal.events, journal.folder)
    found = summarise(journal.events, checklist)
    if journal.torn:
        typer.echo(f"the last line was cut off and does not count ({len(journal.torn)} bytes)", err=True)
    _row(dataclasses.asdict(found), as_json, *as_text(found, checklist).split("\n"))


def _in_short(item: str, own: Sequence[Phrase], count: int) -> str:
    """An item's responses, and one phrase for each of its findings and numbers."""
    chosen: dict[str, list[str]] = {}
    known: set[tuple[str, str | None]] = set()
    for phrase in own:
        outcome, finding = phrase.meaning.outcome, phrase.meaning.get("finding")
        if outcome == "pass" or (outcome, finding) not in known:
            chosen.setdefault(outcome, []).append(phrase.text)
        known.add((outcome, finding))
    lines = [item, *(f"  {outcome:8} {', '.join(texts)}" for outcome, texts in chosen.items())]
    rest = count - sum(map(len, chosen.values()))
    return "\n".join(map(harmless, [*lines, f"  … and {rest} more; --all or --json shows every one"]))


def walks_folder() -> Path:
    """Where walks are kept unless --log says otherwise."""
    return user_data_path(APP) / "walks"


def prompts_folder() -> Path:
    """Where rendered prompts are kept."""
    return user_cache_path(APP) / "prompts"


def _mouth_and_listener(  # noqa: PLR0913  # what the options say
    stack: ExitStack,
    book: Book,
    *,
    kind: Source,
    audio: str | None,
    silent: bool,
    voice: VoiceSettings,
    devices: tuple[str | None, str | None],
    headset: bool,
    model: Path | None,
    screen: TerminalScreen,
) -> tuple[Mouth, Listener, Callable[[str], float] | None, Revive | None]:
    from handsfree import listeners, mouths, steadfast  # noqa: PLC0415

    spoken = None if silent else _voice(stack, voice, devices[1])
    prompts = [*steadfast.SENTENCES, *(item.prompt for item in book.checklist.items())]
    mouth: Mouth = mouths.RenderingAhead(spoken, prompts) if spoken else mouths.Silent()
    if kind == "typed":
        reconfigure: Any = getattr(sys.stdin, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="replace")  # bytes of another encoding must not end a walk
        return mouth, listeners.TypedListener(_read_line), None, None
    from handsfree.hearing.ears import Ears  # noqa: PLC0415
    from handsfree.revival import Revival  # noqa: PLC0415
    from handsfree.speech_model import locate  # noqa: PLC0415

    # The model loads while the cautions are spoken; what is wrong with its files is said before.
    ears = stack.enter_context(ThreadPoolExecutor(1)).submit(Ears, locate(model).path).result
    if audio is not None:
        from handsfree.hearing.files import blocks_from_file, blocks_from_pcm  # noqa: PLC0415

        blocks = blocks_from_pcm(sys.stdin.buffer) if audio == "-" else blocks_from_file(Path(audio))
        return (
            mouth,
            listeners.SoundListener(ears, blocks),
            None,
            Revival(None, partial(mouth.say, steadfast.CAN_SPEAK)),
        )
    from handsfree.hearing.microphone import Microphone  # noqa: PLC0415

    opened = stack.enter_context(Microphone(devices[0]))
    mouth = listeners.HalfDuplex(mouth, opened)
    revive = Revival(opened, partial(mouth.say, steadfast.CAN_SPEAK))
    if spoken is None or not headset:
        blocks = listeners.Metered(opened, lambda: opened.level_dbfs, screen.level)
        listener = listeners.SoundListener(ears, blocks, listeners.PATIENCE_S, lambda: opened.overflows)
        return mouth, listener, None, revive
    from handsfree.headset import OpenEars  # noqa: PLC0415

    open_ears = OpenEars(spoken, opened)
    blocks = listeners.Metered(open_ears, lambda: opened.level_dbfs, screen.level)
    listener = listeners.SoundListener(ears, blocks, listeners.PATIENCE_S, lambda: opened.overflows)
    return mouth, listener, open_ears.ask, revive


def _voice(stack: ExitStack, settings: VoiceSettings, device: str | None) -> Voice:
    from handsfree.speaking.portaudio_speaker import PortAudioSpeaker  # noqa: PLC0415
    from handsfree.speaking.voice import Voice  # noqa: PLC0415

    speaker = PortAudioSpeaker(device)
    speaker.device()  # without one nothing is begun
    return stack.enter_context(Voice(settings, prompts_folder(), speaker))


def _voice_settings(voice: str, rate: int, volume: float, *, named: bool) -> VoiceSettings:
    """How the prompts sound; a voice that was named is tried, also where nothing will be spoken."""
    from handsfree.speaking.rendering import render  # noqa: PLC0415
    from handsfree.speaking.settings import VoiceSettings  # noqa: PLC0415

    try:
        settings = VoiceSettings(voice, rate, volume=volume)
    except ValueError as error:
        _fail(str(error), "see handsfree walk --help")
    if named:
        render("one", settings)
    return settings


def _reopened(stack: ExitStack, path: Path, key: SigningKey | None) -> tuple[JournalWriter, Journal]:
    """A walk to go on with, as it was begun: with the same checklist, and the same key if it is to be signed."""
    from handsfree.journal.disk import digest_of  # noqa: PLC0415
    from handsfree.journal.reader import CHECKLIST_NAME, MOST_OF_A_CHECKLIST  # noqa: PLC0415
    from handsfree.journal.writer import JournalWriter  # noqa: PLC0415

    writer, journal = JournalWriter.reopen(path)
    stack.callback(writer.close)
    opened = journal.opened
    if opened is None:
        return writer, journal
    copy = writer.folder / CHECKLIST_NAME
    put_back = "put it back as it was, or begin a new walk"
    try:
        same = not opened.checklist_sha256 or digest_of(copy, MOST_OF_A_CHECKLIST) == opened.checklist_sha256
    except OSError as error:
        _fail(f"{copy} cannot be read: {error.strerror}", put_back)
    if not same:
        _fail(f"{copy} is not the checklist that this walk began with", put_back)
    if opened.signed_by and (key is None or key.public != opened.signed_by):
        _fail(
            f"this walk is to be signed with the key {shortened(opened.signed_by)}",
            "give that key with --sign KEY-FILE",
        )
    return writer, journal


def _book(source: ChecklistSource) -> Book:
    """The checklist ready to be walked; what is wrong with a phrase is told before, with its place."""
    try:
        book = Book(source.checklist)
    except ChecklistError as error:
        problems = list(unusable(source.checklist, Patterns(Grammars.load(grammars_folder()))))
        raise ChecklistError(source.placed(problems or error.problems)) from error
    if problems := list(book.phrasebook.unusable()):
        raise ChecklistError(source.placed(problems))
    return book


def _forget_old(days: float, console: Console) -> None:
    from handsfree.journal.privacy import forget_old  # noqa: PLC0415

    for old in forget_old(walks_folder(), days):
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
        _complain(f"the last {writer.unwritten} events could be written nowhere; they stand above", "copy them")
        raise typer.Exit(BAD_INPUT) from None
    log = writer.folder / LOG_NAME
    command = f"cat {shlex.quote(name)} >> {shlex.quote(str(log))}"
    _fail(
        f"the last {writer.unwritten} events could not be written to {log}: they are in {name}",
        f"when that disk can be written again:  {command}  and then go on with --resume",
    )


def _given(context: typer.Context) -> dict[str, str]:
    """The options that were written on the command line, each as a shell takes it: ``rate`` → ``--rate 120``."""
    given: dict[str, str] = {}
    for option in context.command.params:
        name = option.name or ""
        source, value = context.get_parameter_source(name), context.params.get(name)
        if option.param_type_name == "option" and source and source.name == "COMMANDLINE" and value is not False:
            given[name] = option.opts[0] if value is True else shlex.join([option.opts[0], str(value)])
    return given


def _refuse_contradictions(given: Collection[str]) -> None:
    for one, others in _NOT_WITH.items():
        for other in others:
            if one in given and other in given:
                begun = one == "resume"
                hint = f"leave --{other} out: a walk keeps what it began with" if begun else "leave one of them out"
                _fail(f"--{one} and --{other} do not go together", hint)


def _go_on(folder: Path, given: dict[str, str]) -> str:
    """The command that goes on with a walk, with the options that were given."""
    again = [option for name, option in given.items() if name not in _ONLY_ONCE]
    return " ".join([shlex.join(["handsfree", "walk", "--resume", "--log", str(folder)]), *again])


@contextmanager
def _told_to_end() -> Generator[list[str]]:
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
    raise JournalError("there is no unfinished walk", "give its folder with --log, or start a new walk")


def _checked_registration(text: str, book: Book) -> str:
    import re  # noqa: PLC0415

    plain = text.upper().replace("-", "")
    expected = book.checklist.aircraft.registration
    if text and not re.fullmatch(expected.pattern, plain):
        _fail(f"'{text}' is no registration of this operator", f"one looks like {expected.example}")
    return plain


def _item(book: Book, item: str) -> Any:
    try:
        return book.checklist.item(item)
    except KeyError:
        known = ", ".join(one.id for one in book.checklist.items())
        _fail(f"the checklist has no item '{item}'", f"its items are: {known}")


def _progress() -> Callable[[str, float | None], None]:
    def report(what: str, share: float | None) -> None:
        typer.echo(f"\r{what} {'' if share is None else f'{share:.0%}'}".ljust(60), nl=False, err=True)

    return report


def _row(row: dict[str, Any], as_json: bool, *lines: str) -> None:
    typer.echo(json_line(row) if as_json else "\n".join(map(harmless, lines)))


def _complain(message: str, hint: str, *more: str) -> None:
    for line in (f"handsfree: {message}", *more, *([f"  what to do: {hint}"] if hint else [])):
        typer.echo(harmless(line), err=True)


def _fail(message: str, hint: str, *more: str) -> NoReturn:
    _complain(message, hint, *more)
    sys.exit(BAD_INPUT)
