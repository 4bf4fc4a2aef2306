"""Words and names that act on a terminal, pretend to be markup, or break what is written out."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator, Mapping
from html.parser import HTMLParser
from pathlib import Path
from typing import Final

from handsfree.bench.page import page
from handsfree.journal.reader import read
from tests.bench.made import report, trial
from tests.faults.attack import Attack, harmless
from tests.faults.boxed import Ended, boxed, command
from tests.support.commands import TO_THE_END
from tests.support.open_sockets import no_sockets
from tests.walk.conversation import SMALL

TEXTS: Final[Mapping[str, str]] = {
    "an escape sequence": "\x1b[2J\x1b]0;x\x07",
    "a control in one byte": "\x9b2J",
    "a bell and a backspace": "\a\b\b\b",
    "a text turned round": "\u202edoog\u202c",
    "a text in an order of its own": "\u2066a\u2069",
    "a text that nobody sees": "go\u200b\u200dod\ufeff",
    "a language of tags": "x\U000e0041\U000e0042",
    "a line of its own": "x\r\nhandsfree: all is well",
    "a separator of lines": "x\u2028y\x85z",
    "markup": "[bold]x[/bold][/] [red",
    "a link": "[link=file:///x]y[/link]",
    "a sign by its name": ":warning: :x:",
    "a stroke at its end": "x\\",
    "HTML": "<script>alert('x')</script>&amp;\"",
    "a formula": "$\\frac{a}$",
    "a cell that counts": "=1+1",
}
SHOWN_AS_TEXT = (
    "markup",
    "a link",
    "a sign by its name",
    "a stroke at its end",
    "HTML",
    "a formula",
    "a cell that counts",
)
"""These are plain characters: all of them must be seen."""
IN_A_PAGE = ("an escape sequence", "a text turned round", "HTML", "a formula")
_KNOWN = ("--who", "AB", "--registration", "Q7KTA")


def attacks(folder: Path) -> Iterator[Attack]:
    """Every text at every place where somebody else's words come in."""
    for name, text in TEXTS.items():
        yield Attack(f"{name}, typed", _typed(folder, name, text))
        yield Attack(f"{name}, as the inspector's name", _named(folder, name, text))
        yield Attack(f"{name}, in names of files", _filed(folder, name, text))
        if name in IN_A_PAGE:
            yield Attack(f"{name}, in a page", _paged(text))
    yield Attack("a whole walk opens no socket", _connected(folder))
    yield Attack("a line without end, typed", _endless(folder))


def _typed(folder: Path, name: str, text: str) -> Callable[[], str]:
    """As an answer, which it is not, and as a note, which it may be."""

    def done() -> str:
        ended, events = _walked(folder, ["negative", text, "leave a note", text])
        wrong = harmless(ended, (3,)) + _seen(name, text, ended)
        return wrong + ("; an answer was invented" if "answer" in events else "")

    return done


def _named(folder: Path, name: str, text: str) -> Callable[[], str]:
    def done() -> str:
        shutil.rmtree(folder / "log", ignore_errors=True)
        log = ("--log", folder / "log")
        ended = command("walk", SMALL, "--typed", *log, "--who", text, "--registration", "Q7KTA", typed=b"negative\n")
        codes = (3,) if name in SHOWN_AS_TEXT else (2,)
        return harmless(ended, codes)

    return done


def _filed(folder: Path, name: str, text: str) -> Callable[[], str]:
    """A checklist, a log's folder, a key: each named so, there or not."""

    def done() -> str:
        place = folder / "named"
        shutil.rmtree(place, ignore_errors=True)
        place.mkdir()
        odd = text.replace("/", "|")
        broken = place / f"{odd}.yaml"
        broken.write_text("format: 2\n", encoding="utf-8")
        log = place / odd
        runs = {
            "a broken checklist": (command("phrases", broken), (2,)),
            "no log": (command("verify", log), (2,)),
            "a log": (command("walk", SMALL, "--typed", "--log", log, *_KNOWN, typed=b"negative\n"), (3,)),
        }
        wrong = {what: harmless(ended, codes) for what, (ended, codes) in runs.items()}
        said = "; ".join(f"{what}: {one}" for what, one in wrong.items() if one)
        return said + (_seen(name, odd, runs["a log"][0]) if odd == text else "")

    return done


def _paged(text: str) -> Callable[[], str]:
    """The one thing that is written as HTML, with this text wherever one comes from outside."""

    def done() -> str:
        everywhere = trial(
            voice=text, item=text, words=text, said=text, condition=text, verdict="wrong", false_pass=True
        )
        reader = _Reader()
        reader.feed(
            page(report(everywhere, trial(by=text, condition="clean"), trial(condition="clean"), checklist=text))
        )
        wrong = [f"<{one}>" for one in ("script", "link", "iframe", "img") if one in reader.names]
        wrong += [
            repr(one) for one in set(reader.text) if not (one.isprintable() or one.isspace()) or one in "\x85\u2028"
        ]
        return f"on the page: {', '.join(wrong)}" if wrong else ""

    return done


class _Reader(HTMLParser):
    """Collects elements and text."""

    def __init__(self) -> None:
        super().__init__()
        self.names: set[str] = set()
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.add(tag)

    def handle_data(self, data: str) -> None:
        self.text += data


def _connected(folder: Path) -> Callable[[], str]:
    def done() -> str:
        log = folder / "connected"
        typed = "".join(f"{one}\n" for one in TO_THE_END).encode()

        def run() -> None:
            import sys  # noqa: PLC0415

            from handsfree import cli  # noqa: PLC0415

            sys.argv = ["handsfree", "walk", str(SMALL), "--typed", "--log", str(log), *_KNOWN]
            with no_sockets():
                cli.main()

        return harmless(boxed(run, typed=typed), (0,))

    return done


def _endless(folder: Path) -> Callable[[], str]:
    def done() -> str:
        return harmless(_walked(folder, ["negative", "a" * 12_000_000])[0], (3,))

    return done


def _walked(folder: Path, lines: list[str]) -> tuple[Ended, list[str]]:
    """A typed walk, and what its log holds after the lines."""
    log = folder / "log"
    shutil.rmtree(log, ignore_errors=True)
    typed = "".join(f"{line}\n" for line in lines).encode("utf-8", "surrogatepass")
    ended = command("walk", SMALL, "--typed", "--log", log, *_KNOWN, typed=typed)
    return ended, [one.type for one in read(log).events]


def _seen(name: str, text: str, ended: Ended) -> str:
    return (
        "" if name not in SHOWN_AS_TEXT or text in ended.shown else f"; it is not shown as it is: {os.fsencode(text)!r}"
    )
