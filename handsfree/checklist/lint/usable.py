"""Phrases that cannot be used at all: not a pattern, no such rule, two values for one slot, no word to say."""

from __future__ import annotations

from collections.abc import Iterator

from handsfree.checklist import at_item
from handsfree.checklist.authored import unusable
from handsfree.checklist.lint.subject import MOST_COMPARED, MOST_WAYS, Subject
from handsfree.checklist.models import Item
from handsfree.checklist.problems import Location, Problem
from handsfree.language.errors import GrammarError, VocabularyError


def unusable_phrases(subject: Subject) -> Iterator[Problem]:
    """Errors ``phrase``: a phrase that the grammars cannot read, or that makes no sense at its item."""
    broken: set[Location] = set()
    for problem in unusable(subject.checklist, subject.patterns):
        broken.add(problem.where[:4])
        yield problem
    if subject.ways > MOST_WAYS:
        message = f"its phrases can be said in {subject.ways} ways; {MOST_WAYS} can be held against each other"
        yield Problem(message, code="phrase", hint="leave out ways that nobody will say")
        return
    for where, item in subject.items:
        if where not in broken:
            yield from _unusable_together(subject, where, item)


def _unusable_together(subject: Subject, where: Location, item: Item) -> Iterator[Problem]:
    try:
        (at_item.own(item, subject.patterns) + at_item.general(item, subject.patterns)).vocabulary()
    except (GrammarError, VocabularyError) as error:
        yield Problem(f"item '{item.id}': {error}", where, code="phrase")
        return
    count = len(subject.listed(item))
    if count > MOST_COMPARED:
        message = f"item '{item.id}' can be answered in {count} ways; {MOST_COMPARED} can be held against each other"
        yield Problem(message, where, code="phrase", hint="leave out ways that nobody will say")


def misnamed_findings(subject: Subject) -> Iterator[Problem]:
    """Errors ``finding-name``: a rule whose tags do not give the finding that its name says.

    A report from elsewhere finds its item by that name.
    """
    for where, item in subject.items:
        for at, finding in enumerate(item.findings):
            if finding.use is not None and _tagged(subject, finding.use) not in (None, {finding.finding_id}):
                message = f"{finding.use} does not give the finding '{finding.finding_id}' that its name says"
                hint = "name a rule for one finding, or give 'id' and 'say'"
                yield Problem(message, (*where, "findings", at, "use"), code="finding-name", hint=hint)


def _tagged(subject: Subject, rule: str) -> set[str | None] | None:
    """The findings that a rule's tags give; None when it cannot be read."""
    try:
        return {dict(path.slots).get("finding") for path in subject.patterns.expansion(rule).paths()}
    except GrammarError:
        return None
