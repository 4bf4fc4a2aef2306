"""Golden conversations: a walk written down as it is spoken, checked line by line.

A file in ``golden/`` begins with a comment that says what it shows, and has these lines:

    @ start                  the walk begins here, with the tool's first words (``@ start with a sound check``)
    @ nose-gear              ... or at this item, by day, all items before it passed (``@ taxi-light by night``)
    > cut on tyre two        the inspector says this; it must be understood strictly
    ? mumble                 the inspector says something in doubt (``? mumble | cut``: it may have been "cut")
    ~ silence                nobody speaks; ``~ chatter``: others speak; ``~ restart``: the tool is started again
    ? mumble; too loud       after any of these: the noise is to blame, or ``; sound lost``: a piece is missing
    : Finding: … Affirm?     the tool says exactly this; … stands for any words.  Every sentence has its line
    ! finding                a tone; all tones of a turn are listed, or none is
    = nose-gear: finding     a fact of the state, see `facts`
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from handsfree.book import Book
from handsfree.checklist.loading import load
from handsfree.checklist.models import Item
from handsfree.language.heard import Heard, with_a_hole
from handsfree.language.meaning import Meaning
from handsfree.language.phrase import Phrase
from handsfree.listeners import understand
from handsfree.walk import route
from handsfree.walk.events import Begin, Effect, Event, Resumed, Say, Silence, Spoken, Tone
from handsfree.walk.machine import expect
from handsfree.walk.state import Answer, WalkState

SMALL = Path(__file__).parents[1] / "data" / "small.yaml"
GOLDEN = Path(__file__).parent / "golden"


@cache
def small() -> Book:
    """The small test checklist, ready to be walked."""
    return kept(Book(load(SMALL)))


def kept(book: Book) -> Book:
    """The same; every vocabulary of it and every item's own phrases are made once only."""
    make, made = book.phrasebook.own_phrases, dict[str, tuple[Phrase, ...]]()

    def own_phrases(item: Item) -> tuple[Phrase, ...]:
        if item.id not in made:
            made[item.id] = make(item)
        return made[item.id]

    book.phrasebook.own_phrases = own_phrases
    book.listening.vocabulary = cache(book.listening.vocabulary)
    return book


def golden_files() -> list[Path]:
    return sorted(GOLDEN.glob("*.txt"))


@dataclass(frozen=True)
class Line:
    number: int
    mark: str
    text: str


@dataclass(frozen=True)
class Scene:
    """The lines of one golden file: how it begins, then turns of an input and what follows from it."""

    name: str
    start: str
    opening: tuple[Line, ...]
    turns: tuple[tuple[Line, tuple[Line, ...]], ...]


def read_scene(path: Path) -> Scene:
    lines = [
        Line(number, text[0], text[1:].strip())
        for number, text in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if text.strip() and not text.startswith("#")
    ]
    if not lines or lines[0].mark != "@":
        raise ValueError(f"{path.name} does not say where it starts")
    groups: list[list[Line]] = [[]]
    for line in lines[1:]:
        if line.mark not in ">?~:!=":
            raise ValueError(f"{path.name}, line {line.number}: unknown mark {line.mark}")
        if line.mark in ">?~":
            groups.append([])
        groups[-1].append(line)
    return Scene(path.name, lines[0].text, tuple(groups[0]), tuple((one[0], tuple(one[1:])) for one in groups[1:]))


class Conversation:
    """A walk through a checklist, turn by turn; keeps every event and every effect."""

    def __init__(self, book: Book, begin: Begin | None = None) -> None:
        self.book = book
        self.state = WalkState()
        self.events: list[Event] = []
        self.effects: list[Effect] = []
        self.turn(begin or Begin(who="AB", registration="Q7KTA", level_check=False))

    def turn(self, event: Event) -> tuple[Effect, ...]:
        self.state, effects = self.book.walk.step(self.state, event)
        self.events.append(event)
        self.effects += effects
        return effects

    def hear(self, words: str) -> Heard:
        return understand(words, self.book.listening.vocabulary(expect(self.state)))

    def say(self, *lines: str) -> tuple[Effect, ...]:
        """Say several things one after the other; the effects of the last."""
        effects: tuple[Effect, ...] = ()
        for words in lines:
            effects = self.turn(Spoken(self.understood(words)))
        return effects

    def understood(self, words: str) -> Heard:
        heard = self.hear(words)
        if heard.outcome in ("ask", "none"):
            raise AssertionError(f'"{words}" is not understood at {expect(self.state)}')
        return heard

    def in_doubt(self, words: str, guessed: str = "") -> Heard:
        guesses = self.understood(guessed).meanings if guessed else ()
        return Heard("ask", words, guesses, 0.0, why="in doubt")

    def input(self, line: Line) -> Event:
        """The event that an input line stands for."""
        text, _, trouble = (part.strip() for part in line.text.partition(";"))
        if trouble not in ("", "too loud", "sound lost"):
            raise ValueError(f"line {line.number}: nothing is known of {trouble}")
        too_loud, sound_lost = trouble == "too loud", trouble == "sound lost"

        def spoken(heard: Heard) -> Spoken:
            heard = replace(heard, too_loud=too_loud)
            return Spoken(with_a_hole(heard) if sound_lost else heard)

        match line.mark, text:
            case ">", words:
                return spoken(self.understood(words))
            case "?", _:
                words, _, guessed = (part.strip() for part in text.partition("|"))
                return spoken(self.in_doubt(words, guessed))
            case _, "silence":
                return Silence(too_loud, sound_lost)
            case _, "chatter":
                return spoken(Heard("none", "we are boarding at gate four", why="the words were not for this check"))
            case _, "restart":
                return Resumed()
            case _:
                raise ValueError(f"line {line.number}: nothing is known of {line.mark} {line.text}")


