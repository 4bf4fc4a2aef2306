"""Everything that can be wrong with a checklist that loads: what cannot be heard, reached, answered or trusted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import chain

from handsfree.checklist.lint.asking import unanswerable_questions
from handsfree.checklist.lint.chunks import late_criticals, long_zones
from handsfree.checklist.lint.complete import incomplete_items, open_rules, unknown_rules
from handsfree.checklist.lint.confusable import confusable_phrases
from handsfree.checklist.lint.limits import unsayable_units, unsound_limits
from handsfree.checklist.lint.one_place import different_places
from handsfree.checklist.lint.one_word import one_word_apart
from handsfree.checklist.lint.reachable import unreachable_items
from handsfree.checklist.lint.route import crossing_ways, longer_ways
from handsfree.checklist.lint.sounding_alike import sounding_alike
from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.lint.timing import Lasts, slow_prompts
from handsfree.checklist.lint.usable import misnamed_findings, unusable_phrases
from handsfree.checklist.lint.words import Knows, names_not_known, words_not_known
from handsfree.checklist.models import Checklist
from handsfree.checklist.problems import Problem, field_name
from handsfree.language.grammars import Grammars
from handsfree.language.sounds import Pronounce
from handsfree.language.tongue import ENGLISH


def check(
    checklist: Checklist,
    grammars: Grammars,
    knows_word: Knows,
    pronounce: Pronounce,
    lasts: Lasts = lambda texts: [None] * len(texts),
) -> list[Problem]:
    """All errors and warnings of a checklist, errors first; ``loading.Source.placed`` adds file and line.

    ``knows_word`` tells whether the speech model has a word, ``pronounce`` how words are said, ``lasts`` how long texts
    take to be spoken.  Raises nothing for a checklist that was loaded.
    """
    subject = Subject(checklist, grammars, pronounce)
    english = grammars.lexicon.tongue is ENGLISH  # whose sounds and paces were measured
    if english:
        pronounce(subject.words())  # all at once, before the rules ask for a few at a time
    found = chain(
        unusable_phrases(subject),
        misnamed_findings(subject),
        different_places(subject),
        words_not_known(subject, knows_word),
        names_not_known(subject, knows_word),
        confusable_phrases(subject),
        *([one_word_apart(subject), sounding_alike(subject)] if english else []),
        unreachable_items(subject),
        unsound_limits(subject),
        unanswerable_questions(subject),
        crossing_ways(subject),
        *([slow_prompts(subject, lasts)] if english else []),
        long_zones(subject),
        unknown_rules(subject),
    )
    return sorted(_named(checklist, found), key=lambda problem: problem.level != "error")


def notes(checklist: Checklist, grammars: Grammars, pronounce: Pronounce) -> list[Problem]:
    """What is no doubt and yet worth a thought: figures, and what is left open."""
    subject = Subject(checklist, grammars, pronounce)
    found = chain(
        longer_ways(subject),
        late_criticals(subject),
        unsayable_units(subject),
        incomplete_items(subject),
        open_rules(subject),
    )
    return _named(checklist, found)


def _named(checklist: Checklist, found: Iterable[Problem]) -> list[Problem]:
    """Each once, with the name of its field."""
    data = checklist.model_dump(by_alias=True)
    return list(dict.fromkeys(replace(problem, field=field_name(problem.where, data)) for problem in found))
