"""The instructor's debrief as one HTML page that needs nothing else: it opens from a file, can be mailed, and prints.

Nothing on it reaches a network: its Content-Security-Policy names its own style and scripts by their digest and refuses
all else.  Only where a server hands in ``notes_token`` may it speak to that server; `notes.js` says how.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from handsfree import charts
from handsfree.debrief import page_sections as sections
from handsfree.debrief.attempts import attempts
from handsfree.debrief.comparison import compare
from handsfree.debrief.gathering import Debrief, Sounds
from handsfree.debrief.page_attempts import attempts_shown
from handsfree.debrief.page_rows import Rows, notes_by_event
from handsfree.debrief.page_words import day_and_time, duration
from handsfree.debrief.remarks import Note, ScoreLine
from handsfree.markup import Markup, joined, tag

_HERE: Final = Path(__file__).parent
_Part = tuple[str, str, Markup]
"""Where a link leads, its name, and the section."""
_CAUTION: Final = "The aircraft's own manuals, the local rules and licensed staff decide."


def page(  # noqa: PLR0913  # what there is to show
    walk: Debrief,
    sounds: Sounds,
    *,
    others: Sequence[Debrief] = (),
    score: Sequence[ScoreLine] = (),
    notes: Sequence[Note] = (),
    notes_token: str = "",
) -> str:
    """The whole page.  Every text from outside is escaped.

    ``others`` are walks to compare with, round the same checklist; ``score`` and ``notes`` are shown at their events.
    ``notes_token`` is for a server that takes further notes: only with it there are forms to add one.
    """
    rows = Rows(walk, sounds, notes_by_event(notes))
    walks = [walk, *others]
    others_too = sections.compared(walks, compare(walks), attempts_shown(attempts(walks))) if others else None
    parts: list[_Part | None] = [
        ("overview", "Overview", sections.overview(walk, score)),
        ("findings", "Findings", sections.findings(walk)),
        _if_any("practice", "Scenes", sections.practice(walk)),
        _if_any("score", "Score", sections.scored(score)),
        ("route", "Route", sections.route(walk)),
        _if_any("comparison", "Comparison", others_too),
        ("timeline", "Timeline", sections.section("timeline", "Timeline", rows.timeline())),
        ("transcript", "Transcript", sections.section("transcript", "Transcript", rows.transcript())),
        ("entries", "As sentences", sections.log_entries(walk)),
        ("record", "Record", sections.record(walk)),
    ]
    shown = [part for part in parts if part is not None]
    style, script = joined([_own("page.css"), charts.STYLE]), _own("page.js")
    scripts = [script, _own("notes.js")] if notes_token else [script]
    title = f"Debrief: {walk.summary.registration or 'aircraft not given'}"
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=_policy(style, scripts, talks=bool(notes_token))),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        *([tag("meta", name="notes-token", content=notes_token)] if notes_token else []),
        tag("title", f"{title}, {sections.label(walk)}"),
        tag("link", rel="icon", href="data:,"),
        tag("style", style),
    )
    body = tag(
        "body",
        tag("a", "Skip to the overview", href="#overview", class_="skip"),
        _banner(walk, title),
        tag("nav", _navigation(walk, shown), aria_label="Page"),
        tag("main", *(content for _, _, content in shown)),
        tag("footer", tag("p", walk.summary.refer), tag("p", _CAUTION)),
        _player(),
        tag("script", _clips(sounds), type="application/json", id="clips"),
        *(tag("script", one) for one in scripts),
    )
    return f"<!doctype html>\n{tag('html', head, body, lang='en')}\n"


def _own(name: str) -> Markup:
    return Markup((_HERE / name).read_text(encoding="utf-8"))


def _policy(style: str, scripts: Sequence[str], *, talks: bool) -> str:
    """What the page may do: show itself, and play what it holds."""
    allowed = {
        "default-src": "'none'",
        "style-src": _digest(style),
        "script-src": " ".join(map(_digest, scripts)),
        "media-src": "data:",
        "img-src": "data:",
        "connect-src": "'self'" if talks else "'none'",
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    return "; ".join(f"{what} {where}" for what, where in allowed.items())


def _digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _banner(walk: Debrief, title: str) -> Markup:
    practice = walk.opened is not None and walk.opened.practice
    warnings = [tag("p", "Practice. No aircraft was inspected.", class_="warning")] if practice else []
    if walk.record.state in ("altered", "cut short", "wrongly signed"):
        warnings.append(tag("p", f"This record is {walk.record.state}: {walk.record.why}.", class_="warning"))
    return tag(
        "header",
        tag("p", walk.checklist.title, class_="over"),
        tag("h1", title),
        tag("p", f"Walked by {walk.summary.who or 'not given'}, {day_and_time(walk.timeline.began)}"),
        tag("p", walk.summary.refer, class_="refer"),
        *warnings,
        tag("p", "Without scripts all can be read; sounds and filters need them.", class_="unscripted"),
    )


def _if_any(where: str, name: str, content: Markup | None) -> _Part | None:
    return None if content is None else (where, name, content)


def _navigation(walk: Debrief, parts: Sequence[_Part]) -> Markup:
    """Sections, and under the timeline its zones."""
    stays = enumerate(walk.timeline.stays, start=1)
    zones = [tag("li", tag("a", stay.name, href=f"#z{at}"), " ", duration(stay.seconds)) for at, stay in stays]
    items = [
        tag("li", tag("a", name, href=f"#{where}"), *([tag("ol", *zones)] if where == "timeline" else []))
        for where, name, _ in parts
    ]
    return tag("ul", *items)


def _player() -> Markup:
    return tag(
        "div",
        tag("span", "", id="playing"),
        Markup('<audio id="sound" controls preload="none"></audio>'),
        tag("button", "Close", type="button", id="silence"),
        id="player",
        role="region",
        aria_label="Player",
        hidden="",
    )


def _clips(sounds: Sounds) -> Markup:
    """The sound by event number: base64 in JSON, in which nothing can end the element."""
    return joined([Markup(json.dumps({str(event): sound for event, sound in sounds.mp3.items()}))])
