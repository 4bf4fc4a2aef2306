"""What an author gives to be understood: phrases and numbers, with their meaning."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from handsfree.language.automaton import Slots
from handsfree.language.expansion import Expansion
from handsfree.language.meaning import Outcome
from handsfree.language.numbers import Form

Kind = Literal["own", "general", "control", "denied", "before", "elsewhere"]
"""How near to the question: words that answer it, everyday defects, control words that do not answer it, denied
responses, words of the item before, words for another place.  Recognisers expect the nearer more."""


@dataclass(frozen=True, slots=True)
class Entry:
    """An author's phrase: a pattern and what it means."""

    expansion: Expansion
    outcome: Outcome
    slots: Slots = ()
    """Added to the slots that the pattern's tags give."""
    rank: int = 0
    """Where two entries hold the same words the lower rank wins in silence; at the same rank both meanings stand."""
    kind: Kind = "own"
    listed: bool = True
    """False = heard and understood in every way it can be said, but in no list of phrases.

    For patterns with too many ways to list ("any finding at any place").  Each of their words must be in some listed
    phrase, for a word that is in none counts as a stranger.
    """


@dataclass(frozen=True, slots=True)
class NumberEntry:
    """A number, with words before and after it; its meaning is a value with the slot ``value`` in figures."""

    before: Expansion | None
    after: Expansion | None
    low: Decimal
    high: Decimal
    """Inclusive."""
    step: Decimal
    form: Form
    """As a number ("one eight five") or as a part of full ("three quarters")."""
    slots: Slots = ()
    rank: int = 0
