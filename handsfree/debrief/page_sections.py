"""The sections of the page around its timeline: overview, findings, practice, score, route, comparison, entries."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from handsfree.checklist.models import SEVERITIES
from handsfree.debrief.comparison import Cell, CellKind, Comparison
from handsfree.debrief.gathering import Debrief
from handsfree.debrief.happenings import capital, clock, decided
from handsfree.debrief.page_words import (
    OUTCOMES,
    TRUTHS,
    badge,
    column_names,
    day_and_time,
    duration,
    event_link,
    grid,
    outcome_badge,
    severity_badge,
)
from handsfree.debrief.plan import route_plan
from handsfree.debrief.remarks import ScoreLine
from handsfree.debrief.timeline import Answer, Utterance, rows_of
from handsfree.markup import Markup, joined, tag

_NO_NUMBERS: Final[frozenset[int]] = frozenset()
_RECORDS: Final = {
    "intact": "intact: it is what was written",
    "unsealed": "not sealed: in progress, or interrupted",
    "cut short": "cut short",
    "altered": "altered",
    "wrongly signed": "wrongly signed",
}
_SOURCES: Final = {
    "microphone": "by microphone",
    "file": "from a recording",
    "typed": "typed",
    "synthetic": "by synthetic speech",
}
_PRACTICES: Final = {"guided": "guided", "scenes": "scenes are described", "memory": "from memory"}
_CELLS: Final[dict[CellKind, tuple[str, str]]] = {
    "found": ("▲", "major"),
    "false alarm": ("!", "major"),
    "missed": ("✗", "critical"),
    "passed": ("✓", "good"),
    "not answered": ("○", "plain"),
    "not reported": ("○", "plain"),
}


def section(name: str, title: str, *content: str) -> Markup:
    """A section with its heading; ``name`` is where the navigation leads."""
    return tag("section", tag("h2", title, id=f"h-{name}"), *content, id=name, aria_labelledby=f"h-{name}")


def label(walk: Debrief) -> str:
    """Who walked, and when: tells attempts from each other."""
    return f"{walk.summary.who or 'not given'}, {day_and_time(walk.timeline.began)}"


def overview(walk: Debrief, score: Sequence[ScoreLine]) -> Markup:
    """Figures, then facts."""
    summary = walk.summary
    severities = [one.severity for one in summary.findings]
    counted = ", ".join(f"{severities.count(one)} {one}" for one in SEVERITIES if one in severities)
    tiles = [
        _tile(str(len(severities)), "finding" if len(severities) == 1 else "findings", counted),
        _tile(str(len(summary.not_answered)), "not answered", f"{summary.passed} passed"),
        _tile(str(len(summary.unclear)), "asked again", "a defect may be among it" if summary.unclear else ""),
        _tile(clock(walk.timeline.seconds), "from first to last", _away(walk)),
    ]
    if walk.attempt is not None and walk.attempt.trials:
        defects = [one for one in walk.attempt.trials if one.scene.truth == "defect"]
        hits = sum(one.outcome == "hit" for one in defects)
        false = walk.attempt.count("false alarm") + len(walk.attempt.extras)
        tiles.append(
            _tile(
                f"{hits} of {len(defects)}",
                "planted defects reported",
                f"{false} false alarm{'' if false == 1 else 's'}",
            )
        )
    if score:
        tiles.append(_tile(f"{sum(one.points for one in score):g}", "points", ""))
    return section("overview", "Overview", tag("ul", *tiles, class_="tiles"), _facts(walk))


def _tile(figure: str, what: str, more: str) -> Markup:
    return tag("li", tag("strong", figure), tag("span", what), *([tag("small", more)] if more else []))


def _away(walk: Debrief) -> str:
    return f"{clock(walk.timeline.away_s)} of it away" if walk.timeline.away_s else ""


def _facts(walk: Debrief) -> Markup:
    summary, opened = walk.summary, walk.opened
    ended = datetime.fromisoformat(walk.timeline.ended)
    facts = {
        "Inspector": summary.who or "not given",
        "Aircraft": f"{summary.registration or 'not given'}, {walk.checklist.aircraft.type}",
        "Operator": walk.checklist.aircraft.operator,
        "Checklist": walk.checklist.title,
        "Walked": f"{day_and_time(walk.timeline.began)}, to {ended:%H:%M} UTC",
        "Outcome": summary.outcome,
        "Decision": f"{decided(summary.decision)}, by {summary.decision_by or 'the inspector'}"
        if summary.decision
        else "none recorded",
        "Record": _RECORDS[walk.record.state] + (f" ({walk.record.why})" if walk.record.why else ""),
    }
    if opened is not None:
        facts["Heard"] = _SOURCES[opened.source] + (", full prompts" if opened.full_prompts else "")
    if opened is not None and opened.practice:
        facts["Practice"] = f"{_PRACTICES[opened.practice]}{f', exercise {opened.exercise}' if opened.exercise else ''}"
    if walk.torn:
        facts["Not counted"] = f"a last line that was cut off ({walk.torn} bytes)"
    return tag("dl", *(tag("div", tag("dt", name), tag("dd", value)) for name, value in facts.items()), class_="facts")


def findings(walk: Debrief) -> Markup:
    """What stands, the gravest first; then what nobody looked at, and what was not understood."""
    standing = sorted(
        (row for _, row in rows_of(walk.timeline) if isinstance(row, Answer) and _is_standing_finding(row)),
        key=lambda row: SEVERITIES.index(row.severity or "major"),
    )
    rows = (
        (
            capital(f"{row.name}: {row.description}" if row.name else row.description),
            severity_badge(row.severity or "major"),
            row.ata or "none",
            f"“{row.words}”",
            "confirmed" if row.confirmed else "not confirmed",
            event_link(row.at.event, clock(row.at.seconds)),
        )
        for row in standing
    )
    heading = ("Finding", "Severity", "ATA", "Spoken", "Read back", "At")
    shown = grid("Findings that stand", heading, rows, numbers=frozenset({5})) if standing else tag("p", _NO_FINDING)
    return section("findings", "Findings", shown, *_open(walk))


_NO_FINDING = "No finding was reported. That is what was said, not what is so."


def _is_standing_finding(row: Answer) -> bool:
    return row.kind == "finding" and row.standing == "stands"


def _open(walk: Debrief) -> Iterator[Markup]:
    summary, checklist = walk.summary, walk.checklist
    holds = {item.hold.id: item.hold.ask for item in checklist.items() if item.hold}
    for title, names in (
        ("Not answered", [checklist.item(one).name for one in summary.not_answered]),
        ("Left, since it was not understood", [checklist.item(one).name for one in summary.not_understood]),
        ("Still active", [holds[one] for one in summary.holds_active]),
    ):
        if names:
            yield tag("h3", f"{title}: {len(names)}")
            yield tag("ul", *(tag("li", capital(name)) for name in names), class_="short")
    unclear = [row for _, row in rows_of(walk.timeline) if isinstance(row, Utterance) and row.outcome == "ask"]
    if unclear:
        yield tag("h3", f"Said and asked again: {len(unclear)}")
        yield tag("p", "It was not clear, and a defect may be among it.")
        names = {item.id: item.name for item in checklist.items()}
        yield tag(
            "ul",
            *(
                tag("li", event_link(row.at.event, clock(row.at.seconds)), f" {_asked(row, names)}: “{row.words}”")
                for row in unclear
            ),
            class_="short",
        )


def _asked(row: Utterance, names: dict[str, str]) -> str:
    return capital(names[row.at.item]) if row.at.item else "Opening"


def practice(walk: Debrief) -> Markup | None:
    """Each scene with its truth and what was made of it; None where there is none."""
    attempt = walk.attempt
    if attempt is None or not attempt.trials:
        return None
    names = {item.id: item.name for item in walk.checklist.items()}
    zones = {zone.id: zone.name for zone in walk.checklist.zones}
    worst = {"miss": 0, "omitted": 1, "false alarm": 2, "hit": 3, "right": 4}
    trials = sorted(
        attempt.trials, key=lambda one: (one.scene.truth != "defect" and one.outcome == "omitted", worst[one.outcome])
    )
    rows = (
        (
            capital(names[one.scene.item] if one.scene.item else f"{zones[one.zone]}, where no item asks"),
            outcome_badge(one.outcome),
            one.scene.see,
            joined([tag("strong", TRUTHS[one.scene.truth]), f": {one.scene.why}"]),
            event_link(one.event, f"“{one.words}”" if one.words else "not answered")
            if one.event is not None or one.words
            else "never come to",
        )
        for one in trials
    )
    legend = tag(
        "ul",
        *(tag("li", outcome_badge(outcome), f" {means}") for outcome, means in OUTCOMES.items()),
        class_="legend",
    )
    heading = ("Place", "Came to", "What was to be seen", "In truth", "Answer")
    extra = [
        tag("h3", "Reported where nothing is wrong"),
        tag("ul", *(tag("li", event_link(one.event, one.description)) for one in attempt.extras), class_="short"),
    ]
    return section("practice", "Scenes and answers", legend, grid("Scenes", heading, rows, numbers=_NO_NUMBERS),
        *(extra if attempt.extras else ()))  # fmt: skip


def scored(score: Sequence[ScoreLine]) -> Markup | None:
    """The sum and its reasons; None without a score."""
    if not score:
        return None
    rows = [(event_link(one.event, one.text), f"{one.points:+g}") for one in score]
    total = sum(one.points for one in score)
    shown = grid("Points and their reasons", ("Reason", "Points"), [*rows, ("Sum", f"{total:g}")],
        numbers=frozenset({1}))  # fmt: skip
    return section("score", "Score", shown)


def route(walk: Debrief) -> Markup:
    """The way round, drawn and in a table."""
    told = walk.timeline
    title = f"The way of {walk.summary.who or 'the inspector'} round the aircraft"
    drawing = route_plan(told.route, told.path, title=title)
    figure = [tag("figure", drawing, tag("figcaption", _CAPTION))] if drawing else []
    most = max((stop.seconds for stop in told.route), default=0.0)
    rows = (
        (
            joined([tag("span", str(stop.order), class_="order"), stop.name]),
            duration(stop.seconds),
            _bar(stop.seconds, most),
            str(stop.visits),
        )
        for stop in told.route
    )
    table = grid("Time by zone", ("Zone", "Time", "Share", "Visits"), rows, numbers=frozenset({1, 3}))
    return section("route", "Route", tag("div", *figure, table, class_="beside"))


_CAPTION = "Numbers: the order in which zones were first come to. Times: all visits. A schematic outline, not to scale."


def _bar(seconds: float, most: float) -> Markup:
    """A bar beside its number; for the eye only."""
    width = 100 * seconds / most if most else 0.0
    bar = tag("rect", width=f"{width:.1f}", height="8", rx="2")
    return tag("svg", bar, viewBox="0 0 100 8", class_="bar", aria_hidden="true")


def compared(walks: Sequence[Debrief], comparison: Comparison, scores: Sequence[Markup]) -> Markup:
    """Time by zone, findings, and what practice came to, side by side."""
    names = column_names(len(walks))
    who = tag("ul", *(tag("li", tag("strong", name), f": {label(walk)}{_kind(walk)}")
        for name, walk in zip(names, walks, strict=True)), class_="short")  # fmt: skip
    times = (
        (one.name, *(duration(seconds) if seconds is not None else "never there" for seconds in one.seconds))
        for one in comparison.zones
    )
    all_numbers = frozenset(range(1, len(walks) + 1))
    parts = [who, grid("Time by zone, compared", ("Zone", *names), times, numbers=all_numbers)]
    if comparison.spots:
        with_truth = any(one.truth for one in comparison.spots)
        spots = (
            (
                capital(one.name),
                *([TRUTHS[one.truth] if one.truth else "not known"] if with_truth else []),
                *(_cell(cell, own=number == 0) for number, cell in enumerate(one.cells)),
            )
            for one in comparison.spots
        )
        heading = ("Place", *(["In truth"] if with_truth else []), *names)
        parts.append(grid("What each found", heading, spots, numbers=_NO_NUMBERS))
    return section("comparison", "Comparison", *parts, *scores)


def _kind(walk: Debrief) -> str:
    return f", practice ({walk.opened.practice})" if walk.opened and walk.opened.practice else ""


def _cell(cell: Cell, *, own: bool) -> Markup:
    words = [" ", event_link(cell.event if own else None, cell.words)] if cell.words else []
    return joined([badge(*_sign(cell)), *words])


def _sign(cell: Cell) -> tuple[str, str, str]:
    sign, kind = _CELLS[cell.kind]
    return sign, cell.kind, kind


def log_entries(walk: Debrief) -> Markup:
    """Sentences to be copied into a technical log by whoever may write there."""
    practised = walk.opened is not None and bool(walk.opened.practice)
    about = tag("p", "Practice: nothing here belongs into a technical log." if practised else _ABOUT_ENTRIES)
    date = datetime.fromisoformat(walk.timeline.began)
    which = tag("p", f"{walk.summary.registration or 'Aircraft not given'}, {date:%Y-%m-%d} (UTC)")
    listed = [tag("li", entry.sentence, " ", event_link(entry.event, "to the answer")) for entry in walk.entries]
    shown = tag("ol", *listed, class_="entries") if listed else tag("p", "No finding stands.")
    return section("entries", "Findings as sentences", about, which, shown)


_ABOUT_ENTRIES = (
    "What was said, in a form fit for a technical log. Whoever writes it there answers for it; the operator's rules "
    "decide what is written where."
)


def record(walk: Debrief) -> Markup:
    """What the log is, and what was looked at to know."""
    opened = walk.opened
    facts = {
        "Log": f"{walk.record.events} events, {_RECORDS[walk.record.state]}",
        "Signed with": walk.record.signed_by or "no key",
        "Clips": f"{walk.record.clips_kept} as recorded, {walk.record.clips_removed} removed",
    }
    if opened is not None:
        facts |= {"Written by": opened.tool, "Checklist, SHA-256": opened.checklist_sha256}
        facts |= {"Exercise, SHA-256": opened.exercise_sha256} if opened.exercise_sha256 else {}
    noted = tag("ul", *(tag("li", note) for note in walk.record.notes), class_="short")
    listed = tag("dl", *(tag("div", tag("dt", name), tag("dd", value)) for name, value in facts.items()),
        class_="facts")  # fmt: skip
    return section(
        "record", "About this record", tag("p", _ABOUT_RECORD), listed, *([noted] if walk.record.notes else [])
    )


_ABOUT_RECORD = (
    "This page is made of the log and replaces it in nothing. Clips are made smaller for it; the recordings lie beside "
    "the log. Times count from the start, by a clock that never jumps."
)
