"""Logs made by hand: who did what, as a writer would have written it."""

from __future__ import annotations

import os
import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from handsfree.journal import events as log
from handsfree.journal.lines import digest, line_of
from handsfree.journal.reader import LOG_NAME

BEGAN = datetime(2026, 3, 2, 8, tzinfo=UTC)
BEFORE_ANY = digest(b"")


@dataclass
class Story:
    """One walk; every event comes a second after the one before, and a program that is begun again a minute later."""

    who: str = "AB"
    practice: log.Practice = "scenes"
    exercise: str = "first-round"
    began: datetime = BEGAN
    events: list[log.AnyEvent] = field(default_factory=list[log.AnyEvent])
    answers: int = 0
    begun_at: int = 0
    """How many events other programs wrote."""
    stopped_s: int = 0
    """How long no program ran."""

    def __post_init__(self) -> None:
        self._add(log.Opened(tool="handsfree 0", checklist="small", checklist_sha256="", source="synthetic",
                             who=self.who, registration="Q7KTA", practice=self.practice,
                             exercise=self.exercise))  # fmt: skip
        self._add(log.Identity(who=self.who, registration="Q7KTA"))

    def ask(self, item: str, truth: str = "", *findings: str, difficulty: int = 1) -> Story:
        """The item is asked; with a truth the trainee is told what is to be seen there."""
        self._add(log.Asked(item=item, zone="nose"))
        if truth:
            self.tell(truth, *findings, item=item, difficulty=difficulty)
        return self._add(log.Said(text=f"{item}?", seconds=0.5, item=item, zone="nose"))

    def tell(self, truth: Any, *findings: str, item: str | None = None, zone: str = "nose",
             difficulty: int = 1) -> Story:  # fmt: skip
        return self._add(log.Sight(scene=f"{item or zone}-{truth}", text="You see it.", truth=truth, findings=findings,
                                   difficulty=difficulty, item=item, zone=zone))  # fmt: skip

    def hear(
        self, outcome: Any, said: str, item: str | None = None, *, control: str = "", moment: str = "item"
    ) -> Story:
        meanings = (log.HeardMeaning(outcome="control", slots={"control": control}),) if control else ()
        alternatives = (log.HeardAlternative(words=f"{said} there", score=0.125),)
        return self._add(log.HeardEvent(moment=moment, outcome=outcome, said=said, meanings=meanings, confidence=0.97,
                                        snr_db=17.25, noise_dbfs=-41.5, decided_after_s=0.3, alternatives=alternatives,
                                        why="", clip=log.Clip(file=f"clips/{len(self.events):05d}.wav", seconds=1.2,
                                                              sha256="0" * 64), item=item, zone="nose"))  # fmt: skip

    def answer(  # noqa: PLR0913  # what an answer has
        self,
        kind: Any,
        item: str | None,
        said: str = "as it should be",
        *,
        finding: str = "",
        place: str | None = None,
        elsewhere: bool = False,
    ) -> Story:
        """What was said, and the answer that it is."""
        self.hear(kind, said, item)
        self.answers += 1
        return self._add(log.AnswerEvent(number=self.answers, kind=kind, place=place, elsewhere=elsewhere, words=said,
                                         meaning={"finding": finding} if finding else {}, description=said,
                                         severity="major" if kind == "finding" else None, ata="32", item=item,
                                         zone="nose" if item else None))  # fmt: skip

    def passes(self, item: str, said: str = "as it should be") -> Story:
        return self.answer("pass", item, said)

    def finds(self, item: str, finding: str = "cut") -> Story:
        return self.answer("finding", item, finding, finding=finding)

    def change(self, number: int, standing: Any) -> Story:
        return self._add(log.AnswerChanged(number=number, confirmed=None, standing=standing))

    def control(self, control: str, item: str | None = None, *, moment: str = "item") -> Story:
        return self.hear("control", control, item, control=control, moment=moment)

    def leave(self, item: str) -> Story:
        return self._add(log.Left(item=item, reason="asked"))

    def add(self, event: log.AnyEvent) -> Story:
        """Any other event."""
        return self._add(event)

    def end(self, *left_open: str) -> Story:
        outcome = "incomplete" if left_open else "complete"
        return self._add(log.Ended(outcome=outcome, open_items=left_open, holds=()))

    def lines(self) -> list[bytes]:
        return lines_of(self.events)

    def write(self, folder: Path) -> Path:
        """Its log, in a folder of its own."""
        return write_lines(folder, self.lines())

    def _add(self, event: log.AnyEvent) -> Story:
        at = len(self.events)
        if isinstance(event, log.ResumedEvent):
            self.begun_at, self.stopped_s = at, self.stopped_s + 60
        time = self.began + timedelta(seconds=at + self.stopped_s)
        place = {"seq": at + 1, "time": time, "offset_s": float(at - self.begun_at)}
        self.events.append(event.model_copy(update=place))
        return self


