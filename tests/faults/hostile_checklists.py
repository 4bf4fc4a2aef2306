"""Checklists and grammars that are made to hang, to exhaust, to deceive or to be run."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from handsfree.checklist.linter import check
from handsfree.checklist.loading import read
from handsfree.checklist.problems import ChecklistError
from handsfree.language.errors import GrammarError
from handsfree.language.grammars import Grammars
from handsfree.language.jsgf_reader import read_grammar
from handsfree.resources import grammars_folder
from handsfree.shown import harmless as shown
from tests.faults.attack import Attack, harmless, refused
from tests.faults.boxed import boxed, command
from tests.faults.special_files import put, remove
from tests.walk.conversation import SMALL

_ESCAPE = "\x1b"
_WORDS = [f"w{chr(97 + at % 26)}{chr(97 + at // 26 % 26)}" for at in range(600)]


def bad_files() -> dict[str, bytes]:
    """Each must be refused; what it is made of by its name."""
    small = SMALL.read_text(encoding="utf-8")

    def titled(title: str) -> str:
        return small.replace("title: ", f"title: {title} #", 1)

    texts = {
        "a bomb of aliases": "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n"
        + "".join(f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]\n" for n in range(1, 12)),
        "one long text under a thousand names": f"a: &a {'a' * 4900}\nzones: [{'*a, ' * 29_000}]\n",
        "a group of long texts repeated": f"a: &a {'a' * 4900}\nb: &b {{id: *a, x: *a}}\nzones: [{'*b, ' * 9000}]\n",
        "a merge key": f"x: &x {{title: other}}\n<<: *x\n{small}",
        "an alias of itself": "a: &a [*a]\n",
        "many anchors": "".join(f"- &a{n} x\n" for n in range(30_001)),
        "a long list": f"format: 1\nzones: [{'x, ' * 160_000}]",
        "many unknown fields": "".join(f"formta{n}: 1\n" for n in range(25_000)),
        "many fields": "".join(f"k{n}: 1\n" for n in range(45_000)),
        "a text of half a million characters": titled("a" * 470_000),
        "a name of half a million characters": "a" * 480_000 + f": 1\n{small}",
        "lists in lists": "[" * 480_000,
        "groups in groups": "{a: " * 120_000,
        "levels and levels": "".join(f"{' ' * n}a:\n" for n in range(900)),
        "dashes and dashes": "- " * 240_000,
        "a tag that would run a command": f"x: !!python/object/apply:os.system ['echo ran']\n{small}",
        "a tag of bytes": f"x: !!binary aGFsbG8=\n{small}",
        "a field twice": f"{small}\ntitle: other\n",
        "two documents": f"{small}\n---\n{small}",
        "a zero": titled("a\0b"),
        "a number beyond all": small.replace("low: ", "low: 1e99999 #", 1),
        "no number": small.replace("low: ", "low: .nan #", 1),
        "half a character": titled('"\\ud800"'),
        "an escape sequence": titled(f'"{_ESCAPE.encode("unicode_escape").decode()}[2J"'),
        "a control that is an escape in one byte": titled('"\\x9b2J"'),
        "letters turned round": titled('"\u202eevitcefed"'),
        "letters that nobody sees": small.replace("covers", "cov\u200bers", 1),
        "quotes and line ends": 'a: "' + "\\\n" * 240_000 + '"\n',
        "directives": "%A b\n" * 90_000,
        "tabs": "\t" * 480_000 + small,
        "a pattern that never ends": small.replace("pattern: ", "pattern: (Q|QQ|Q?)+(A+)+$ #", 1),
    }
    files = {name: text.encode("utf-8", "surrogatepass") for name, text in texts.items()}
    return files | {
        "UTF-16": b"\xff\xfe" + small.encode("utf-16-le"),
        "UTF-32": small.encode("utf-32"),
        "Latin-1": titled("\xe9").encode("latin-1"),
        "nothing but zeros": bytes(100_000),
        "a megabyte": b"#" * 1_000_000,
    }


def odd_files() -> dict[str, bytes]:
    """Each is taken as the small checklist."""
    small = SMALL.read_bytes()
    return {
        "a byte order mark": b"\xef\xbb\xbf" + small,
        "a long comment": b"#" * 400_000 + b"\n" + small,
        "hundred thousand empty lines": b"\n" * 100_000 + small,
    }


PHRASES: Mapping[str, str] = {
    "brackets in brackets": "(" * 2000 + "a" + ")" * 2000,
    "options in options": "[" * 2400 + "a" + "]" * 2400,
    "sixteen brackets": "(" * 16 + "a" + ")" * 16,
    "repetitions of repetitions": "x" + "+" * 40,
    "both repetitions in turn": "x y" + "+*" * 20,
    "a thousand repetitions": "x" + "+" * 1000,
    "sixty optional words": " ".join(f"[{word}]" for word in _WORDS[:60]) + " end",
    "a word of many": f"({' | '.join(_WORDS)}) ({' | '.join(_WORDS)})",
    "choices in choices": "((a | b) | ((c | d) | (e | f))) " * 12,
    "many states": f"(a | b)* a{' (a | b)' * 20}",
    "slots for nothing": " ".join(f"[<NULL> {{s{at}=x}}]" for at in range(14)) + " end",
    "more slots for nothing": " ".join(f"[<NULL> {{s{at}=x}}]" for at in range(40)) + " end",
    "every control word after another": "<control.any> " * 20,
    "ten findings in a row": "[<findings.any>] " * 10,
    "what can never be said": "<VOID>",
    "what needs no word": "<NULL>",
    "a rule that is not there": "<nothing.there>",
    "its own name": "<phrase.phrase>",
    "half a million characters": "word " * 100_000,
    "a long quotation": f'"{"a " * 3000}"',
    "a long tag": f"a {{{'x=y;' * 1500}}}",
    "an open tag": "a {x=" + "\\\\" * 2000,
    "a weight beyond all": f"/{'1' * 5000}/ a | /1/ b",
    "comments that never end": "/*" * 2000,
    "strokes": "/" * 4000,
    "a long name of a rule": f"<{'a.' * 2000}b>",
    "figures": "1" * 6000,
}
"""JSGF expansions; each must be refused, or do no harm."""


def _spots() -> dict[str, tuple[str, str]]:
    """Where a phrase stands in the small checklist: the line that it takes the place of, and what is written."""
    return {
        "pass": (r"        pass: .*", "        pass: [{}]"),
        "place": (r"    spoken: .*", "    spoken: [{}]"),
        "finding": (r"          - use: .*", "          - {{id: odd, say: [{}]}}"),
        "called": (r"        called: .*", "        called: {}"),
        "unit": (r"          spoken_unit: .*", "          spoken_unit: {}"),
    }


def with_phrase(phrase: str, spot: str) -> str:
    """The small checklist with a phrase of this kind exchanged."""
    line, written = _spots()[spot]
    small = SMALL.read_text(encoding="utf-8")
    text = re.sub(line, lambda _: written.format(json.dumps(phrase)), small, count=1)
    if text == small:
        raise ValueError(f"there is no such line: {line}")
    return text


def grammars() -> dict[str, str]:
    """Bodies of a grammar; each must be refused."""
    return {
        "a rule that contains itself": "public <a> = x <a>;",
        "two rules in a circle": "<a> = x <b>; public <b> = y <a>;",
        "a chain of rules": "".join(f"<r{n}> = <r{n + 1}>;\n" for n in range(2000)) + "public <r2000> = a;",
        "rules that double": "<r0> = a | b;\n"
        + "".join(f"<r{n}> = <r{n - 1}> <r{n - 1}>;\n" for n in range(1, 12))
        + "public <top> = <r11>;",
        "rules of repetitions": "<r0> = a;\n"
        + "".join(f"<r{n}> = <r{n - 1}>{'+' * 40};\n" for n in range(1, 12))
        + "public <top> = <r11>;",
        "brackets in brackets": f"public <top> = {'(' * 5000}a{')' * 5000};",
        "a rule twice": "public <top> = a; public <top> = b;",
    }


def attacks(folder: Path) -> Iterator[Attack]:
    """All of them, each through a command."""
    for at, (name, data) in enumerate(bad_files().items()):
        if at % 2:
            yield Attack(f"checklist, {name}: walk", _walked(folder, data))
        else:
            yield Attack(f"checklist, {name}: check", _checked(folder, data))
    for name, data in odd_files().items():
        yield Attack(f"checklist, {name}: walk", _walked(folder, data, (3,)))
    spots = list(_spots())
    for at, (name, phrase) in enumerate(PHRASES.items()):
        walked, checked = spots[at % len(spots)], spots[(at + 2) % len(spots)]
        yield Attack(
            f"phrase, {name}, as a {walked}: walk", _walked(folder, with_phrase(phrase, walked).encode(), (2, 3))
        )
        if at % 2:
            hostile = with_phrase(phrase, checked).encode()
            yield Attack(f"phrase, {name}, as a {checked}: check", _checked(folder, hostile))
    for name, body in grammars().items():
        yield Attack(f"grammar, {name}", _compiled(body))
    for kind in ("a pipe", "an endless device", "a folder"):
        yield Attack(f"checklist, {kind}", _no_file(folder, kind))


def _walked(folder: Path, data: bytes, codes: tuple[int, ...] = (2,)) -> Callable[[], str]:
    def done() -> str:
        file = folder / "hostile.yaml"
        file.write_bytes(data)
        log = folder / "log"
        remove(log)
        known = ("--who", "AB", "--registration", "Q7KTA")
        ended = command("walk", file, "--typed", "--log", log, *known, typed=b"negative\nnonsense end\nfuel leak end\n")
        said = harmless(ended, codes)
        if ended.code == codes[0] == 2 and log.exists():
            said += "; a log was begun"
        if ended.errors and str(file) not in ended.errors[0]:
            said += f"; the error names no file: {ended.errors[0][:200]}"
        return said

    return done


def _checked(folder: Path, data: bytes) -> Callable[[], str]:
    """As ``handsfree check`` does, without the speech model, which nothing hostile reaches."""

    def done() -> str:
        file = folder / "hostile.yaml"
        file.write_bytes(data)
        return harmless(boxed(lambda: _check(file)), (0,))

    return done


def _check(file: Path) -> None:
    try:
        source = read(file)
        loaded = Grammars.load(grammars_folder())
        found = source.placed(check(source.checklist, loaded, lambda _: True, lambda words: dict.fromkeys(words, ())))
    except ChecklistError as error:
        found = list(error.problems)
    for problem in found:
        print(shown(str(problem)))
        if not problem.file:
            raise AssertionError(f"this names no file: {problem}")


def _compiled(body: str) -> Callable[[], str]:
    def run() -> None:
        try:
            made = Grammars([read_grammar(f"#JSGF V1.0;\ngrammar a;\n{body}", "a.jsgf")])
            made.expansion("<a.top>").paths()
        except GrammarError as error:
            if not error.file or not error.line:
                raise
            print(f"handsfree: {error}")
            raise SystemExit(2) from None

    return lambda: refused(boxed(run))


def _no_file(folder: Path, kind: str) -> Callable[[], str]:
    def done() -> str:
        return refused(command("walk", put(folder / "special.yaml", kind), "--typed", "--log", folder / "log"))

    return done
