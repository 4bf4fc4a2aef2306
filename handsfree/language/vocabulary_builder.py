"""Entries and numbers laid into one automaton, and all their phrases listed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final, NamedTuple

from handsfree.language.automaton import Automaton, Path, Slots, clashing
from handsfree.language.entries import Entry, Kind, NumberEntry
from handsfree.language.errors import VocabularyError
from handsfree.language.expansion import MOST_PHRASES, Expansion
from handsfree.language.jsgf_tree import Node, Null, Optional
from handsfree.language.meaning import Meaning, Outcome
from handsfree.language.numbers import SpokenRange, spoken_range
from handsfree.language.phrase import Phrase
from handsfree.language.spelling import Lexicon, recognised_form
from handsfree.language.tongue import Tongue
from handsfree.shown import shortened

MOST_TOGETHER: Final = 2 * MOST_PHRASES
"""Phrases of one moment, numbers aside."""
_NOTHING: Final = Path("", "", ())


@dataclass(frozen=True, slots=True)
class Source:
    """What an entry adds to the words that it accepts."""

    outcome: Outcome
    slots: Slots
    rank: int
    kind: Kind = "own"

    def meaning(self, slots: Slots) -> Meaning | None:
        """The meaning with the pattern's slots; None when they clash with the entry's."""
        together = self.slots + slots
        return None if clashing(together) else Meaning.of(self.outcome, together)


class Built(NamedTuple):
    """What a vocabulary is made of; an automaton's label is the place of its source."""

    automaton: Automaton
    sources: tuple[Source, ...]
    phrases: tuple[Phrase, ...]
    lexicon: Lexicon
    strangers: tuple[str, ...]


def build(entries: Sequence[Entry], numbers: Sequence[NumberEntry], strangers: Sequence[str]) -> Built:
    """Compile and list; raises VocabularyError and GrammarError as ``Vocabulary.build`` says."""
    lexicon = _lexicon(entries, numbers)
    ranges = [_range_of(number, lexicon.tongue) for number in numbers]
    sources = [Source(entry.outcome, entry.slots, entry.rank, entry.kind) for entry in entries]
    sources += [Source("value", number.slots, number.rank) for number in numbers]

    automaton = Automaton()
    starts = [_lay(automaton, entry, label, lexicon) for label, entry in enumerate(entries)]
    for label, (number, middle) in enumerate(zip(numbers, ranges, strict=True), start=len(starts)):
        valued = ((words, (("value", value),)) for words, value in middle)
        automaton.add_between(_pattern(number.before), valued, _pattern(number.after), label, lexicon)

    if sum(entry.expansion.ways for entry in entries if entry.listed) > MOST_TOGETHER:
        raise VocabularyError(f"more than {MOST_TOGETHER} ways to answer, all together")
    phrases = _PhraseList()
    for entry, source, start in zip(entries, sources, starts, strict=False):
        if entry.listed:
            phrases.add(entry, source, tuple(automaton.paths(start)))
    for number, source, middle in zip(numbers, sources[len(starts) :], ranges, strict=True):
        phrases.add_numbers(number, source, middle)
    listed = phrases.all()
    known = {phrase.heard_as for phrase in listed}
    unlike = dict.fromkeys(recognised_form(stranger, lexicon) for stranger in strangers)
    return Built(automaton, tuple(sources), listed, lexicon, tuple(one for one in unlike if one not in known))


def _lexicon(entries: Sequence[Entry], numbers: Sequence[NumberEntry]) -> Lexicon:
    """All patterns of a vocabulary come from the same grammars, and so share one lexicon."""
    beside = (pattern for number in numbers for pattern in (number.before, number.after) if pattern)
    patterns = [*(entry.expansion for entry in entries), *beside]
    return patterns[0].lexicon if patterns else Lexicon()


def _lay(automaton: Automaton, entry: Entry, label: int, lexicon: Lexicon) -> int:
    entry.expansion.check_compilable()
    if entry.listed:
        entry.expansion.check_enumerable()
    return automaton.add(entry.expansion.pattern, label, lexicon)


