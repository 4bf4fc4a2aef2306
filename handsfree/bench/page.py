"""The report as one HTML page that needs nothing else: tables, pictures, and how it was measured."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from handsfree.bench import plots
from handsfree.bench.chatter import Chatter
from handsfree.bench.figures import Confused, Figures
from handsfree.bench.report import Report
from handsfree.bench.table import below, false_passes, interval, percent, rows, seconds
from handsfree.bench.targets import TARGETS, Result, held_against
from handsfree.markup import Markup, joined, table, tag

_HERE = Path(__file__).parent
_NOTES = _HERE / "tried.md"
"""What was tried to hear better, and what each gave: free text."""


def page(report: Report) -> str:
    """The whole page.  Every text from outside is escaped."""
    title = "How well the ears hear"
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("title", title),
        tag("style", Markup((_HERE / "page.css").read_text(encoding="utf-8"))),
    )
    body = tag("body", tag("main", tag("h1", title), tag("p", below(report)), *_sections(report)))
    return f"<!doctype html>\n{tag('html', head, body, lang='en')}\n"


def _sections(report: Report) -> list[Markup]:
    return [
        *(_of_the_columns(report) if report.tried else ()),
        *(_others(report) if report.others else ()),
        *(_recorded(report, report.recorded) if report.recorded else ()),
        *(_chatter(report) if report.chatter else ()),
        _how(report),
        *_notes(),
    ]


def _of_the_columns(report: Report) -> list[Markup]:
    heading, *figures = rows(report)
    return [
        _targets(held_against(report, TARGETS)),
        _section("At a glance", "Each column is the mean of pink noise, turbine and rain.", table(heading, figures)),
        _section("Against noise", _picture(plots.accuracy(report), "Answers that were right at first.")),
        _section("False passes", _picture(plots.false_passes(report), _ABOUT_FALSE_PASSES), _false_passes(report)),
        _section("Time to decide", _picture(plots.decision_times(report), _ABOUT_TIMES), _times(report)),
        _section("Each condition", _figures("condition", report.lines)),
        _section("Each kind of answer", _figures("kind", report.by_kind)),
        _section("Each voice", _figures("voice", report.by_voice)),
        _section("What was not understood at first", "The worst first.", _foretold(report), _confused(report.confused)),
        _section("How sure the ears are", _ABOUT_CONFIDENCE, _reliability(report)),
    ]


_ABOUT_FALSE_PASSES = (
    "A false pass: a defect was spoken, and the log would say that nothing was found. Both tries count when an answer "
    "was said twice."
)
_ABOUT_CONFIDENCE = (
    "Of the answers that were taken: those of which the ears were about equally sure, and how many of them were right. "
    "The two constants of the confidence were fitted to the tuning voices."
)
_ABOUT_TIMES = "Left of the line an answer was decided before its last sound had died away."


def _section(title: str, *content: str) -> Markup:
    return tag("section", tag("h2", title), *(c if isinstance(c, Markup) else tag("p", c) for c in content))


def _picture(svg: Markup, caption: str) -> Markup:
    return tag("figure", svg, tag("figcaption", caption))


def _targets(results: Sequence[Result]) -> Markup:
    missed = [one for one in results if not one.reached]
    summary = (
        f"{len(missed)} of {len(results)} targets are not reached."
        if missed
        else f"All {len(results)} targets are reached."
    )
    shown = (
        (
            one.target.measure.name, one.target.where,
            tag("span", "✓ reached") if one.reached else tag("strong", "✗ not reached"),
            one.wanted, one.got,
        )
        for one in results
    )  # fmt: skip
    return _section("Targets", summary, table(("figure", "where", "", "target", "measured"), shown, texts=3))


def _figures(name: str, groups: Sequence[Figures]) -> Markup:
    heading = (name, "tried", "right at first", "95 % interval", "right within two", "95 % interval", "asked",
        "missed", "wrong", "false passes (95 % bound)", "decided: median / p95")  # fmt: skip
    return table(
        heading,
        (
            (
                one.name, str(one.tried), percent(one.right), interval(one.right), percent(one.right_within_two),
                interval(one.right_within_two), percent(one.asked), percent(one.missed), percent(one.wrong),
                false_passes(one), seconds(one.decided),
            )
            for one in groups
        ),
    )  # fmt: skip


def _false_passes(report: Report) -> Markup:
    if not report.false_passes:
        return tag("p", "None was seen.")
    shown = ((one.item, one.words, one.said, one.condition, one.voice) for one in report.false_passes)
    return table(("item", "spoken", "first heard as", "condition", "voice"), shown, texts=5)


def _times(report: Report) -> Markup:
    groups = (*report.columns, report.all)
    shown = (
        (one.name, seconds(one.findings_and_controls), seconds(one.passes), seconds(one.numbers), seconds(one.answered),
            percent(one.early_and_wrong, digits=2))
        for one in groups
    )  # fmt: skip
    heading = ("", "findings, controls", "passes", "numbers", "all, until the answer", "wrong early")
    return joined([tag("p", "Median, and what 95 of 100 do not exceed."), table(heading, shown)])


def _confused(rows_of: Sequence[Confused]) -> Markup:
    shown = (
        (one.item, one.words, one.heard,
            *map(str, (one.tried, one.asked, one.missed, one.wrong, one.false_passes)))
        for one in rows_of
    )  # fmt: skip
    heading = ("item", "spoken", "most often heard as", "tried", "asked", "missed", "wrong", "false passes")
    return table(heading, shown, texts=3)


def _foretold(report: Report) -> str:
    one = report.foretold
    return (
        f"How alike two phrases of an item sound, as handsfree check measures it, and how often one was heard for the "
        f"other: rank correlation {one.rho:.2f} over {one.n} pairs (by chance {one.p:.3f})."
    )


def _reliability(report: Report) -> Markup:
    shown = ((one.name, f"{one.confidence:.3f}", percent(one.right), interval(one.right), str(one.right.of))
        for one in report.reliability.bins)  # fmt: skip
    heading = ("confidence", "mean", "right", "95 % interval", "answers")
    brier = tag("p", f"Brier score {report.reliability.brier:.4f} (0 is best).")
    return joined([table(heading, shown), brier])


def _others(report: Report) -> list[Markup]:
    tables = [joined([tag("h3", other.name), _figures("level", other.columns)]) for other in report.others]
    return [_section("Other ways to listen", _picture(plots.comparison(report), "On the same sounds."), *tables)]


def _recorded(report: Report, recorded: Figures) -> list[Markup]:
    about = "People in a folder of recordings; the end of their speech is estimated by its level."
    return [_section("Recordings", about, _figures("", [recorded]), _confused(report.recorded_confused))]


def _chatter(report: Report) -> list[Markup]:
    def an_hour(one: Chatter, count: int) -> str:
        return f"{one.per_hour(count):.1f}"

    shown = (
        (one.name, f"{one.hours:.2f}", f"{one.distinct_hours:.2f}",
            *(an_hour(one, n) for n in (one.passes, one.findings, one.values, one.controls, one.accepted, one.asks)))
        for one in report.chatter
    )  # fmt: skip
    heading = ("source", "hours", "distinct", "passes", "findings", "numbers", "controls", "all four", "questions")
    about = "Nobody answers here, so that whatever is taken for an answer is a mistake. Counted in an hour."
    return [_section("Talk to others, and noise", about, table(heading, shown))]


def _how(report: Report) -> Markup:
    settings = report.settings
    facts = {
        "command": report.command,
        "version": f"handsfree {report.version}, vosk {report.machine.vosk}, Python {report.machine.python}",
        "machine": f"{report.machine}; {report.processes} trials at a time",
        "checklist": settings.checklist,
        "seed": str(settings.seed),
        "voices": f"the {settings.voices} half: {', '.join(report.voices)}",
        "day": report.day,
    }
    listed = tag("dl", *(part for name, value in facts.items() for part in (tag("dt", name), tag("dd", value))))
    return _section("How it was measured", *_HOW, listed)


_HOW = (
    "Synthetic voices speak answers of the checklist, dealt evenly over its items and findings, over noise that goes "
    "on before and after. The ears are those of a walk, with all that can be said at the item. Levels are the active "
    "level of the speech (ITU-T P.56) over the level of the noise. Each answer that is asked about or missed is said "
    "again in fresh noise. Intervals are Wilson's, two-sided, of 95 % confidence.",
    "Synthetic voices and noises are not people on an apron: the figures compare versions with each other, and promise "
    "nothing for a real one.",
)


def _notes() -> list[Markup]:
    if not _NOTES.exists():
        return []
    return [_section("What was tried", tag("div", _NOTES.read_text(encoding="utf-8").strip(), class_="notes"))]
