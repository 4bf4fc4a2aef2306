"""The questions that make a checklist, and what is said at once about an answer.  Pure but for who answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol, TypeVar

from handsfree.checklist.models import SEVERITIES, Severity
from handsfree.checklist.problems import Problem
from handsfree.checklist.rules import published_rules
from handsfree.drafting.draft import Draft, NewFinding, NewItem, begun, slug


@dataclass(frozen=True, slots=True)
class Question:
    """Something that is asked."""

    text: str
    choices: tuple[str, ...] = ()
    """What can be answered; empty = any text."""
    default: str = ""
    """What an empty answer means."""


class Person(Protocol):
    """Who answers."""

    def ask(self, question: Question) -> str:
        """The answer; one of the choices where there are any.  Raises EOFError when nobody answers any more."""
        ...

    def tell(self, text: str) -> None:
        """Something to know."""
        ...


Check = Callable[[str], Sequence[Problem]]
"""What is wrong with a checklist's text, each with its way to the field; only what the newest item is to blame for."""
Write = Callable[[str], None]
"""Keeps the text; on return it is on the disk."""


class Interview:
    """Asks for a checklist, item after item; each is kept before the next is asked for."""

    def __init__(self, person: Person, check: Check, write: Write, findings: Mapping[str, str]) -> None:
        """``findings`` = rules of the shipped grammar by the words that name them: ``flat spot``."""
        self._person = person
        self._check = check
        self._write = write
        self._findings = findings

    def head(self) -> str:
        """What comes before the zones."""
        ask = self._person.ask
        aircraft = self._text("Which aircraft? Its type")
        operator = self._text("Who operates it")
        example = self._registration()
        title = ask(Question("The checklist's title", default=f"Exterior inspection, {aircraft}"))
        return begun(slug(aircraft) or "checklist", title, aircraft, operator, example)

    def go_on(self, text: str) -> int:
        """Ask for zones and items until no more are named; how many items were kept."""
        kept = 0
        draft = Draft(text)
        if draft.zones:
            zones = ", ".join(draft.zones)
            self._person.tell(f"Zones in this file: {zones}. Give one of these to add items to it, or a new name.")
        while zone := self._zone(draft.zones):
            while item := self._item(str(zone["name"])):
                text = self._kept(draft, zone, item)
                draft = Draft(text)
                kept += 1
        return kept

    def _zone(self, there: Sequence[str]) -> dict[str, Any] | None:
        name = self._person.ask(Question("Zone, in the order of the walk: its name (empty = done)"))
        if not name:
            return None
        if slug(name) in there:
            return {"id": slug(name), "name": name.replace("-", " ")}
        zone: dict[str, Any] = {"id": slug(name) or "zone", "name": name[:1].upper() + name[1:]}
        zone["spoken"] = [f"[the] {name.lower()}"]
        self._person.tell(f"What is found there while elsewhere is reported by this name: leak {name.lower()}.")
        caution = self._person.ask(Question("What can hurt somebody there (empty = nothing of its own)"))
        return zone | ({"caution": caution} if caution else {})

    def _item(self, zone: str) -> NewItem | None:
        ask = self._person.ask
        name = ask(Question(f"{zone}: what is looked at (empty = next zone)"))
        if not name:
            return None
        prompt = ask(Question("The short prompt", default=f"{name[:1].upper()}{name[1:]}."))
        return NewItem(
            name=name.lower(),
            prompt=prompt,
            full=self._text("The full prompt: what to look at, in a sentence or two"),
            look_for=self._text("What is good, and what does bad look like"),
            why=ask(Question("Why does it matter (empty = not said)")),
            good=self._good(),
            findings=self._named(),
            severity=self._severity(),
            ata=self._chapter(),
            caution=ask(Question("Are hands or heads at risk: the caution (empty = none)")),
            source=ask(Question("Who asks for it: a published rule, or", default="common practice")),
        )

    def _good(self) -> tuple[str, ...]:
        said = self._text("The answer when it is good: what is seen, as dry, or smooth and intact")
        return _parts(said)

    def _named(self) -> tuple[NewFinding, ...]:
        words = self._person.ask(
            Question("What can be wrong, with commas between: cut, leak, or words of your own (empty = nothing)")
        )
        return tuple(map(self._finding, _parts(words)))

    def _finding(self, words: str) -> NewFinding:
        return NewFinding(self._findings[words]) if words in self._findings else NewFinding("", words)

    def _severity(self) -> Severity:
        said = self._person.ask(Question("How grave is a defect there", choices=SEVERITIES, default="major"))
        return next(one for one in SEVERITIES if one == said)

    def _chapter(self) -> str:
        chapters = published_rules().chapters
        while True:
            said = self._text("ATA chapter: two digits, or a word to look for")
            if said in chapters:
                return said
            found = [number for number, name in chapters.items() if said.lower() in name]
            if len(found) == 1:
                self._person.tell(f"Taken: {found[0]} {chapters[found[0]]}.")
                return found[0]
            told = "; ".join(f"{number} {chapters[number]}" for number in found)
            self._person.tell(told or f"no chapter has '{said}' in its name; 32 is landing gear, 28 fuel")

    def _kept(self, draft: Draft, zone: Mapping[str, Any], item: NewItem) -> str:
        """Ask again for what could not be heard or would be misheard, then keep it."""
        while True:
            text = draft.with_item(zone, item)
            problems = self._check(text)
            if not problems:
                break
            for problem in problems:
                hint = f" ({problem.hint})" if problem.hint else ""
                self._person.tell(f"{problem.level}: {problem.message}{hint}")
            grave = any(problem.level == "error" for problem in problems)
            keep = "" if grave else ", or empty to keep it"
            bad_ones, bad_findings = _named_bad(problems, "pass"), _named_bad(problems, "findings")
            instead = _instead([item.good[at] for at in bad_ones])
            good = self._person.ask(Question(f"Another answer when it is good{instead}{keep or ', or empty'}"))
            instead = _instead([_words(item.findings[at]) for at in bad_findings])
            wrong = self._person.ask(Question(f"Other words for what can be wrong{instead}{keep or ', or empty'}"))
            if not good and not wrong and not grave:
                break
            if good:
                item = replace(item, good=(*_others(item.good, bad_ones), *_parts(good)))
            if wrong:
                new = map(self._finding, _parts(wrong))
                item = replace(item, findings=(*_others(item.findings, bad_findings), *new))
        self._write(text)
        self._person.tell(f"Kept: {item.name}.")
        return text

    def _registration(self) -> str:
        while True:
            said = self._text("A registration, as an example: capital letters and digits").upper().replace("-", "")
            if said.isascii() and said.isalnum() and 2 < len(said) <= 10:  # noqa: PLR2004  # as the format has it
                return said
            self._person.tell("Three to ten letters and digits, without a hyphen: Q7KTA")

    def _text(self, question: str) -> str:
        while not (said := self._person.ask(Question(question))):
            self._person.tell("This is needed.")
        return said


Part = TypeVar("Part")


def _parts(said: str) -> tuple[str, ...]:
    return tuple(part.strip().lower() for part in said.split(",") if part.strip())


def _named_bad(problems: Sequence[Problem], field: str) -> tuple[int, ...]:
    """Which entries of a field of the newest item the problems name, from 0."""
    found: set[int] = set()
    for problem in problems:
        match problem.where:
            case ("zones", _, "items", _, named, int(at), *_) if named == field:
                found.add(at)
            case _:
                pass
    return tuple(sorted(found))


def _others(all_of_them: Sequence[Part], bad: Sequence[int]) -> tuple[Part, ...]:
    """Those that stay: none where the problems name none, as the new words then stand for all."""
    return tuple(one for at, one in enumerate(all_of_them) if at not in bad) if bad else ()


def _words(finding: NewFinding) -> str:
    return finding.words or finding.rule


def _instead(bad: Sequence[str]) -> str:
    return f" instead of '{', '.join(bad)}'" if bad else ""
