"""A walk's folder from somebody else: lines that lie, files that are none, names that lead elsewhere."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from handsfree.journal.lines import canonical, digest
from handsfree.journal.reader import MOST_BYTES
from tests.faults.attack import Attack, harmless
from tests.faults.boxed import Ended, command
from tests.faults.special_files import KINDS, put, remove
from tests.journal.recorded import sealed_walk

Event = dict[str, Any]
Written = Callable[[Event], bytes]

COMMANDS: Mapping[str, tuple[int, ...]] = {
    "verify": (0, 2, 10, 11, 12, 13),
    "summary": (0, 2),
    "debrief": (0, 2),
    "anchor": (0, 2),
    "resume": (0, 2, 3),
    "forget": (0, 2),
}
"""With the exit codes that each may end with."""
DEFECT = {"outcome": "finding", "slots": {"item": "nose-gear", "finding": "cut"}}


def run(name: str, walk: Path, *more: str) -> Ended:
    """One of the commands on a walk; what `walk --resume` asks is answered by whoever wants to be done."""
    resumed = name == "resume"
    arguments = ("walk", "--resume", "--typed", "--log", walk) if resumed else (name, walk)
    if name == "debrief":
        arguments = (*arguments, "--out", walk.parent / "page.html")
    data = {"XDG_DATA_HOME": str(walk.parent / "data")}
    return command(*arguments, *more, typed=b"affirm\nno decision\n" if resumed else b"", environment=data)


def loosely(event: Event) -> bytes:
    """JSON with what RFC 8785 has no way to write."""
    return json.dumps(event, separators=(",", ":"), sort_keys=True).encode()


@dataclass(frozen=True)
class Template:
    """A good walk, of which hostile ones are made."""

    folder: Path

    @classmethod
    def made(cls, folder: Path) -> Template:
        return cls(sealed_walk(folder))

    @cached_property
    def events(self) -> Sequence[Event]:
        return [json.loads(line) for line in (self.folder / "log.jsonl").read_bytes().splitlines()]

    @cached_property
    def heard(self) -> int:
        """The place of an utterance in the middle, with a clip."""
        places = [at for at, one in enumerate(self.events) if one["type"] == "heard" and one["clip"]]
        return places[len(places) // 2]

    @cached_property
    def answer(self) -> int:
        """The place of the last answer before it."""
        return max(at for at in range(self.heard) if self.events[at]["type"] == "answer")

    def log(self, *more: Event | bytes, written: Written = canonical, at: int | None = None, **changed: Any) -> bytes:
        """The first half of it, well chained: one event changed, and others or raw lines after them."""
        events: list[Event | bytes] = [dict(one) for one in self.events[: self.heard + 1]]
        if changed:
            events[self.heard if at is None else at] |= changed  # pyright: ignore
        lines: list[bytes] = []
        for one in (*events, *more):
            chain = digest(lines[-1] if lines else b"")
            lines.append(one if isinstance(one, bytes) else written(one | {"prev": chain, "seq": len(lines) + 1}))
        return b"\n".join(lines) + b"\n"

    def like(self, kind: str, **fields: Any) -> Event:
        """An event of another kind after those."""
        return {
            **{name: self.events[0][name] for name in ("v", "time", "offset_s", "zone", "item")},
            "type": kind,
        } | fields

    def raw(self, old: str, new: str, **fields: Any) -> bytes:
        """After those an utterance in which some characters are put in by hand."""
        event = self.events[self.heard] | fields | {"seq": self.heard + 2, "prev": digest(self.log().splitlines()[-1])}
        line = loosely(event)
        if old.encode() not in line:
            raise ValueError(f"{old} is not in it")
        return self.log(line.replace(old.encode(), new.encode()))

    def put(self, walk: Path, log: bytes | None) -> None:
        """A copy with another log, and without its seal where the log is another."""
        shutil.rmtree(walk, ignore_errors=True)
        shutil.copytree(self.folder, walk)
        if log is not None:
            (walk / "log.jsonl").write_bytes(log)
            remove(walk / "seal.json")


def logs(good: Template) -> dict[str, Callable[[], bytes]]:
    """Logs by what is hostile in them."""
    whole = (good.folder / "log.jsonl").read_bytes()
    log, like = good.log, good.like
    clip = good.events[good.heard]["clip"]

    def like_heard(fields: Event) -> Event:
        return good.events[good.heard] | fields

    hostile = "\x1b]0;x\x07\x1b[2J\x9b31m\u202e\u200b\0\r\nFindings: 0\n[bold]x[/bold][link=file:///x]y[/link]"
    return {
        # what its checklist does not have
        "an item that is not there": lambda: log(item="nothing"),
        "a zone that is not there": lambda: log(zone="nothing"),
        "a finding at an item that is not there": lambda: log(at=good.answer, item="nothing", kind="finding"),
        "a question at an item that is not there": lambda: log(item="nothing", outcome="ask"),
        "an item left that is not there": lambda: log(like("left", reason="not understood", item="nothing")),
        "a hold that is not there": lambda: log(like("hold", hold="nothing", active=True)),
        "a condition that is not there": lambda: log(like("condition", condition="nothing", holds=True, assumed=False)),
        "servicing of an item that is not there": lambda: log(like("servicing", items=["nothing"])),
        "open items that are not there": lambda: log(
            like("ended", outcome="complete", open_items=["nothing"], holds=["nothing"])
        ),
        # meanings that nobody can have meant
        "a meaning at an item that is not there": lambda: log(
            outcome="finding", meanings=[{"outcome": "finding", "slots": {"item": "nothing", "finding": "cut"}}]
        ),
        "a meaning at a place that is not there": lambda: log(
            outcome="finding", meanings=[{"outcome": "finding", "slots": {"place": "nothing", "finding": "cut"}}]
        ),
        "a value that is no number": lambda: log(
            outcome="value", meanings=[{"outcome": "value", "slots": {"item": "tyre-pressure", "value": "abc"}}]
        ),
        "a value beyond all": lambda: log(
            outcome="value", meanings=[{"outcome": "value", "slots": {"value": "1e99999"}}]
        ),
        "a meaning without slots": lambda: log(outcome="finding", meanings=[{"outcome": "finding", "slots": {}}]),
        "a pass without a meaning": lambda: log(outcome="pass", meanings=[]),
        "a control word that is none": lambda: log(
            outcome="control", meanings=[{"outcome": "control", "slots": {"control": "nonsense"}}]
        ),
        "five thousand meanings": lambda: log(outcome="finding", meanings=[DEFECT] * 5000),
        # numbers and times
        "a number that is none": lambda: log(written=loosely, confidence=float("nan")),
        "a number without end": lambda: log(written=loosely, snr_db=float("-inf")),
        "a number beyond all": lambda: good.raw("12345.5", "1e999", snr_db=12345.5),
        "a number near the end of all": lambda: log(snr_db=1e308, offset_s=1e308),
        "a number of 400 figures": lambda: good.raw("12345", "1" * 400, confidence=12345),
        "a number of 5000 figures": lambda: good.raw("12345", "1" * 5000, confidence=12345),
        "a place in the order that is none": lambda: good.raw(f'"seq":{good.heard + 2}', '"seq":' + "9" * 40),
        "a clip of endless length": lambda: log(clip=clip | {"seconds": 1e308}),
        "a time before the first": lambda: log(time="0001-01-01T00:00:00.000+23:59"),
        "a time after the last": lambda: log(time="9999-12-31T23:59:59.000-23:59"),
        "a time that is a number": lambda: log(written=loosely, time=1e300),
        # JSON
        "wrong types everywhere": lambda: log(*({**one, name: ["x"]} for one in good.events[1:2] for name in one)),
        "lists in lists": lambda: log(b'{"v":3,"x":' + b"[" * 200_000 + b"]" * 200_000 + b"}"),
        "lists in lists of version 1": lambda: log(b'{"v":1,"x":' + b"[" * 200_000 + b"]" * 200_000 + b"}"),
        "lists that stay open": lambda: b"[" * 2_000_000 + b"\n",
        "half a character": lambda: log(written=loosely, said="\ud800"),
        "a field twice": lambda: log(loosely(good.events[good.heard])[:-1] + b',"said":"other"}'),
        "a version to come": lambda: log(b'{"v":99}'),
        "a version of a million figures": lambda: log(b'{"v":' + b"1" * 1_000_000 + b"}"),
        "a line of ten million characters": lambda: log(said="a" * 10_000_000),
        "an unknown field of ten million characters": lambda: log(like_heard({"x" * 10_000_000: 1})),
        "an unknown field that acts": lambda: log(like_heard({hostile: 1})),
        "ten million blanks": lambda: whole + b" " * 10_000_000,
        "five million empty lines": lambda: whole + b"\n" * 5_000_000,
        "three million versions": lambda: whole + b'"v":' * 3_000_000 + b"\n",
        "nothing but zeros": lambda: bytes(1_000_000),
        "a byte order mark": lambda: b"\xef\xbb\xbf" + whole,
        "UTF-16": lambda: whole.decode().encode("utf-16"),
        "a list": lambda: b"[]\n",
        "no walk begun": lambda: b"\n".join(whole.splitlines()[1:]),
        "larger than any log": lambda: b" " * (MOST_BYTES + 1),
        # what acts on a terminal
        "a name that acts": lambda: log(at=0, who=hostile, registration=hostile),
        "words that act": lambda: log(outcome="ask", said=hostile, meanings=[], why=hostile),
        "a finding that acts": lambda: log(at=good.answer, kind="finding", description=hostile, words=hostile),
        "a place that acts": lambda: log(at=good.answer, kind="finding", item=None, place=hostile),
        "a key that acts": lambda: log(at=0, signed_by=hostile),
        # clips
        "a clip above the folder": lambda: log(
            clip=clip | {"file": "../outside/precious", "sha256": digest(b"precious")}
        ),
        "a clip of the machine": lambda: log(clip=clip | {"file": "/etc/passwd"}),
        "a clip without end": lambda: log(clip=clip | {"file": "/dev/zero"}),
        "a clip with a zero in its name": lambda: log(clip=clip | {"file": "clips/\0.wav"}),
        "a clip that acts": lambda: log(clip=clip | {"file": hostile}),
    }  # fmt: skip


def places(good: Template) -> dict[str, Callable[[Path, Path], None]]:
    """What is done to a folder, given it and another that is nobody's business."""
    clip: str = good.events[good.heard]["clip"]["file"]

    def linked(name: str, to: str) -> Callable[[Path, Path], None]:
        def link(walk: Path, outside: Path) -> None:
            remove(walk / name)
            (walk / name).symlink_to(outside / to)

        return link

    def special(name: str, kind: str) -> Callable[[Path, Path], None]:
        def placed(walk: Path, _: Path) -> None:
            put(walk / name, kind)

        return placed

    def torn(then: Callable[[Path, Path], None]) -> Callable[[Path, Path], None]:
        def tear(walk: Path, outside: Path) -> None:
            (walk / "log.jsonl").write_bytes((walk / "log.jsonl").read_bytes()[:-5])
            then(walk, outside)

        return tear

    def written(data: bytes) -> Callable[[Path, Path], None]:
        def sealed(walk: Path, _: Path) -> None:
            (walk / "seal.json").write_bytes(data)

        return sealed

    def seal(**fields: Any) -> bytes:
        plain = {"v": 1, "events": 1, "log_sha256": "0" * 64, "last_sha256": "0" * 64, "time": "2026-01-01T00:00:00Z"}
        return loosely(plain | fields)

    def acting(walk: Path, _: Path) -> None:
        for name in (b"clips/\x1b[31m\xe2\x80\xae.wav", b"clips/\xff.wav"):
            Path(os.fsdecode(os.fsencode(walk) + b"/" + name)).touch()

    files = ("seal.json", "checklist.yaml", "log.jsonl", "writer.lock", clip)
    return {
        **{f"{name} is {kind}": special(name, kind) for name in files for kind in KINDS},
        **{f"{name} is a link to elsewhere": linked(name, "precious") for name in files},
        **{f"{name} is a link to a file to be": linked(name, "new") for name in files},
        "the clips are a link to elsewhere": linked("clips", "."),
        "names of clips that act": acting,
        "a torn end goes elsewhere": torn(linked("log.jsonl.torn", "precious")),
        "a torn end goes into a pipe": torn(special("log.jsonl.torn", "a pipe")),
        "a seal of lists in lists": written(b"[" * 5000),
        "a seal of a million characters": written(b'"' + b"x" * 1_000_000 + b'"'),
        "a seal of a number of 400 figures": written(seal(events=10**400)),
        "a seal after the last time": written(seal(time="9999-12-31T23:59:59-23:59")),
        "a seal with half a character": written(seal(signed_by="\ud800", signature="\x1b[2J")),
    }


