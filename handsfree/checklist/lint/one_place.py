"""One finding names one place: what is read back and written down is its first phrase, whichever was said."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.models import AXES
from handsfree.checklist.problems import Location, Problem
from handsfree.language.errors import GrammarError
from handsfree.language.spelling import plain_digit

_Named = tuple[frozenset[str], tuple[str, ...]]
"""The sides and the numbers in a phrase."""


def different_places(subject: Subject) -> Iterator[Problem]:
    """Error ``two-places``: phrases of one finding, or of one state, that name different sides or numbers."""
    for where, item in subject.items:
        said: list[tuple[Location, str, Sequence[str]]] = [
            *((("findings", at), one.finding_id, one.say) for at, one in enumerate(item.findings)),
            *((("states", at), one.id, one.say) for at, one in enumerate(item.states)),
        ]
        for way, name, texts in said:
            pair = _first_that_differ(subject, texts)
            if pair:
                first, other = pair
                message = f"item '{item.id}': '{first}' and '{other}' are one finding, '{name}', and two places"
                hint = (
                    "the first phrase is what is read back and logged: give each place a finding of its own, or tag "
                    "it, as in '(left {side=left} | right {side=right}) flap down'"
                )
                yield Problem(message, (*where, *way, "say"), code="two-places", hint=hint)


def _first_that_differ(subject: Subject, texts: Sequence[str]) -> tuple[str, str] | None:
    """Of two phrases both of which name a place, the first that name different ones."""
    placed: list[tuple[str, _Named]] = []
    for text in texts:
        try:
            paths = subject.patterns.expansion(text).paths()
        except GrammarError:  # another rule says so
            return None
        # Where a tag says the place, it is read back and logged.
        untagged = (path for path in paths if set(AXES).isdisjoint(dict(path.slots)))
        placed += [(path.written, named) for path in untagged if any(named := _named(path.heard, subject))]
    first = next(iter(placed), None)
    other = next((one for one in placed if first and _differ(one[1], first[1])), None)
    return (first[0], other[0]) if first and other else None


def _named(words: str, subject: Subject) -> _Named:
    tongue = subject.patterns.tongue
    sides = {word: group[0] for group in tongue.sides for word in group}
    plain = [plain_digit(word) for word in words.split()]
    return frozenset(sides[word] for word in plain if word in sides), tuple(
        word for word in plain if word in tongue.number_words
    )


def _differ(one: _Named, other: _Named) -> bool:
    return any(mine and theirs and mine != theirs for mine, theirs in zip(one, other, strict=True))
