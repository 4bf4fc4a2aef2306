"""What an instructor wants to know of a class, asked of the tables."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from math import inf, sqrt
from statistics import mean, stdev
from typing import Final

from handsfree.archive.database import Database
from handsfree.archive.facts import Facts
from handsfree.archive.logs import Damaged
from handsfree.drill.detection import Counts, detect, sensitivity
from handsfree.drill.estimate import Z_95, Estimate, share
from handsfree.drill.learning import learn

MOST_PHRASES: Final = 100
"""Phrases that are told, those that gave the most trouble."""
MOST_NAMED: Final = 5
"""Trainees that are named at an item."""
MOST_WAYS: Final = 300
"""Trainees whose way is told, those who tell least apart: an interval takes a millisecond."""


@dataclass(frozen=True, slots=True)
class Missed:
    """How often a defect was not reported."""

    name: str
    """Of an item or of a trainee."""
    defects: int
    """That were shown."""
    passed: int
    """Of these: called good."""
    omitted: int
    """Of these: nothing that stands was said."""
    renamed: int
    """Of these: reported, and called something else."""
    share: Estimate
    """Passed or omitted, of those that were shown; Wilson's interval."""
    sound: int
    """Shown without a defect, and decided."""
    alarms: int
    """Of these: reported as a defect."""
    by: tuple[tuple[str, int], ...] = ()
    """At an item: who missed it most often, and how often."""


@dataclass(frozen=True, slots=True)
class Attempt:
    """One attempt of one trainee."""

    who: str
    practice: str
    number: int
    """1, 2, 3 … of this trainee, practising so, in the order of time."""
    exercise: str
    folder: str
    began: datetime
    """UTC."""
    minutes: float
    counts: Counts
    omitted: int
    d_prime: float | None
    """None = no defect was decided, or nothing without one."""


@dataclass(frozen=True, slots=True)
class Way:
    """How somebody came through all attempts of one kind."""

    who: str
    practice: str
    attempts: int
    first: float | None
    """d' of the first attempt in which there was one."""
    last: Estimate | None
    """d' of the last such attempt, with its interval."""


@dataclass(frozen=True, slots=True)
class Step:
    """The class at its n-th attempt."""

    practice: str
    number: int
    trainees: int
    """With a d' in it: few come as far as the last."""
    d_prime: Estimate
    """Mean over trainees, with the normal interval of a mean; of one trainee without width."""
    hit_rate: Estimate
    """Of all defects that were decided."""
    false_alarm_rate: Estimate


@dataclass(frozen=True, slots=True)
class Pace:
    """How fast the class learns: the curve through its means."""

    practice: str
    plateau: Estimate | None
    """d' where it leads."""
    attempts: float | None
    """In so many, 63 % of what is left is gained."""
    why_not: str
    """Why there is no curve; else empty."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words that were not understood, or taken for something else."""

    said: str
    heard: int
    asked_again: int
    taken_back: int
    """Understood, and called wrong in the next utterance."""
    trouble: Estimate
    """Asked again or taken back, of those heard."""


@dataclass(frozen=True, slots=True)
class Stop:
    """What happens at an item, over all walks of one kind."""

    item: str
    walks: int
    asked_again: int
    put_off: int
    helped: int
    unanswered: int
    """Walks that ended without an answer to it."""
    median_s: float | None
    """From the question to the answer."""


@dataclass(frozen=True, slots=True)
class Kind:
    """All walks of one kind."""

    practice: str
    """Empty = round real aircraft."""
    walks: int
    people: int
    complete: int
    median_minutes: float
    stops: tuple[Stop, ...]
    """Those with the most trouble first."""


@dataclass(frozen=True, slots=True)
class Answers:
    """All of it."""

    logs: int
    damaged: tuple[Damaged, ...]
    checklists: tuple[str, ...]
    first: datetime | None
    last: datetime | None
    kinds: tuple[Kind, ...]
    items: tuple[Missed, ...]
    trainees: tuple[Missed, ...]
    ways: tuple[Way, ...]
    steps: tuple[Step, ...]
    paces: tuple[Pace, ...]
    phrases: tuple[Phrase, ...]
    attempts: tuple[Attempt, ...]


