"""What may be said at the moments of the talk that are not an item: spelling, yes or no, a stand by, the decision."""

from __future__ import annotations

import re
from collections.abc import Sequence

from handsfree.checklist.compose import Pattern, Patterns, either, examples, one_after_the_other
from handsfree.checklist.models import Checklist, Item, Registration
from handsfree.checklist.positions import spots
from handsfree.checklist.said import Said
from handsfree.language.alphabet import spell
from handsfree.language.jsgf_tree import Tagged
from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Entry

_CHARACTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
_LETTERS = _CHARACTERS[:26]
_SPELLED = "spelled"
"""The slot that says how many characters a spelling has; ``c1``, ``c2`` … hold them."""

_WHERE_RANK = 3
_STEERING = ("say_again", "stand_by", "speak_slower", "how_do_you_read", "where_are_we")
"""Control words that are of use at every question."""
_READ_BACK = ("affirm", "negative", "correction", "disregard", "leave_for_later", "voice_note")
_WHICH_ONE = ("negative", "correction", "disregard", "leave_for_later", "voice_note")


def controls(patterns: Patterns) -> Said:
    """All control words, as at an item."""
    return Said((Entry(patterns.expansion("<control.any>"), "control", kind="control"),))


def some_controls(patterns: Patterns, names: Sequence[str]) -> Said:
    """The control words with these names."""
    return Said(tuple(Entry(patterns.expansion(f"<control.{name}>"), "control", kind="control") for name in names))


def steering(patterns: Patterns) -> Said:
    """Control words that are of use at every question."""
    return some_controls(patterns, _STEERING)


def read_back(patterns: Patterns) -> Said:
    """The words that settle a finding that was read back.  "Yes" too; not "no", which is what noise leaves of much.

    Only yes is expected: a "negative" that nobody said would take a finding back.
    """
    yes = Said((Entry(patterns.expansion("<answers.yes>"), "control"),))
    return yes + steering(patterns) + some_controls(patterns, _READ_BACK)


def yes_or_no(patterns: Patterns) -> Said:
    """Affirm or negative, and everyday yes and no."""
    return Said((Entry(patterns.expansion("<answers.yes_or_no>"), "control"),)) + steering(patterns)


def place_check(patterns: Patterns) -> Said:
    """After an interruption, while the last answer is read back: yes or no, how far the walk is, and ending it."""
    return yes_or_no(patterns) + some_controls(patterns, ("carry_on", "what_is_left", "end_walk"))


def stand_by(patterns: Patterns) -> Said:
    """During a stand by: coming back, and a report of servicing; nothing else is acted on."""
    return some_controls(patterns, ("carry_on", "servicing_done"))


def decision(patterns: Patterns) -> Said:
    """The person's own decision; the control word is ``decision_accepted`` and so on, or ``no_decision``."""
    words = {
        "accept": "decision_accepted",
        "reject": "decision_rejected",
        "refer": "decision_maintenance",
        "none": "no_decision",
    }
    entries = (
        Entry(patterns.expansion(f"<answers.{rule}>"), "control", (("control", word),)) for rule, word in words.items()
    )
    return Said(tuple(entries)) + steering(patterns)


def practice(patterns: Patterns) -> Said:
    """What only somebody who practises may ask for."""
    return Said((Entry(patterns.expansion("<practice.any>"), "control", kind="control"),))


def where(checklist: Checklist, patterns: Patterns) -> Said:
    """Where one is: the name of an item or of a zone.  Words that mean something at the item itself mean only that."""
    places = [
        *(("at_item", item.id, name) for item in checklist.items() for name in item.spoken or (plain_name(item.name),)),
        *(("at_zone", zone.id, name) for zone in checklist.zones for name in zone.spoken),
    ]
    return Said(
        tuple(
            Entry(
                patterns.expansion(name),
                "control",
                (("control", "at"), (slot, place)),
                rank=_WHERE_RANK,
                kind="control",
            )
            for slot, place, name in places
        )
    )


def at_where(checklist: Checklist, patterns: Patterns) -> Said:
    """At the question where one is, or after an interruption: also help, servicing, and the end."""
    more = some_controls(patterns, (*_STEERING, "what_is_left", "servicing_done", "end_walk", "voice_note"))
    return where(checklist, patterns) + practice(patterns) + more


def plain_name(name: str) -> str:
    """A name without what is only written in it."""
    return re.sub(r"[^\w' -]", " ", name)


def which_one(item: Item, patterns: Patterns) -> Said:
    """After "which one?", for a finding without a position: a value with the slots of the position."""
    where = spots(item, patterns)
    asked = steering(patterns) + some_controls(patterns, _WHICH_ONE)
    if where is None:
        return asked
    slots = (("item", item.id), ("quantity", "position"))
    numbers = either(patterns(f"<positions.n{number}>") for number in item.positions.number)  # "two", since it is asked
    ways = either((where.any_way, numbers)) if item.positions.number else where.any_way
    return Said((Entry(patterns.whole(ways, f"a position of {item.id}"), "value", slots),)) + asked


def registration(expected: Registration, patterns: Patterns) -> Said:
    """A registration character by character, as long as the example; those that fit the pattern are listed."""
    places = [_fitting(expected, at) for at in range(len(expected.example))]
    return _spelling(places, len(places), _CHARACTERS, patterns) + steering(patterns)


def initials(patterns: Patterns) -> Said:
    """Two or three letters."""
    return _spelling([_LETTERS] * 3, 2, _LETTERS, patterns) + steering(patterns)


def spelled(meanings: Sequence[Meaning]) -> str | None:
    """The letters and digits of an utterance that is one spelling and nothing else ("Q7KTA"), or None."""
    length = meanings[0].get(_SPELLED) if len(meanings) == 1 else None
    if length is None:
        return None
    return "".join(meanings[0].get(f"c{at}") or "" for at in range(1, int(length) + 1))


def _fitting(expected: Registration, at: int) -> str:
    """The characters that the pattern takes at one place, the rest being as in the example."""
    before, after = expected.example[:at], expected.example[at + 1 :]
    fitting = (one for one in _CHARACTERS if re.fullmatch(expected.pattern, f"{before}{one}{after}"))
    return "".join(fitting) or _CHARACTERS


def _spelling(places: Sequence[str], shortest: int, understood: str, patterns: Patterns) -> Said:
    """As many characters as there are places, or down to the shortest; those given for a place are listed for it."""
    entries: list[Entry] = []
    for length in range(shortest, len(places) + 1):
        slots = (("quantity", "spelling"), (_SPELLED, str(length)))
        anything = [_character(understood, at, patterns) for at in range(1, length + 1)]
        pattern = one_after_the_other(*anything)
        entries.append(Entry(patterns.whole(pattern, "a spelling"), "value", slots, listed=False))
    slots = (("quantity", "spelling"), (_SPELLED, str(len(places))))
    expected = [_turned(examples(_character(fit, at, patterns)), at) for at, fit in enumerate(places, start=1)]
    listed = examples(one_after_the_other(*(either(one) for one in expected)))
    entries.append(Entry(patterns.whole(either(listed), "a spelling"), "value", slots))
    return Said(tuple(entries))


def _character(characters: str, at: int, patterns: Patterns) -> Pattern:
    """One of these characters at a place, counted from 1."""
    return either(Tagged(patterns(spell(one, patterns.tongue)), ((f"c{at}", one),)) for one in characters)


def _turned(patterns: Sequence[Pattern], by: int) -> Sequence[Pattern]:
    """The same beginning further on, a different step for each place, so that different letters meet."""
    start = by * by * 3 % len(patterns)
    return [*patterns[start:], *patterns[:start]]
