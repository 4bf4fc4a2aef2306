"""Words of a checklist that the recogniser cannot hear."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from handsfree.checklist.models import Checklist
from handsfree.checklist.phrases import Phrasebook
from handsfree.checklist.problems import Problem
from handsfree.language.vocabulary import Phrase


def unknown_words(book: Phrasebook, checklist: Checklist, knows: Callable[[str], bool]) -> list[Problem]:
    """One error for each item and word that the model does not know; raises ChecklistError for unusable phrases."""
    found: list[Problem] = []
    for z, zone in enumerate(checklist.zones):
        for i, item in enumerate(zone.items):
            where = ("zones", z, "items", i)
            for word, phrase in _unknown((*book.own_phrases(item), *book.general_phrases(item)), knows):
                message = f"item '{item.id}', phrase '{phrase.text}': the speech model does not know the word '{word}'"
                hint = "choose another word, or give a spelling that it knows in grammars/lexicon.yaml"
                found.append(Problem(message, where, code="unknown-word", hint=hint))
    for word, phrase in _unknown((*book.control_phrases(), *book.everywhere_phrases()), knows):
        message = f"phrase '{phrase.text}': the speech model does not know the word '{word}'"
        found.append(Problem(message, code="unknown-word", hint="choose another word in the grammars or zone names"))
    return found


def _unknown(phrases: tuple[Phrase, ...], knows: Callable[[str], bool]) -> Iterator[tuple[str, Phrase]]:
    seen: set[str] = set()
    for phrase in phrases:
        for word in phrase.heard_as.split():
            if word not in seen and not knows(word):
                yield word, phrase
            seen.add(word)
