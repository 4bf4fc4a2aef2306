"""What an instructor writes about a walk: beside its log, never in it.

``notes.jsonl`` is made like a log: a line is canonical JSON with the SHA-256 of the line before.  Its first line names
the log that all others speak of, by what that log's next event would be chained to and by its seal.  A line may be
signed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    TypeAdapter,
    ValidationError,
    field_serializer,
    model_validator,
)

from handsfree.journal.disk import digest_of, read_file
from handsfree.journal.errors import JournalError
from handsfree.journal.events import Utc, rfc3339
from handsfree.journal.keys import is_signed
from handsfree.journal.lines import canonical, digest, is_canonical
from handsfree.journal.reader import log_file, parse, raw_log, read
from handsfree.journal.seal import SEAL_NAME
from handsfree.shown import shortened

NOTES_NAME = "notes.jsonl"
MOST_BYTES = 10_000_000
"""Of a file of notes; one has some hundred bytes."""
_MOST_OF_A_SEAL = 10_000
_MEANT_FOR = b"handsfree note 1\n"
"""Before what is signed, so that a signature given for anything else is none for a note."""
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

MarkKind = Literal["hit", "miss", "false alarm", "right", "omitted"]
"""Found; passed though defective; found though sound; passed and sound; never looked at."""


def _readable(text: str) -> str:
    if not all(one.isprintable() or one in "\n\t" for one in text):
        raise ValueError("it is not plain text")
    return text


def _on_one_line(text: str) -> str:
    if not text.isprintable():
        raise ValueError("it is not plain text on one line")
    return text


Text = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=4000), AfterValidator(_readable)
]
Words = Annotated[str, StringConstraints(strip_whitespace=True, max_length=300), AfterValidator(_on_one_line)]
Author = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=60), AfterValidator(_on_one_line)
]
"""Initials or a name."""
Identifier = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,99}$")]
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
EventNumber = Annotated[int, Field(ge=1)]


class _Line(BaseModel):
    """What every line carries; the writer sets it."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    v: Literal[1] = 1
    prev: Annotated[str, Field(pattern=r"^([0-9a-f]{64})?$")] = ""
    """SHA-256 of the line before, without its newline; of the first line, that of nothing."""
    seq: Annotated[int, Field(ge=0)] = 0
    """1 for the line that names the log, then 2, 3 … without gaps."""
    time: Annotated[Utc, Field(strict=False)] = _EPOCH
    """UTC, RFC 3339 with milliseconds."""
    signed_by: str | None = None
    """The public key (Ed25519, base64)."""
    signature: str | None = None
    """Over the canonical JSON of all other fields, with `_MEANT_FOR` before it; base64."""

    @field_serializer("time")
    def _rfc_3339(self, time: datetime) -> str:
        return rfc3339(time)


class Binding(_Line):
    """The first line: which log the others speak of."""

    kind: Literal["log"] = "log"
    events: EventNumber
    """How many the log held then; it may have gone on since."""
    chain: Sha256
    """What the event after these is chained to, which all of them lead to."""
    seal_sha256: Sha256 | None
    """Of the seal's file; None = there was none then."""


class TextNote(_Line):
    """Something to be said about an event."""

    kind: Literal["note"] = "note"
    about: EventNumber
    """The event's number in the log."""
    author: Author
    text: Text


class Overruled(_Line):
    """What an utterance or an answer should have been taken for.  The log keeps what it was taken for."""

    kind: Literal["overruled"] = "overruled"
    about: EventNumber
    author: Author
    outcome: Literal["pass", "finding"]
    finding: Identifier | None = None
    """Of a finding its id in the checklist, where it has one."""
    words: Words = ""
    """What was said, or of a finding what it was."""

    @model_validator(mode="after")
    def _says_what_it_was(self) -> Self:
        if self.outcome == "finding" and self.finding is None and not self.words:
            raise ValueError("a finding has an id or words")
        if self.outcome == "pass" and self.finding is not None:
            raise ValueError("a pass has no finding")
        return self