def answers(facts: Facts) -> Answers:
    """Ask everything."""
    database = facts.database
    attempts = _attempts(database)
    steps = tuple(_steps(attempts))
    first, last = database.rows("SELECT min(began), max(began) FROM walks")[0]
    return Answers(
        logs=facts.logs,
        damaged=facts.damaged,
        checklists=tuple(one for (one,) in database.rows("SELECT DISTINCT checklist FROM walks ORDER BY checklist")),
        first=first,
        last=last,
        kinds=_kinds(database),
        items=_missed(database, "item"),
        trainees=_missed(database, "who"),
        ways=_ways(attempts),
        steps=steps,
        paces=tuple(_pace(practice, list(some)) for practice, some in groupby(steps, key=lambda one: one.practice)),
        phrases=_phrases(database),
        attempts=attempts,
    )


def _missed(database: Database, name: str) -> tuple[Missed, ...]:
    """By item or by trainee, the surest misses first: a share of few is not put before the same of many."""
    by: defaultdict[str, list[tuple[str, int]]] = defaultdict(list)
    if name == "item":
        for item, who, times in database.rows(_BY_WHOM, MOST_NAMED):
            by[item].append((who, times))
    found = [
        Missed(one, defects, passed, omitted, renamed, missed, sound, alarms, tuple(by[one]))
        for one, defects, passed, omitted, renamed, sound, alarms in database.rows(_MISSED.format(name=name))
        if (missed := share(passed + omitted, defects)) is not None
    ]
    return tuple(sorted(found, key=lambda one: (-one.share.low, -one.share.value, one.name)))


_MISSED: Final = """
    SELECT {name},
        count(*) FILTER (truth = 'defect'),
        count(*) FILTER (outcome = 'miss'),
        count(*) FILTER (truth = 'defect' AND outcome = 'omitted'),
        count(*) FILTER (outcome = 'hit' AND NOT named),
        count(*) FILTER (outcome IN ('right', 'false alarm')),
        count(*) FILTER (outcome = 'false alarm')
    FROM (
        SELECT trials.* REPLACE (CASE WHEN item = '' THEN scene ELSE item END AS item), who
        FROM trials JOIN walks USING (walk)
    )
    GROUP BY {name}
"""
_BY_WHOM: Final = """
    SELECT CASE WHEN item = '' THEN scene ELSE item END AS place, who, count(*) AS times
    FROM trials JOIN walks USING (walk)
    WHERE truth = 'defect' AND trials.outcome IN ('miss', 'omitted')
    GROUP BY place, who
    QUALIFY row_number() OVER (PARTITION BY place ORDER BY times DESC, who) <= ?
    ORDER BY place, times DESC, who
"""


def _attempts(database: Database) -> tuple[Attempt, ...]:
    """By trainee and kind of practice, in the order of time."""
    return tuple(
        Attempt(who, practice, number, exercise, folder, began, seconds / 60, counts, omitted, _d_prime(counts))
        for who, practice, number, exercise, folder, began, seconds, *four, omitted in database.rows(_ATTEMPTS)
        for counts in [Counts(*four)]
    )


_ATTEMPTS: Final = """
    WITH counted AS (
        SELECT walk,
            count(*) FILTER (outcome = 'hit') AS hits,
            count(*) FILTER (outcome = 'miss') AS misses,
            count(*) FILTER (outcome = 'false alarm') AS false_alarms,
            count(*) FILTER (outcome = 'right') AS rights,
            count(*) FILTER (outcome = 'omitted') AS omitted
        FROM trials GROUP BY walk
    )
    SELECT who, practice, row_number() OVER (PARTITION BY who, practice ORDER BY began, folder) AS number,
        exercise, folder, began, seconds, hits, misses, false_alarms, rights, omitted
    FROM walks JOIN counted USING (walk) WHERE practice <> ''
    ORDER BY practice, who, number
"""


def _d_prime(counts: Counts) -> float | None:
    """As `detect` has it; its interval takes a thousand times as long."""
    if not (counts.defects and counts.sound):
        return None
    hits, alarms = (counts.hits + 0.5) / (counts.defects + 1), (counts.false_alarms + 0.5) / (counts.sound + 1)
    return sensitivity(hits, alarms).d_prime


