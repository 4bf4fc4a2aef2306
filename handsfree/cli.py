"""Commands."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import shlex
import signal
import sys
from collections.abc import Callable, Collection, Generator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer
from platformdirs import user_cache_path, user_data_path
from rich.console import Console

from handsfree.bench.command import bench
from handsfree.checklist.loading import read
from handsfree.checklist.problems import ChecklistError
from handsfree.errors import Mendable
from handsfree.hearing.one_heap import keep_one_heap
from handsfree.journal.errors import JournalError
from handsfree.language.errors import GrammarError
from handsfree.language.grammars import Grammars
from handsfree.resources import find_checklist, grammars_folder
from handsfree.screen import TerminalScreen
from handsfree.session import Book, Listener, Mouth, Session, Source

if TYPE_CHECKING:
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

app.command()(bench)

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
    except (ChecklistError, GrammarError) as error:
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
    model: ModelOption = None,
) -> None:
    """Walk round the aircraft: prompts are spoken, answers heard, everything kept in a log.

    Examples:  handsfree walk twin-turboprop  |  handsfree walk my.yaml --typed  |  handsfree walk --resume
    """
    from handsfree.journal.reader import CHECKLIST_NAME  # noqa: PLC0415
    from handsfree.journal.reader import read as read_log  # noqa: PLC0415
    from handsfree.journal.writer import JournalWriter  # noqa: PLC0415
    from handsfree.walk.events import Begin  # noqa: PLC0415

    given = _given(context)
    _refuse_contradictions(given)
    settings = _voice_settings(voice, rate, volume, named="voice" in given)
    if not who.isprintable():
        _fail("--who is not plain text", "give initials or a name in letters")
    journal = read_log(log or _newest_unfinished()) if resume else None
    if journal and journal.ended:
        typer.echo(f"The walk in {journal.folder} is over. See it with:  handsfree summary {journal.folder}")
        return
    file = journal.folder / CHECKLIST_NAME if journal else find_checklist(checklist)
    source = read(file)
    book = Book(source.checklist)
    kind: Source = "typed" if typed else "file" if audio else "microphone"
    begin = Begin(who, _checked_registration(registration, book), full, level_check=kind == "microphone")
    console = Console(highlight=False)
    screen = TerminalScreen(source.checklist, console)
    with _told_to_end() as told, ExitStack() as stack:
        mouth, listener, ask = _mouth_and_listener(
            stack, book, kind=kind, audio=audio, silent=silent or typed, voice=settings,
            devices=(microphone, loudspeaker), headset=headset, model=model, screen=screen,
        )  # fmt: skip
        text = file.read_bytes()
        folder = log or walks_folder() / f"{datetime.now(UTC):%Y%m%dT%H%M%SZ}-{source.checklist.id}"
        writer = JournalWriter.reopen(journal) if journal else JournalWriter.create(folder, text)
        stack.callback(writer.close)
        session = Session(book, writer, mouth, listener, screen, ask)
        digest = hashlib.sha256(text).hexdigest()
        try:
            ended = session.resume(journal) if journal else session.begin(begin, digest, kind)
        except (KeyboardInterrupt, Exception):  # an interruption while a line is written comes out as another error
            if not told:
                raise
            console.print(f"\nStopped by {told[0]}.")
            ended = False
    console.print(f"\nLog: {writer.folder}", soft_wrap=True)
    if not ended:
        console.print(
            f"The walk is not over. Go on with:  {_go_on(writer.folder, given)}", soft_wrap=True, markup=False
        )
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
    book = Book(read(find_checklist(checklist)).checklist)
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

    book = Book(read(find_checklist(checklist)).checklist)
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
            typer.echo(f"{name}: good")
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
    from handsfree.journal.reader import CHECKLIST_NAME  # noqa: PLC0415
    from handsfree.journal.reader import read as read_log  # noqa: PLC0415

    journal = read_log(log)
    checklist = read(journal.folder / CHECKLIST_NAME).checklist
    found = summarise(journal.events, checklist)
    if journal.torn:
        typer.echo(f"the last line was cut off and does not count ({len(journal.torn)} bytes)", err=True)
    _row(dataclasses.asdict(found), as_json, as_text(found, checklist))


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
    return "\n".join([*lines, f"  … and {rest} more; --all or --json shows every one"])


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
) -> tuple[Mouth, Listener, Callable[[str], float] | None]:
    from handsfree import listeners, mouths  # noqa: PLC0415

    spoken = None if silent else _voice(stack, voice, devices[1])
    prompts = [item.prompt for item in book.checklist.items()]
    mouth: Mouth = mouths.RenderingAhead(spoken, prompts) if spoken else mouths.Silent()
    if kind == "typed":
        reconfigure: Any = getattr(sys.stdin, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="replace")  # bytes of another encoding must not end a walk
        return mouth, listeners.TypedListener(_read_line), None
    from handsfree.hearing.ears import Ears  # noqa: PLC0415
    from handsfree.speech_model import locate  # noqa: PLC0415

    # The model loads while the cautions are spoken; what is wrong with its files is said before.
    ears = stack.enter_context(ThreadPoolExecutor(1)).submit(Ears, locate(model).path).result
    if audio is not None:
        from handsfree.hearing.files import blocks_from_file, blocks_from_pcm  # noqa: PLC0415

        blocks = blocks_from_pcm(sys.stdin.buffer) if audio == "-" else blocks_from_file(Path(audio))
        return mouth, listeners.SoundListener(ears, blocks), None
    from handsfree.hearing.microphone import Microphone  # noqa: PLC0415

    opened = stack.enter_context(Microphone(devices[0]))
    mouth = listeners.HalfDuplex(mouth, opened)
    if spoken is None or not headset:
        blocks = listeners.metered(opened, lambda: opened.level_dbfs, screen.level)
        return mouth, listeners.SoundListener(ears, blocks, listeners.PATIENCE_S, lambda: opened.overflows), None
    from handsfree.headset import OpenEars  # noqa: PLC0415

    open_ears = OpenEars(spoken, opened)
    blocks = listeners.metered(open_ears, lambda: opened.level_dbfs, screen.level)
    return mouth, listeners.SoundListener(ears, blocks, listeners.PATIENCE_S, lambda: opened.overflows), open_ears.ask


def _voice(stack: ExitStack, settings: VoiceSettings, device: str | None) -> Voice:
    from handsfree.speaking.portaudio_speaker import PortAudioSpeaker  # noqa: PLC0415
    from handsfree.speaking.voice import Voice  # noqa: PLC0415

    return stack.enter_context(Voice(settings, prompts_folder(), PortAudioSpeaker(device)))


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
    if sys.stdin.isatty():
        return input("> ")
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line


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


def _row(row: dict[str, Any], as_json: bool, text: str) -> None:
    typer.echo(json.dumps(row, ensure_ascii=False) if as_json else text)


def _complain(message: str, hint: str) -> None:
    typer.echo(f"handsfree: {message}", err=True)
    if hint:
        typer.echo(f"  what to do: {hint}", err=True)


def _fail(message: str, hint: str, code: int = BAD_INPUT) -> NoReturn:
    _complain(message, hint)
    sys.exit(code)
