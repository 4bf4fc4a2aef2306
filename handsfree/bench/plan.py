"""How much is tried in which noise, and by whom."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from pydantic import BaseModel, ConfigDict

from handsfree.bench.scene import Condition

MAIN_NOISES = ("pink", "turbine", "rain")
"""The noises over which the columns of the table take the mean."""

HARDEST = "rain"
"""The one of them that has a row of its own."""


@dataclass(frozen=True, slots=True)
class Line:
    """A condition, and how many answers are spoken in it."""

    condition: Condition
    count: int


_MANY = 1000
"""With fewer answers than this asked for, the chatter is short as well."""
_CLEAN = Condition("clean", None)
_SINGLE_DB = 5.0
_SINGLES = (
    *(Condition(noise, _SINGLE_DB) for noise in ("wind", "propeller", "babble")),
    *(Condition("pink", _SINGLE_DB, channel) for channel in ("hangar", "clipped", "bluetooth", "raised")),
)


def _lines(clean: int, at_db: Mapping[float, int], single: int) -> tuple[Line, ...]:
    """The counts are those of one noise each."""
    main = [Line(Condition(noise, level), count) for level, count in at_db.items() for noise in MAIN_NOISES]
    singles = [Line(condition, single) for condition in _SINGLES if single]
    return (Line(_CLEAN, clean), *main, *singles)


FULL = _lines(clean=2060, at_db={10.0: 2060, 5.0: 2060, 0.0: 690}, single=210)
"""So that a column at 10 and at 5 dB has over 3900 defects spoken (with 3838 and no false pass, the rate is below 0.1 %
with 95 % confidence), and clean and 0 dB have over 1300."""

SHORT = _lines(clean=36, at_db={10.0: 12, 5.0: 20, 0.0: 5}, single=0)
"""A minute or two, to see that nothing got worse."""


class Settings(BaseModel):
    """What is measured: the same settings give the same trials, but for the times."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)

    checklist: str
    """The name of a shipped checklist, or the path of one."""
    seed: int = 1
    short: bool = False
    count: int | None = None
    """About how many answers in all; None = as many as the plan has; 0 = none, only what else was asked for."""
    voices: Literal["tuning", "reporting"] = "reporting"
    """Which half of the voices: nothing was ever adjusted by listening to the reporting half."""
    compare: bool = False
    """Whether other ways to listen hear some of the same sounds."""
    chatter: bool = False
    """Whether talk to others and noise without speech are heard as well."""
    audio: str | None = None
    """A folder of recordings to hear as well."""

    @property
    def chatter_s(self) -> float:
        """Seconds of talk, and as many of noise."""
        if not self.chatter:
            return 0.0
        return 300.0 if self.short or 0 < (self.count or 0) < _MANY else 3600.0

    @property
    def lines(self) -> tuple[Line, ...]:
        """The conditions, and how much is tried in each."""
        if self.count == 0:
            return ()
        plan = SHORT if self.short else FULL
        return plan if self.count is None else scaled(plan, self.count)


def scaled(lines: tuple[Line, ...], count: int) -> tuple[Line, ...]:
    """The same conditions with about ``count`` answers in all."""
    whole = sum(line.count for line in lines)
    return tuple(replace(line, count=max(1, round(line.count * count / whole))) for line in lines)


def columns(lines: tuple[Line, ...]) -> dict[str, tuple[str, ...]]:
    """The columns of the table, each with the names of its conditions: "clean", "10 dB", "5 dB" ..."""
    found: dict[str, list[str]] = {}
    for line in lines:
        one = line.condition
        if one == _CLEAN or (one.noise in MAIN_NOISES and one.channel == "plain"):
            found.setdefault(level(one), []).append(one.name)
    return {name: tuple(conditions) for name, conditions in found.items()}


def level(condition: Condition) -> str:
    """How loud the noise is, in words."""
    return "clean" if condition.snr_db is None else f"{condition.snr_db:g} dB"
