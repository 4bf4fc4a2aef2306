"""What is spoken: answers of every kind, dealt evenly over the items and findings of a checklist."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, islice, pairwise
from typing import Literal, TypeVar

import numpy as np

from handsfree.book import Book
from handsfree.checklist.limits import NO_LIMITS, Limits, limits_of
from handsfree.language.meaning import Meaning, Outcome, overall_outcome
from handsfree.language.phrase import Phrase
from handsfree.language.vocabulary import Vocabulary
from handsfree.walk.events import Expect

Kind = Literal["finding", "pass", "number", "control", "two clauses"]

SHARES: Mapping[Kind, float] = {"finding": 0.56, "two clauses": 0.08, "pass": 0.19, "number": 0.08, "control": 0.09}
"""How the utterances of a condition are divided; a finding, from which a false pass can come, is in the first two."""

_JOINED = ("{} and {}", "{} but {}", "{} {}")
_Dealt = TypeVar("_Dealt")


@dataclass(frozen=True, slots=True)
class Task:
    """An answer to be spoken at an item, and what it means there."""

    item: str
    words: str
    wanted: tuple[Meaning, ...]
    limits: Limits = NO_LIMITS
    """Of the numbers of the item."""

    @property
    def kind(self) -> Kind:
        """What kind of answer it is."""
        return kind_of(self.wanted)

    def passes(self, meanings: Sequence[Meaning]) -> bool:
        """Whether an answer that means this lets the item pass: by a pass or a number within limits, and no defect."""
        return bool(meanings) and self._outcome(meanings) in {"pass", "value"}

    @property
    def is_defect(self) -> bool:
        """Whether a defect is spoken: named, or by a number beyond its limits."""
        return self._outcome(self.wanted) == "finding"

    def _outcome(self, meanings: Sequence[Meaning]) -> Outcome:
        return overall_outcome(map(self.limits.judged, meanings))


def task_at(book: Book, item: str, words: str, wanted: tuple[Meaning, ...]) -> Task:
    """An answer at an item of a checklist."""
    return Task(item, words, wanted, limits_of(book.checklist.item(item)))


def kind_of(wanted: Sequence[Meaning]) -> Kind:
    """What kind of answer means this."""
    if len(wanted) > 1:
        return "two clauses"
    outcome = wanted[0].outcome
    return "number" if outcome == "value" else outcome


@lru_cache(maxsize=256)  # the walk keeps a few only, and here all items come again and again
def vocabulary_at(book: Book, item: str) -> Vocabulary:
    """What a walk listens for when it asks an item."""
    return book.listening.vocabulary(Expect("item", item))


def choose(book: Book, count: int, seed: int) -> tuple[Task, ...]:
    """So many answers, divided as `SHARES` says.  The same seed gives the same answers."""
    random = np.random.default_rng(seed)
    own = {item.id: book.phrasebook.own_phrases(item) for item in book.checklist.items()}
    makers: Mapping[Kind, Callable[[], Iterator[Task]]] = {
        "finding": lambda: _of_outcome(book, own, "finding", random),
        "pass": lambda: _of_outcome(book, own, "pass", random),
        "number": lambda: _of_outcome(book, own, "value", random),
        "control": lambda: _controls(book, random),
        "two clauses": lambda: _two_clauses(book, own, random),
    }
    ends = [0, *(round(count * share) for share in accumulate(SHARES.values()))]
    counts = dict(zip(SHARES, (end - start for start, end in pairwise(ends)), strict=True))
    return tuple(task for kind, share in counts.items() for task in islice(makers[kind](), share))


def _of_outcome(
    book: Book, own: Mapping[str, Sequence[Phrase]], outcome: str, random: np.random.Generator
) -> Iterator[Task]:
    """Each finding, state or number of each item comes once before any comes again, in ever other words.

    To the findings of each item belongs one everyday defect, ever another.
    """
    wanted = {
        item: {one: _gist(one.meaning) for one in phrases if one.meaning.outcome == outcome}
        for item, phrases in own.items()
    }
    if outcome == "finding":
        for item in book.checklist.items():
            wanted[item.id] = dict.fromkeys(book.phrasebook.general_phrases(item), "everyday") | wanted[item.id]
    piles = {
        task_at(book, item, one.text, (one.meaning,)): (item, gist)
        for item, gists in wanted.items()
        for one, gist in gists.items()
    }
    return _dealt(_piles(piles, piles.__getitem__), random)


def _controls(book: Book, random: np.random.Generator) -> Iterator[Task]:
    """Each control word at one item after the other; at some of them "checked" is a pass, and counts as one."""
    phrases = _dealt(_piles(book.phrasebook.control_phrases(), lambda one: one.meaning), random)
    items = _dealt([[item] for item in book.checklist.items()], random)
    for phrase, item in zip(phrases, items, strict=False):
        parse = vocabulary_at(book, item.id).parse(phrase.text)
        if parse.clauses and not parse.ambiguous:
            yield task_at(book, item.id, phrase.text, parse.clauses)


def _two_clauses(book: Book, own: Mapping[str, Sequence[Phrase]], random: np.random.Generator) -> Iterator[Task]:
    """Anything of an item, and then a finding of it; what can be taken in two ways is left out."""
    with_findings = [item for item in book.checklist.items() if _findings(own[item.id])]
    joined = _dealt([[one] for one in _JOINED], random)
    for item, together in zip(_dealt([[item] for item in with_findings], random), joined, strict=False):
        first = _any_of([one for one in own[item.id] if one.meaning.outcome != "value"], random)
        words = together.format(first.text, _any_of(_findings(own[item.id]), random).text)
        parse = vocabulary_at(book, item.id).parse(words)
        if len(parse.clauses) > 1 and not parse.ambiguous:
            yield task_at(book, item.id, words, parse.clauses)


def _findings(phrases: Sequence[Phrase]) -> list[Phrase]:
    return [phrase for phrase in phrases if phrase.meaning.outcome == "finding"]


def _gist(meaning: Meaning) -> Hashable:
    """What is found or passed, without the place and the number."""
    return tuple(meaning.get(name) for name in ("finding", "state", "covers"))


def _any_of(several: Sequence[_Dealt], random: np.random.Generator) -> _Dealt:
    return several[int(random.integers(len(several)))]


def _piles(several: Iterable[_Dealt], key: Callable[[_Dealt], Hashable]) -> list[list[_Dealt]]:
    piles: dict[Hashable, list[_Dealt]] = defaultdict(list)
    for one in several:
        piles[key(one)].append(one)
    return list(piles.values())


def _dealt(piles: Sequence[Sequence[_Dealt]], random: np.random.Generator) -> Iterator[_Dealt]:
    """One from each pile, in an order that is new each round; a pile is used up before anything of it comes again."""
    unending = [_shuffled_for_ever(pile, random) for pile in piles]
    while unending:
        for index in random.permutation(len(unending)):
            yield next(unending[int(index)])


def _shuffled_for_ever(pile: Sequence[_Dealt], random: np.random.Generator) -> Iterator[_Dealt]:
    while True:
        for index in random.permutation(len(pile)):
            yield pile[index]