def begun(scene: Scene, book: Book) -> tuple[Begin, tuple[str, ...]]:
    """How a scene begins: the first event, and what is said until its item is asked."""
    if scene.start.startswith("start"):
        return Begin(level_check="sound check" in scene.start), ()
    item, _, when = scene.start.partition(" ")
    begin = Begin(who="AB", registration="Q7KTA", level_check=False)
    talk = Conversation(book, begin)
    said = ["affirm" if "night" in when else "negative"]
    talk.say(said[0])
    while talk.state.item != item:
        said.append(good_answer(book, talk.book.checklist.item(talk.state.item or "")))
        talk.say(said[-1])
    return begin, tuple(said)


def good_answer(book: Book, item: Item) -> str:
    """A response that passes the whole item: its first, or the middle of what its limits allow."""
    phrases = book.phrasebook.own_phrases(item)
    if item.count is not None:
        return next(one.text for one in phrases if one.meaning.get("value") == str(item.count.expect))
    if item.quantity is not None:
        low, high = item.quantity.low, item.quantity.high
        fitting = {
            float(value): one.text
            for one in reversed(phrases)
            if (value := one.meaning.get("value"))
            and (low is None or float(value) >= low)
            and (high is None or float(value) <= high)
        }
        return fitting[sorted(fitting)[len(fitting) // 2]]
    passes = [one for one in phrases if one.meaning.outcome == "pass"]
    whole = [one.text for one in passes if one.meaning.get("covers") is None]
    by_part = {one.meaning.get("covers"): one.text for one in reversed(passes)}
    return whole[0] if whole else ", ".join(by_part.values())


def play(scene: Scene, book: Book) -> Conversation:
    """Go through a scene and check every line of it."""
    begin, before = begun(scene, book)
    talk = Conversation(book, begin)
    effects: Sequence[Effect] = talk.effects
    for words in before:
        effects = talk.say(words)
    if scene.opening:
        check(scene.name, scene.opening, effects, talk)
    for line, expected in scene.turns:
        check(scene.name, expected, talk.turn(talk.input(line)), talk)
    return talk


def check(name: str, expected: Sequence[Line], effects: Sequence[Effect], talk: Conversation) -> None:
    said = [effect.text for effect in effects if isinstance(effect, Say)]
    wanted = [line.text for line in expected if line.mark == ":"]
    where = f"{name}, line {expected[0].number}" if expected else name
    if len(said) != len(wanted) or not all(map(same_words, wanted, said)):
        raise AssertionError(f"{where}: wanted {wanted}, the tool says {said}")
    tones = [effect.kind for effect in effects if isinstance(effect, Tone)]
    wanted_tones = [line.text for line in expected if line.mark == "!"]
    if wanted_tones and tones != wanted_tones:
        raise AssertionError(f"{where}: wanted the tones {wanted_tones}, there are {tones}")
    known = set(facts(talk.book, talk.state))
    for line in expected:
        if line.mark == "=" and line.text not in known:
            raise AssertionError(f"{name}, line {line.number}: '{line.text}' is not so; known: {sorted(known)}")


def same_words(wanted: str, said: str) -> bool:
    return re.fullmatch(re.escape(wanted).replace("…", ".*"), said, re.DOTALL) is not None


def facts(book: Book, state: WalkState) -> Iterator[str]:
    """What can be said of a state: items, answers, holds, and what the walk waits for."""
    for item in book.checklist.items():
        yield f"{item.id}: {route.status(state, item)}"
    for one in state.answers:
        yield f"answer {one.number}: {answer_words(one)}"
    yield f"{len(state.answers)} answers"
    yield f"holds: {', '.join(state.holds) or 'none'}"
    yield f"waiting for: {state.moment}"
    yield f"asking: {state.item}"
    yield f"who: {state.who}"
    yield f"registration: {state.registration}"
    yield f"conditions: {', '.join(f'{name} {holds}' for name, holds in state.conditions)}"
    yield f"outcome: {state.outcome}"
    yield f"decision: {state.decision}"


def answer_words(one: Answer) -> str:
    """``finding at nose-gear (finding=cut number=2), affirmed, stands``."""
    where = f"at {one.item}" if one.item else f"of {one.place}"
    slots = " ".join(f"{name}={value}" for name, value in one.meaning.slots if name not in ("item", "place"))
    confirmed = {True: "affirmed", False: "unconfirmed", None: "not read back"}[one.confirmed]
    words = [f"{one.kind} {where} ({slots})" if slots else f"{one.kind} {where}"]
    words += [confirmed] if one.kind == "finding" else []
    words += ["from elsewhere"] if one.elsewhere else []
    return ", ".join([*words, one.standing])


def meanings_of(heard: Heard, outcome: str) -> list[Meaning]:
    return [one for one in heard.meanings if one.outcome == outcome]