class Marked(_Line):
    """An instructor's mark for an item; a later one of the same author for the same item takes its place."""

    kind: Literal["mark"] = "mark"
    about: EventNumber | None = None
    """The event that the mark was given for; an item that was never looked at has none."""
    author: Author
    item: Identifier
    """Or the scene, at a place where no item asks."""
    mark: MarkKind


Note = TextNote | Overruled | Marked
_STAMPED = frozenset(_Line.model_fields)
_LINES: TypeAdapter[Binding | Note] = TypeAdapter(Annotated[Binding | Note, Field(discriminator="kind")])
_NOTES: TypeAdapter[Note] = TypeAdapter(Annotated[Note, Field(discriminator="kind")])


class NotesError(JournalError):
    """Notes cannot be read or written; ``hint`` says what to do."""


class AlteredNotesError(NotesError):
    """Notes are not what was written: ``line`` is the number of the first line that does not fit."""

    def __init__(self, file: Path, line: int, what: str) -> None:
        super().__init__(f"{file}, line {line}: {what}", "keep it as it is, and begin other notes with another file")
        self.line = line
        self.what = what


class OtherLogError(NotesError):
    """Notes speak of another log than the one that they are to be about."""


@dataclass(frozen=True)
class Notes:
    """All complete lines of a file of notes; no binding = nothing was noted yet."""

    file: Path
    binding: Binding | None
    notes: tuple[Note, ...]
    torn: bytes
    """What is left of a last line that was cut off; it was never acknowledged."""
    good_bytes: int
    """Length of the file up to the end of the last complete line."""
    chain: str
    """What the next line is chained to."""

    @property
    def signers(self) -> tuple[str | None, ...]:
        """The public keys that signed; None among them = a line that nobody signed."""
        lines = (self.binding, *self.notes) if self.binding else ()
        return tuple(dict.fromkeys(one.signed_by for one in lines))


def note_of(given: Mapping[str, Any]) -> Note:
    """A note that is to be written, from the fields that a person gives.  Raises NotesError."""
    if taken := sorted(_STAMPED & given.keys()):
        raise NotesError(f"a note does not bring its own {taken[0]}", "leave that to whoever writes it")
    try:
        return _NOTES.validate_python(dict(given))
    except ValidationError as error:
        raise NotesError(f"it is no note: {_first(error)}") from error


# ---- reading


def notes_file(path: Path) -> Path:
    """The notes of a walk, given its folder or its log; a file of another name is taken for the notes themselves."""
    return path / NOTES_NAME if path.is_dir() else path


def read_notes(path: Path) -> Notes:
    """The notes in a walk's folder, or a file of notes; where there is none, none.

    Raises AlteredNotesError when a line other than the last is damaged, when one does not follow the one before, or a
    signature is not that of the key that is named; NotesError when the file cannot be read.
    """
    file = notes_file(path)
    try:
        raw = read_file(file, MOST_BYTES)
    except FileNotFoundError:
        raw = b""
    except OSError as error:
        raise NotesError(f"the notes {file} cannot be read: {error.strerror}", "see what that file is") from error
    binding, notes, chain, good = None, list[Note](), digest(b""), 0
    *whole, rest = raw.split(b"\n")
    for number, raw_line in enumerate([*whole, rest] if rest else whole, start=1):
        unended = number > len(whole)
        try:
            line = _LINES.validate_json(raw_line)
        except (ValueError, RecursionError) as error:
            if unended:
                return Notes(file, binding, tuple(notes), rest, good, chain)
            raise AlteredNotesError(file, number, f"it is no note ({_first(error)})") from error
        if wrong := _misfit(line, raw_line, number, chain):
            raise AlteredNotesError(file, number, wrong)
        if isinstance(line, Binding):
            binding = line
        else:
            notes.append(line)
        chain = digest(raw_line)
        good += len(raw_line) + (not unended)
    return Notes(file, binding, tuple(notes), b"", good, chain)