def lines_of(events: Sequence[log.AnyEvent]) -> list[bytes]:
    """The lines of a log, chained."""
    lines: list[bytes] = []
    before = BEFORE_ANY
    for event in events:
        lines.append(line_of(event.model_copy(update={"prev": before})))
        before = digest(lines[-1])
    return lines


def write_lines(folder: Path, lines: Sequence[bytes]) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / LOG_NAME).write_bytes(b"".join(line + b"\n" for line in lines))
    return folder


def any_story(chance: random.Random, items: Sequence[str], who: str, number: int) -> Story:
    """A walk in which anything may happen."""
    practice: Any = chance.choice(["", "scenes", "scenes", "guided", "memory"])
    story = Story(who, practice, f"round-{number}", BEGAN + timedelta(days=number, minutes=chance.randrange(600)))
    for zone in ("nose", "tail"):
        story.add(log.ZoneEvent(zone=zone))
    told = bool(practice)
    if told and chance.random() < 0.5:
        story.tell("defect", *chance.choice([(), ("leak",)]), zone="tail")
    for item in items:
        _at_item(story, item, chance, told=told)
    if chance.random() < 0.3:
        story.answer("finding", None, "leak at the tail", finding="leak", place=chance.choice(["tail", "left-side"]),
                     elsewhere=True)  # fmt: skip
    if chance.random() < 0.8:
        story.end(*chance.sample(items, chance.choice([0, 0, 1, 2])))
    return story


def _at_item(story: Story, item: str, chance: random.Random, *, told: bool) -> None:
    truth = chance.choice(["sound", "sound", "odd", "defect"]) if told else ""
    findings = chance.choice([(), ("cut",), ("cut", "worn")]) if truth == "defect" else ()
    story.ask(item, truth, *findings, difficulty=chance.randint(1, 3))
    for _ in range(chance.choice([1, 1, 1, 2, 3])):
        match chance.randrange(10):
            case 0:
                story.hear("ask", "mumble", item)
            case 1:
                story.hear("none", "boarding at gate four", item)
            case 2:
                story.leave(item)
                story.ask(item)
            case 3:
                story.finds(item, chance.choice(["cut", "worn", "gone"]))
                if chance.random() < 0.5:
                    story.control("negative", item, moment="read_back").change(story.answers, "withdrawn")
            case 4:
                story.passes(item).control(chance.choice(["correction", "disregard"]), item)
                story.change(story.answers, chance.choice(["withdrawn", "repeat"]))
            case 5:
                story.add(log.Helped(help="why", item=item, zone="nose"))
            case 6:
                story.control("say_again", item)
            case 7:
                story.add(log.Servicing(items=(item,)))
            case 8:
                story.add(log.ResumedEvent(tool="handsfree 0"))
            case _:
                story.answer(
                    chance.choice(["pass", "value"]), item, chance.choice(["dry", "in place", "one five zero"])
                )


def end_the_process(_: object) -> None:
    """In place of reading."""
    os._exit(9)