def attacks(folder: Path) -> Iterator[Attack]:
    """Every hostile walk, by every command."""
    good = Template.made(folder / "good")
    for at, (what, log) in enumerate(logs(good).items()):
        for name in ("verify", "summary", "debrief", "resume", ("anchor", "forget")[at % 2]):
            yield Attack(f"log, {what}: {name}", _tried(folder, good, name, log))
    for at, (what, place) in enumerate(places(good).items()):
        for name in ("verify", ("resume", "forget", "debrief")[at % 3]):
            yield Attack(f"folder, {what}: {name}", _tried(folder, good, name, good.log, place))


def _tried(
    folder: Path,
    good: Template,
    name: str,
    log: Callable[[], bytes],
    place: Callable[[Path, Path], None] | None = None,
) -> Callable[[], str]:
    def done() -> str:
        walk, outside = folder / "given" / "walk", folder / "given" / "outside"
        good.put(walk, log())
        shutil.rmtree(outside, ignore_errors=True)
        outside.mkdir()
        for file in ("precious", "00001.wav"):
            (outside / file).write_bytes(b"precious")
        if place:
            place(walk, outside)
        before, read_before = _all_in(outside), _log_of(walk)
        ended = run(name, walk)
        wrong = harmless(ended, COMMANDS[name])
        if _all_in(outside) != before:
            wrong += "; it wrote outside the folder"
        if not _log_of(walk).startswith(
            read_before[: read_before.rfind(b"\n") + 1] if name == "resume" else read_before
        ):
            wrong += "; the log is another"
        remove(walk)
        return wrong

    return done


def _all_in(folder: Path) -> list[tuple[str, bytes]]:
    return [(file.name, file.read_bytes()) for file in sorted(folder.iterdir())]


def _log_of(walk: Path) -> bytes:
    file = walk / "log.jsonl"
    return file.read_bytes() if file.is_file() and file.stat().st_size <= MOST_BYTES else b""