class _PhraseList:
    """Phrases in order; of two that sound the same, those of the lowest rank."""

    def __init__(self) -> None:
        self._ranked: dict[str, tuple[int, dict[Meaning, Phrase]]] = {}
        """For each recognised phrase the lowest rank so far, and what it means there."""

    def all(self) -> tuple[Phrase, ...]:
        return tuple(phrase for _, meanings in self._ranked.values() for phrase in meanings.values())

    def add(self, entry: Entry, source: Source, paths: Sequence[Path]) -> None:
        if not paths:
            raise VocabularyError(f"'{shortened(entry.expansion.text)}' can never be said")
        for path in paths:
            if not path.heard:
                raise VocabularyError(f"'{shortened(entry.expansion.text)}' can be said without a word")
            self._keep(Phrase(path.written, path.heard, _meaning(source, path)), source.rank)

    def add_numbers(self, entry: NumberEntry, source: Source, middle: SpokenRange) -> None:
        """The same phrases that the automaton accepts; their many numbers are put together faster than walked."""
        before, after = _beside(entry.before), _beside(entry.after)
        if len(middle) * len(before) * len(after) > MOST_PHRASES:
            raise VocabularyError(f"more than {MOST_PHRASES} ways to say a number from {entry.low} to {entry.high}")
        valued: dict[Meaning, dict[str, Meaning]] = {}
        for first, last in product(before, after):
            around = Path(f"{first.written} … {last.written}", "", first.slots + last.slots + (("value", ""),))
            unvalued = _meaning(source, around)
            if unvalued not in valued:
                valued[unvalued] = {value: unvalued.with_slots(value=value) for _, value in middle}
            self._keep_numbers(first, middle, last, valued[unvalued], source.rank)

    def _keep_numbers(
        self, first: Path, middle: SpokenRange, last: Path, meanings: Mapping[str, Meaning], rank: int
    ) -> None:
        written_first, written_last = f"{first.written} ".lstrip(), f" {last.written}".rstrip()
        heard_first, heard_last = f"{first.heard} ".lstrip(), f" {last.heard}".rstrip()
        for words, value in middle:
            written = f"{written_first}{words}{written_last}"
            self._keep(Phrase(written, f"{heard_first}{words}{heard_last}", meanings[value]), rank)

    def _keep(self, phrase: Phrase, rank: int) -> None:
        kept_rank, meanings = self._ranked.get(phrase.heard_as, (rank, {}))
        if rank < kept_rank:
            kept_rank, meanings = rank, {}
        if rank == kept_rank:
            meanings.setdefault(phrase.meaning, phrase)
            self._ranked[phrase.heard_as] = (rank, meanings)


def _range_of(entry: NumberEntry, tongue: Tongue) -> SpokenRange:
    if entry.step <= 0 or entry.low > entry.high or entry.low < 0:
        raise VocabularyError(f"no number can be said from {entry.low} to {entry.high} in steps of {entry.step}")
    if (entry.high - entry.low) / entry.step > MOST_PHRASES:
        raise VocabularyError(f"more than {MOST_PHRASES} numbers from {entry.low} to {entry.high}")
    middle = spoken_range(entry.low, entry.high, entry.step, entry.form, tongue)
    if not middle:
        raise VocabularyError(f"no part of full from {entry.low} to {entry.high} has a name")
    return middle


def _pattern(beside: Expansion | None) -> Node:
    return Optional(beside.pattern) if beside else Null()


def _beside(pattern: Expansion | None) -> tuple[Path, ...]:
    """What may be said beside a number; it may also be left out."""
    return tuple(dict.fromkeys((_NOTHING, *(pattern.paths() if pattern else ()))))


def _meaning(source: Source, path: Path) -> Meaning:
    meaning = source.meaning(path.slots)
    if meaning is None:
        name = clashing(source.slots + path.slots)
        raise VocabularyError(f"'{shortened(path.written)}' would give the slot '{name}' two values")
    return meaning
