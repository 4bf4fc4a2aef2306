"""A class on one page that needs nothing else: tables, and pictures beside them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Final

from handsfree import charts
from handsfree.archive.questions import Answers, Kind, Missed, Step
from handsfree.drill.estimate import Estimate
from handsfree.markup import Markup, joined, table, tag
from handsfree.shown import shortened

MOST_ROWS: Final = 100
"""Of a table; what is cut off is said."""
_MOST_BARS: Final = 20
_KINDS: Final = {"": "real walks", "guided": "practice, guided", "scenes": "practice with scenes",
                 "memory": "practice from memory"}  # fmt: skip
_HERE: Final = Path(__file__).parent


def page(told: Answers) -> str:
    """The whole page.  Every text from a log is escaped."""
    title = "A class, from its logs"
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("title", title),
        tag("style", Markup((_HERE / "page.css").read_text(encoding="utf-8")), charts.STYLE),
    )
    body = tag("body", tag("main", tag("h1", title), *_opening(told), *_sections(told)))
    return f"<!doctype html>\n{tag('html', head, body, lang='en')}\n"


def in_short(told: Answers) -> list[str]:
    """For a terminal: the worst of each kind."""
    lines = [_counted(told)]
    for title, rows in (("Missed most", told.items), ("By", told.trainees)):
        lines += [f"{title}: {one.name}, {one.passed + one.omitted} of {one.defects} defects" for one in rows[:3]]
    for pace in told.paces:
        steps = [one for one in told.steps if one.practice == pace.practice]
        lines.append(f"{_KINDS[pace.practice]}: d' {' '.join(f'{one.d_prime.value:.2f}' for one in steps)}")
    lines += [
        f'Asked again or taken back: "{one.said}", {one.asked_again + one.taken_back} of {one.heard}'
        for one in told.phrases[:3]
    ]
    return lines + [f"Left out: {one.folder}: {one.why}" for one in told.damaged[:10]]


def _counted(told: Answers) -> str:
    walks = sum(one.walks for one in told.kinds)
    damaged = f", {len(told.damaged)} of them damaged and left out" if told.damaged else ""
    return f"{told.logs} logs{damaged}. {walks} walks{_days(told.first, told.last)}."


def _days(first: datetime | None, last: datetime | None) -> str:
    if first is None or last is None:
        return ""
    return f" on {first:%Y-%m-%d}" if first.date() == last.date() else f" from {first:%Y-%m-%d} to {last:%Y-%m-%d}"


def _opening(told: Answers) -> Iterator[Markup]:
    yield tag("p", _counted(told))
    yield tag(
        "p",
        "This page counts what logs say. It does not look whether a log was altered: handsfree verify does. It says "
        "nothing of an aircraft, and no figure here makes anybody fit to inspect one. It holds names: mind who gets "
        "it.",
        class_="note",
    )
    if len(told.checklists) > 1:
        yield tag("p", f"Several checklists, counted together by the ids of items: {', '.join(told.checklists)}.")


def _sections(told: Answers) -> Iterator[Markup]:
    yield _section("At a glance", _glance(told.kinds))
    if told.items:
        yield _section("Which items are missed", _items(told.items))
        yield _section("Who misses", _missed("trainee", told.trainees))
    if told.attempts:
        yield _section("How fast the class learns", *_learning(told))
        yield _section("Each trainee", _ABOUT_WAYS, _ways(told))
    if told.phrases:
        yield _section("What is misheard or asked again", _ABOUT_PHRASES, _phrases(told))
    for kind in told.kinds:
        if kind.stops:
            yield _section(f"What happens at items: {_KINDS[kind.practice]}", _ABOUT_STOPS, _stops(kind))
    if told.damaged:
        rows = [(one.folder, one.why) for one in told.damaged]
        yield _section("Logs that are left out", _cut(("folder", "why"), rows, texts=2))
    yield _section("How it is counted", *_HOW)


_ABOUT_WAYS = "Those who tell least apart at their last attempt come first."
_ABOUT_PHRASES = (
    "As they were understood, or as far as they were. Asked again: not understood surely enough. Taken back: "
    "understood, and called wrong in the next utterance."
)
_ABOUT_STOPS = (
    "Time is from the question to the first answer, the tool's own words included, where nothing else came between. "
    "Not answered: nothing stands at the end."
)
_HOW = (
    "A trial is a scene that a trainee was told of. Its truth is that of the last time it was told, and what counts is "
    "what stands at its item when the log ends: a defect is reported (hit), passed (miss), or nothing is said of it "
    "(omitted); what is sound or only odd is passed (right) or reported (false alarm). A scene that was never come "
    "to is in no log, and counts nowhere. Where no item asks, a report counts that names the zone, or what is wrong.",
    "Missed is passed or omitted, of the defects that were shown. Intervals of shares are Wilson's, of 95 % "
    "confidence; tables are in the order of the lower bound, so that one of one does not stand before nine of ten.",
    "d' is how well defects were told from what is none, in standard deviations, with half a trial more of each "
    "outcome; omitted trials are none for it. 0 is guessing. The class's d' is the mean over those who came so far: "
    "those who stopped early are missing later. The curve is exponential, of least squares.",
)


def _section(title: str, *content: str) -> Markup:
    return tag("section", tag("h2", title), *(c if isinstance(c, Markup) else tag("p", c) for c in content))


def _picture(svg: Markup, caption: str) -> Markup:
    return tag("figure", svg, tag("figcaption", caption))


def _cut(heading: Sequence[str], rows: Sequence[Sequence[str]], *, texts: int = 1) -> Markup:
    """A table, or its beginning."""
    shown = table(heading, [[shortened(cell) for cell in row] for row in rows[:MOST_ROWS]], texts=texts)
    if len(rows) <= MOST_ROWS:
        return shown
    return joined([shown, tag("p", f"{len(rows) - MOST_ROWS} more; --json has all.")])


def _glance(kinds: Sequence[Kind]) -> Markup:
    return table(
        ("kind", "walks", "people", "complete", "median minutes"),
        [
            (_KINDS[one.practice], str(one.walks), str(one.people), str(one.complete), f"{one.median_minutes:.1f}")
            for one in kinds
        ],
    )


def _items(items: Sequence[Missed]) -> Markup:
    caption = (
        f"Defects that were passed or not answered; the first {min(len(items), _MOST_BARS)} items, with intervals."
    )
    bars = charts.intervals("Missed defects by item", [(one.name, one.share) for one in items[:_MOST_BARS]])
    return joined([_picture(bars, caption), _missed("item", items)])


def _missed(name: str, rows: Sequence[Missed]) -> Markup:
    by = name == "item"
    heading = (name, *(("missed most by",) if by else ()), "defects", "passed", "omitted", "missed", "95 % interval",
               "reported, named otherwise", "without a defect", "false alarms")  # fmt: skip
    return _cut(
        heading,
        [
            (
                one.name or "not given",
                *((", ".join(f"{who or 'not given'} ({times})" for who, times in one.by),) if by else ()),
                *map(str, (one.defects, one.passed, one.omitted)), _percent(one.share), _interval(one.share),
                *map(str, (one.renamed, one.sound, one.alarms)),
            )
            for one in rows
        ],
        texts=2 if by else 1,
    )  # fmt: skip


def _learning(told: Answers) -> Iterator[str]:
    by_kind = {pace.practice: [one for one in told.steps if one.practice == pace.practice] for pace in told.paces}
    if any(by_kind.values()):
        means = [_series(_KINDS[kind], steps, "d_prime") for kind, steps in by_kind.items()]
        yield _picture(charts.lines("d' by attempt", "d', mean of the class", means), "Bars are 95 % intervals.")
    for pace in told.paces:
        yield _pace(told, pace.practice)
        steps = by_kind[pace.practice]
        both = [_series("hits", steps, "hit_rate"), _series("false alarms", steps, "false_alarm_rate")]
        name = _KINDS[pace.practice]
        yield _picture(
            charts.lines(f"Hits and false alarms, {name}", name, both, percent=True),
            "Of all defects, and of all that is none, at each attempt.",
        )
        yield _cut(
            ("attempt", "trainees", "d'", "95 % interval", "hits", "95 % interval", "false alarms", "95 % interval"),
            [
                (str(one.number), str(one.trainees), f"{one.d_prime.value:.2f}", _plain(one.d_prime),
                 _percent(one.hit_rate), _interval(one.hit_rate),
                 _percent(one.false_alarm_rate), _interval(one.false_alarm_rate))
                for one in steps
            ],
            texts=0,
        )  # fmt: skip


def _series(name: str, steps: Sequence[Step], which: str) -> charts.Series:
    return charts.Series(name, tuple((one.number, getattr(one, which)) for one in steps))


def _pace(told: Answers, practice: str) -> str:
    pace = next(one for one in told.paces if one.practice == practice)
    name = _KINDS[practice].capitalize()
    tried = sum(one.practice == practice for one in told.steps)
    if pace.plateau is None or pace.attempts is None:
        return f"{name}: no curve, {pace.why_not}."
    if pace.attempts > tried:
        return f"{name}: after {tried} attempts it is not to be seen where the class comes to rest."
    return (
        f"{name}: the curve leads to d' {pace.plateau.value:.2f} ({_plain(pace.plateau)}); "
        f"of what is left, 63 % is gained in {pace.attempts:.1f} attempts."
    )


def _ways(told: Answers) -> Markup:
    return _cut(
        ("trainee", "kind", "attempts", "first d'", "last d'", "95 % interval"),
        [
            (
                one.who or "not given", _KINDS[one.practice], str(one.attempts),
                "-" if one.first is None else f"{one.first:.2f}",
                *(("-", "-") if one.last is None else (f"{one.last.value:.2f}", _plain(one.last))),
            )
            for one in told.ways
        ],
        texts=2,
    )  # fmt: skip


def _phrases(told: Answers) -> Markup:
    return _cut(
        ("words", "heard", "asked again", "taken back", "share", "95 % interval"),
        [
            (f"“{one.said}”", str(one.heard), str(one.asked_again), str(one.taken_back), _percent(one.trouble),
             _interval(one.trouble))
            for one in told.phrases
        ],
    )  # fmt: skip


def _stops(kind: Kind) -> Markup:
    return _cut(
        ("item", "walks", "asked again", "left for later", "helps", "not answered", "median seconds"),
        [
            (one.item, *map(str, (one.walks, one.asked_again, one.put_off, one.helped, one.unanswered)),
             "-" if one.median_s is None else f"{one.median_s:.1f}")
            for one in kind.stops
        ],
    )  # fmt: skip


def _percent(share: Estimate) -> str:
    return f"{share.value:.1%}"


def _interval(share: Estimate) -> str:
    return f"{share.low:.1%} to {share.high:.1%}"


def _plain(value: Estimate) -> str:
    return f"{value.low:.2f} to {value.high:.2f}"
