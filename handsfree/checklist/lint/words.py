"""Words that the recogniser cannot hear.  It would drop them in silence, and a phrase without its "not" is another."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from handsfree.checklist.compose import tokens
from handsfree.checklist.lint.near_words import near_words
from handsfree.checklist.lint.subject import Subject
from handsfree.checklist.moments import plain_name
from handsfree.checklist.problems import Location, Problem
from handsfree.language.errors import GrammarError
from handsfree.language.spelling import unknown_words

Knows = Callable[[str], bool]
"""Whether the speech model knows a word."""
_NAMED_OTHERWISE = "who practises from memory says it: give 'spoken' with words that can be heard"


def words_not_known(subject: Subject, knows: Knows) -> Iterator[Problem]:
    """Errors ``unknown-word``, each word once a phrase; words of the grammars themselves are named without a line."""
    for where, text in subject.fields():
        if not text.startswith("<"):
            yield from _in_pattern(subject, knows, where, text)
    for rule in subject.grammars.public_rules():
        yield from _in_pattern(subject, knows, (), f"<{rule}>")


def names_not_known(subject: Subject, knows: Knows) -> Iterator[Problem]:
    """Warnings ``unknown-name``: only who practises from memory says the name of an item."""
    for where, item in subject.items:
        if not item.spoken:
            for problem in _in_pattern(subject, knows, (*where, "name"), plain_name(item.name)):
                yield replace(problem, level="warning", code="unknown-name", hint=_NAMED_OTHERWISE)


def _in_pattern(subject: Subject, knows: Knows, where: Location, text: str) -> Iterator[Problem]:
    try:
        spoken = " ".join(tokens(subject.patterns(text)))
    except GrammarError:
        return
    lexicon = subject.grammars.lexicon
    for word in unknown_words(spoken, knows, lexicon):
        near = near_words(word, knows, lexicon, subject.pronounce)
        said = f"say {' or '.join(repr(one) for one in near)}" if near else "choose another word"
        spelled = f"'{word}: {near[0] if near else '…'}'"
        # The lexicon belongs to the program, as the grammars do.
        hint = said if where else f"{said}, or write what sounds alike into grammars/lexicon.yaml: {spelled}"
        message = f"the speech model does not know the word '{word}' of '{text}'"
        yield Problem(message, where, code="unknown-word", hint=hint)