def _misfit(line: Binding | Note, raw_line: bytes, number: int, chain: str) -> str:
    """Why a line is not the one that was written as this one; nothing when it may be."""
    if not is_canonical(raw_line):
        return "it was not written so by this program"
    if line.seq != number:
        return f"number {line.seq} where {number} was due: lines were removed, repeated or reordered"
    if line.prev != chain:
        return "it does not follow the line before: one of the two was altered"
    if isinstance(line, Binding) != (number == 1):
        return "the first line, and no other, names the log"
    return "" if _is_signed_well(line) else "the signature is not that of the key that is named"


def _is_signed_well(line: Binding | Note) -> bool:
    """Or by nobody, and says so."""
    if line.signed_by is None or line.signature is None:
        return line.signed_by is line.signature
    return is_signed(signed_bytes(line), line.signed_by, line.signature)


def signed_bytes(line: Binding | Note) -> bytes:
    """What the signature of a line is given for."""
    return _MEANT_FOR + canonical(line.model_dump(mode="json", exclude={"signature"}))


def _first(error: Exception) -> str:
    if not isinstance(error, ValidationError):
        return shortened(str(error))
    detail = error.errors(include_url=False, include_context=False, include_input=False)[0]
    where = ".".join(str(part) for part in detail["loc"])
    return shortened(f"{where}: {detail['msg']}" if where else detail["msg"])


# ---- which log they speak of


def binding_of(log: Path) -> Binding:
    """What names a log, given its folder or itself.  Raises JournalError."""
    journal = read(log)
    try:
        seal = digest_of(journal.folder / SEAL_NAME, _MOST_OF_A_SEAL)
    except FileNotFoundError:
        seal = None
    except OSError as error:
        raise NotesError(f"the seal in {journal.folder} cannot be read: {error.strerror}") from error
    return Binding(events=len(journal.events), chain=journal.chain, seal_sha256=seal)


def refuse_for_another(binding: Binding, log: Path) -> None:
    """Raise OtherLogError unless the notes speak of this log, which may have gone on since."""
    file = log_file(log)
    now = binding_of(file)
    lines = raw_log(file).split(b"\n")[: binding.events]
    begun = parse(file, b"\n".join(lines) + b"\n") if now.events > binding.events else None
    if (begun.chain if begun else now.chain) != binding.chain or now.events < binding.events:
        raise OtherLogError(f"these notes speak of another log than {file}", "give the log that they were made for")
    if binding.seal_sha256 not in (None, now.seal_sha256):
        raise OtherLogError(f"{file} has not the seal that it had when these notes were made", "handsfree verify")


NotesState = Literal["intact", "altered", "for another log"]


@dataclass(frozen=True)
class VerifiedNotes:
    """What was found."""

    state: NotesState
    notes: int
    why: str = ""
    """In a sentence; empty when they are intact."""
    altered_at: int | None = None
    """The number of the first line that is not as it was written."""
    signers: tuple[str | None, ...] = ()
    """The public keys that signed; None among them = there are lines that nobody signed."""


def verify_notes(log: Path, file: Path | None = None) -> VerifiedNotes:
    """Look at every byte of the notes of a log, which lie beside it or in another ``file``.

    That nothing was cut off at their end, and who wrote lines that nobody signed, cannot be seen.  Raises JournalError
    when there is no log or it is altered itself, and when the notes cannot be read.
    """
    try:
        found = read_notes(file or log_file(log).parent)
    except AlteredNotesError as error:
        return VerifiedNotes("altered", max(0, error.line - 2), error.what, error.line)
    if found.binding is not None:
        try:
            refuse_for_another(found.binding, log)
        except OtherLogError as error:
            return VerifiedNotes("for another log", len(found.notes), error.message)
        late = [one for one in found.notes if (one.about or 0) > len(read(log).events)]
        if late:
            why = f"it is about event {late[0].about}, which the log does not have"
            return VerifiedNotes("for another log", len(found.notes), why)
    return VerifiedNotes("intact", len(found.notes), signers=found.signers)
