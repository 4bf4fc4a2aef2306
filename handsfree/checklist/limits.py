"""Between which limits a number has to be: one within them is an answer as good as a pass.  Pure."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from handsfree.checklist.models import Item
from handsfree.language.meaning import Meaning

_Broken = Literal["below-limit", "above-limit", "count-short", "count-over"]


@dataclass(frozen=True, slots=True)
class Limits:
    """None = no limit; both limits themselves are good."""

    low: Decimal | None = None
    high: Decimal | None = None
    counted: bool = False
    """It is a number of things."""

    def __str__(self) -> str:
        """For people: "5 to 8", "at least 5", "3", "any"."""
        match self.low, self.high:
            case None, None:
                return "any"
            case low, None:
                return f"at least {_plain(low)}"
            case None, high:
                return f"at most {_plain(high)}"
            case low, high:
                return _plain(low) if low == high else f"{_plain(low)} to {_plain(high)}"

    def judged(self, meaning: Meaning) -> Meaning:
        """A number beyond them is a finding, which keeps its slot ``value``; all else is what it is."""
        value = meaning.get("value")
        broken = None if meaning.outcome != "value" or value is None else self._broken(Decimal(value))
        return meaning if broken is None else Meaning.of("finding", meaning.slots, finding=broken)

    def _broken(self, number: Decimal) -> _Broken | None:
        if self.low is not None and number < self.low:
            return "count-short" if self.counted else "below-limit"
        if self.high is not None and number > self.high:
            return "count-over" if self.counted else "above-limit"
        return None


NO_LIMITS = Limits()


def limits_of(item: Item) -> Limits:
    """The limits of what is measured or counted at an item; none where nothing is."""
    if item.count is not None:
        return Limits(Decimal(item.count.expect), Decimal(item.count.expect), counted=True)
    if item.quantity is not None:
        return Limits(_decimal(item.quantity.low), _decimal(item.quantity.high))
    return NO_LIMITS


def _decimal(number: float | None) -> Decimal | None:
    return None if number is None else Decimal(str(number))


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