def _ways(attempts: Sequence[Attempt]) -> tuple[Way, ...]:
    """Those who tell least apart at last come first."""
    found: list[tuple[float, list[Attempt], list[Attempt]]] = []
    for _, some in groupby(attempts, key=lambda one: (one.practice, one.who)):
        taken = list(some)
        known = [one for one in taken if one.d_prime is not None]
        found.append((known[-1].d_prime or 0.0 if known else inf, taken, known))
    found.sort(key=lambda one: (one[0], one[1][0].who))
    return tuple(
        Way(
            who=taken[0].who,
            practice=taken[0].practice,
            attempts=len(taken),
            first=known[0].d_prime if known else None,
            last=detect(known[-1].counts).d_prime if known else None,
        )
        for _, taken, known in found[:MOST_WAYS]
    )


def _steps(attempts: Sequence[Attempt]) -> Iterator[Step]:
    """The class at its first attempt, at its second, and so on."""
    by_number: defaultdict[tuple[str, int], list[Attempt]] = defaultdict(list)
    for one in attempts:
        if one.d_prime is not None:
            by_number[one.practice, one.number].append(one)
    for (practice, number), some in sorted(by_number.items()):
        hits, defects = sum(one.counts.hits for one in some), sum(one.counts.defects for one in some)
        alarms, sound = sum(one.counts.false_alarms for one in some), sum(one.counts.sound for one in some)
        hit_rate, false_alarm_rate = share(hits, defects), share(alarms, sound)
        if hit_rate is not None and false_alarm_rate is not None:
            told_apart = _mean([one.d_prime for one in some if one.d_prime is not None])
            yield Step(practice, number, len(some), told_apart, hit_rate, false_alarm_rate)


def _mean(values: Sequence[float]) -> Estimate:
    half = Z_95 * stdev(values) / sqrt(len(values)) if len(values) > 1 else 0.0
    middle = mean(values)
    return Estimate(middle, middle - half, middle + half)


def _pace(practice: str, steps: Sequence[Step]) -> Pace:
    learnt = learn([one.d_prime.value for one in steps])
    if learnt.curve is None:
        return Pace(practice, None, None, learnt.why_not or "")
    return Pace(practice, learnt.curve.predict(inf), learnt.curve.pace, "")


def _phrases(database: Database) -> tuple[Phrase, ...]:
    """Those that gave the most trouble, the most often first."""
    found = [
        Phrase(said, heard, asked_again, taken_back, trouble)
        for said, heard, asked_again, taken_back in database.rows(_PHRASES, MOST_PHRASES)
        if (trouble := share(asked_again + taken_back, heard)) is not None
    ]
    return tuple(found)


_PHRASES: Final = """
    SELECT said, count(*) AS heard,
        count(*) FILTER (outcome = 'ask') AS unclear,
        count(*) FILTER (taken_back) AS wrong
    FROM heard WHERE outcome <> 'control' AND said <> ''
    GROUP BY said HAVING unclear + wrong > 0
    ORDER BY unclear + wrong DESC, said LIMIT ?
"""


def _kinds(database: Database) -> tuple[Kind, ...]:
    stops: defaultdict[str, list[Stop]] = defaultdict(list)
    for practice, *rest in database.rows(_STOPS):
        stops[practice].append(Stop(*rest))
    return tuple(Kind(*rest, stops=tuple(stops[rest[0]])) for rest in database.rows(_KINDS))


_KINDS: Final = """
    SELECT practice, count(*), count(DISTINCT who), count(*) FILTER (outcome = 'complete'), median(seconds) / 60
    FROM walks GROUP BY practice ORDER BY practice
"""
_STOPS: Final = """
    SELECT practice, item, count(*), sum(asked_again)::INTEGER, sum(put_off)::INTEGER, sum(helped)::INTEGER,
        count(*) FILTER (NOT answered) AS unanswered, median(visits.seconds)
    FROM visits JOIN walks USING (walk) GROUP BY practice, item
    ORDER BY practice, unanswered + sum(asked_again) + sum(put_off) DESC, item
"""
