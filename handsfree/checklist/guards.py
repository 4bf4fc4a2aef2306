"""What is listened for at an item so that a defect is not taken for a pass.

A recogniser that is given only "pin removed" hears it in "pin isn't removed" too, and "both good" in "both cut": what
is not on its list it drops, or bends to what is.  So the opposites of the responses are on the list as well.  None of
this is taught, and nothing of it ever passes.
"""

from __future__ import annotations

from collections.abc import Iterator

from handsfree.checklist.compose import Patterns, either, one_after_the_other
from handsfree.checklist.models import Item
from handsfree.checklist.said import Said
from handsfree.language.jsgf_tree import Tagged, Token
from handsfree.language.tongue import Tongue
from handsfree.language.vocabulary import Entry

DENIED_RANK = 2
"""A denied response means what the item or everyday words say of it, if they do."""
DENIED = "something-wrong"
"""What a denied response is kept as, where the item does not name it itself; the words are kept beside it."""


def guards(item: Item, patterns: Patterns) -> Said:
    """Denied responses, and defects said of what a response speaks of; and words that only sound like a response.

    Raises GrammarError.
    """
    responses = _responses(item, patterns)
    tongue = patterns.tongue
    denials = denied(responses, _words(patterns, "<doubts.denial>"), tongue)
    entries: list[Entry] = []
    if denials:
        slots = (("item", item.id), ("finding", DENIED))
        whole = patterns.whole(either(map(Token, denials)), f"a denied response of {item.id}")
        entries.append(Entry(whole, "finding", slots, DENIED_RANK, "denied"))
    subjects = subjects_of(responses, tongue)
    defects = tuple(_first_words_of_defects(item, patterns))
    if subjects and defects:
        said_of = one_after_the_other(either(map(Token, subjects)), either(defects))
        whole = patterns.whole(said_of, f"a defect of what is looked at in {item.id}")
        entries.append(Entry(whole, "finding", (("item", item.id),), DENIED_RANK, "denied"))
    return Said(tuple(entries), strangers=(*_words(patterns, "<doubts.word>"), *turned_round(responses, tongue)))


def denied(responses: tuple[str, ...], denials: tuple[str, ...], tongue: Tongue) -> tuple[str, ...]:
    """Each response with a denial before each of its words, or without the negation that it has.

    "Pin removed" gives "not pin removed", "pin isn't removed" and so on; "no leaks" gives "leaks" and "no it leaks".
    """
    return tuple(
        dict.fromkeys(words for response in responses for words in _opposites(response.split(), denials, tongue))
    )


def subjects_of(responses: tuple[str, ...], tongue: Tongue) -> tuple[str, ...]:
    """What the responses speak of: the words before the last one, if a defect may follow them."""
    empty = _no_subject(tongue)
    begun = (response.split()[:-1] for response in responses)
    return tuple(dict.fromkeys(" ".join(words) for words in begun if words and words[-1] not in empty))


def turned_round(responses: tuple[str, ...], tongue: Tongue) -> tuple[str, ...]:
    """The responses with a word that a syllable turns round: "vent unclear", "disc displaced", "pin moved".

    Most of these are no words at all; the ears leave out what their model does not know.
    """
    empty = _no_subject(tongue)
    return tuple(
        dict.fromkeys(
            " ".join((*words[:at], turned, *words[at + 1 :]))
            for words in map(str.split, responses)
            for at, word in enumerate(words)
            if word not in empty
            for turned in _turned(word, words[at - 1] if at else "", tongue)
        )
    )


def _responses(item: Item, patterns: Patterns) -> tuple[str, ...]:
    """All that passes the item, as written."""
    checked = ("<control.checked>",) if item.checked_is_enough else ()
    good = (text for state in item.states if state.good for text in state.say)
    texts = (*checked, *(one.say for one in item.passes), *good)
    return tuple(dict.fromkeys(path.written for text in texts for path in patterns.expansion(text).paths()))


def _opposites(words: list[str], denials: tuple[str, ...], tongue: Tongue) -> Iterator[str]:
    plain = [word for word in words if word not in tongue.negations]
    if plain != words:
        yield from (frame.format(" ".join(plain)) for frame in tongue.instead if plain)
        return
    yield from (frame.format(" ".join(words)) for frame in tongue.denials)
    for at, word in enumerate(words):
        if word not in tongue.joining:
            yield from (" ".join((*words[:at], denial, *words[at:])) for denial in denials)


def _no_subject(tongue: Tongue) -> frozenset[str]:
    """Words that name nothing: no defect follows them ("in worn"), and no syllable turns them round."""
    return tongue.no_subject | tongue.negations | frozenset(tongue.joining)


def _first_words_of_defects(item: Item, patterns: Patterns) -> Iterator[Tagged]:
    for state in item.states:
        if not state.good:
            yield from (Tagged(patterns.first(text), (("finding", state.id),)) for text in state.say)
    for one in item.findings:
        if one.use is not None:
            yield Tagged(patterns.first(one.use), ())
        else:
            yield from (Tagged(patterns.first(text), (("finding", one.finding_id),)) for text in one.say)


def _turned(word: str, before: str, tongue: Tongue) -> Iterator[str]:
    # "In line" sounds like "inline".
    yield from (f"{beginning}{word}" for beginning in tongue.opposites if beginning != before)
    for beginning in tongue.returning:  # "moved" for "removed"
        if word.startswith(beginning) and word != beginning:
            yield word.removeprefix(beginning)


def _words(patterns: Patterns, rule: str) -> tuple[str, ...]:
    """Every phrase of a rule.  Raises GrammarError."""
    return tuple(path.written for path in patterns.expansion(rule).paths())
