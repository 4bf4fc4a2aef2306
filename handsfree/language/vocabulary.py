"""All that can be said at one moment, and what it means."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from handsfree.language.acceptor import Acceptor, acceptor
from handsfree.language.automaton import Accepted, Run
from handsfree.language.clauses import Clause, joiners, readings
from handsfree.language.entries import Entry, Kind, NumberEntry
from handsfree.language.meaning import Meaning, Passing
from handsfree.language.nearest import Near, nearest
from handsfree.language.phrase import Phrase
from handsfree.language.spelling import compared_form
from handsfree.language.tongue import Tongue
from handsfree.language.vocabulary_builder import Built, Source, build

__all__ = ["Entry", "Kind", "Near", "NumberEntry", "Parse", "Phrase", "Source", "Vocabulary"]


@dataclass(frozen=True, slots=True)
class Parse:
    """What an utterance means, strictly."""

    clauses: tuple[Meaning, ...]
    """Empty = not understood as a whole."""
    text: str
    """In the checklist's spelling, clauses parted by commas; the words as given when not understood."""
    ambiguous: bool
    """The words may mean something else as well; ``clauses`` is then only the first reading."""
    others: tuple[tuple[Meaning, ...], ...] = ()
    """The other readings of an ambiguous utterance."""


class Vocabulary:
    """Built once for each item; strict by default, fuzzy only when asked."""

    def __init__(self, built: Built, *, critical: bool = False, measured: bool = False) -> None:
        self._automaton, self._sources, phrases, self._lexicon, strangers = built
        self.phrases: tuple[Phrase, ...] = phrases
        """Every single clause, in the order of the entries, no doubles."""
        self.strangers: tuple[str, ...] = strangers
        """What may be heard here and means nothing, as the recogniser spells it, none of them a phrase.

        Some of the words may be unknown to a recogniser; then it does without.
        """
        self.critical = critical
        """A defect that is missed here may cost lives: whoever hears a pass should be surer than elsewhere."""
        ways: tuple[Passing, ...] = ("pass", "value") if measured else ("pass",)
        self.passing: tuple[Passing, ...] = tuple(
            way for way in ways if any(source.outcome == way for source in self._sources)
        )
        """By what outcomes the thing that is asked may pass: a number that was measured too, a letter never."""
        self.tongue: Tongue = self._lexicon.tongue
        """The language."""
        self.joining: tuple[str, ...] = self.tongue.joining
        """Words that may stand between two clauses; the recogniser hears them only if it is given them."""
        self._joiners = joiners(self.tongue)
        self._ours = frozenset(word for phrase in phrases for word in phrase.heard_as.split())

    @classmethod
    def build(
        cls,
        entries: Sequence[Entry],
        numbers: Sequence[NumberEntry] = (),
        strangers: Sequence[str] = (),
        *,
        critical: bool = False,
    ) -> Vocabulary:
        """Compile entries and numbers; ``strangers`` are phrases to be heard only lest they be taken for others.

        Raises VocabularyError for a phrase whose slots clash, that has no words, that nobody can say, and for a number
        range without end; GrammarError for a pattern with too many phrases.
        """
        return cls(build(entries, numbers, strangers), critical=critical, measured=bool(numbers))

    def recogniser_list(self) -> tuple[str, ...]:
        """What to give the recogniser: each phrase once, order kept."""
        return tuple(dict.fromkeys(phrase.heard_as for phrase in self.phrases))

    def acceptor(self, cost: Callable[[Source], float], strangers: Mapping[str, float]) -> Acceptor:
        """All that can be said as a machine over the recogniser's words, with what each kind of phrase costs.

        Of the strangers only those given, with their costs, are in it: a recogniser does not know them all.
        """
        return acceptor(self._automaton, lambda label: cost(self._sources[label]), strangers)

    def is_stranger(self, word: str) -> bool:
        """Whether a word, as the recogniser spells it, is in no phrase and joins none."""
        return word not in self._ours and word not in self.joining

    def parse(self, words: str) -> Parse:
        """The meaning of a whole text of one or more clauses, joined by nothing, "and" or "but"; any spelling."""
        heard = compared_form(words, self._lexicon)
        found = readings(
            heard, {start: self._clauses_from(heard, start) for start in range(len(heard))}, self._lexicon.tongue
        )
        if not found:
            return Parse((), " ".join(words.split()), ambiguous=False)
        first, *others = (tuple(dict.fromkeys(clause.meaning for clause in reading)) for reading in found)
        text = ", ".join(clause.written for clause in found[0])
        return Parse(first, text, bool(others), tuple(others))

    def can_grow(self, words: str) -> bool:
        """Whether the last clause of these words may go on ("cut" … "cut on tyre two"), or a joining word dangles.

        That a whole further clause may follow does not count; the empty text can grow.
        """
        runs, may_begin, complete, dangling = list[Run](), True, False, True
        for word in compared_form(words, self._lexicon):
            dangling = complete and word in self._joiners
            runs = self._automaton.feed([*runs, *(self._automaton.begin() if may_begin else ())], word)
            complete = self._is_complete(runs)
            may_begin = complete or dangling
        return dangling or self._automaton.can_grow(runs)

    def nearest(self, words: str, limit: int = 3) -> tuple[Near, ...]:
        """The phrases that look most like these words, best first: to ask by, never to pass by."""
        return nearest(" ".join(compared_form(words, self._lexicon)), self.phrases, limit, self.tongue)

    def _is_complete(self, runs: Sequence[Run]) -> bool:
        return any(self._sources[one.label].meaning(one.slots) for one in self._automaton.accepted(runs))

    def _clauses_from(self, words: Sequence[str], start: int) -> list[tuple[int, Clause]]:
        """Every clause that begins at one place, and where it ends."""
        found: list[tuple[int, Clause]] = []
        runs = self._automaton.begin()
        for end in range(start + 1, len(words) + 1):
            runs = self._automaton.feed(runs, words[end - 1])
            if not runs:
                break
            found += [(end, clause) for clause in self._first_rank(self._automaton.accepted(runs))]
        return found

    def _first_rank(self, accepted: Iterator[Accepted]) -> list[Clause]:
        """The meanings of the same words at the lowest rank that has any, each once."""
        ranked: dict[int, dict[Meaning, Clause]] = {}
        for one in accepted:
            source = self._sources[one.label]
            meaning = source.meaning(one.slots)
            if meaning is not None:
                ranked.setdefault(source.rank, {}).setdefault(meaning, Clause(meaning, one.written))
        return list(ranked[min(ranked)].values()) if ranked else []
