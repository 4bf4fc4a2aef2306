"""The timeline of the page: zones, in them items, in them rows; and the transcript."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from handsfree.debrief.gathering import Debrief, Sounds, SoundState
from handsfree.debrief.happenings import HappeningKind, clock
from handsfree.debrief.page_words import (
    MARK_NAMES,
    STANDINGS,
    TRUTHS,
    badge,
    duration,
    minute,
    outcome_badge,
    severity_badge,
    slug,
)
from handsfree.debrief.remarks import Note
from handsfree.debrief.timeline import (
    MARKS,
    Answer,
    AnyRow,
    At,
    Consequence,
    Happening,
    Mark,
    Prompt,
    Scene,
    Stay,
    Utterance,
)
from handsfree.markup import Markup, joined, tag

_OUTCOMES: Final = {
    "pass": "pass",
    "finding": "finding",
    "value": "number or letters",
    "control": "control phrase",
    "ask": "not clear, asked again",
    "none": "not meant for the tool",
}
_KINDS: Final[Mapping[HappeningKind, str]] = {
    "silence": "Silence",
    "trouble": "Trouble",
    "interruption": "Interruption",
    "stopped": "Stopped",
    "resumed": "Resumed",
    "ended": "End",
}
_GONE: Final[Mapping[SoundState, str]] = {
    "removed": "sound removed",
    "altered": "sound is not what was recorded",
    "unreadable": "sound cannot be read",
    "left out": "sound left out, the page would be too large",
}
_KEYS: Final = (
    (("↓", "↑"), "next and previous shown, "),
    (("Page Down", "Page Up"), "next zone and zone before, "),
    (("Home", "End"), "first and last, "),
    (("Space",), "play the sound."),
)
_NOTHING: Final = Markup("")
_ONLY_IN_PRACTICE: Final[frozenset[Mark]] = frozenset({"miss", "false alarm"})


@dataclass(frozen=True, slots=True)
class Rows:
    """Makes the rows of one walk."""

    walk: Debrief
    sounds: Sounds
    notes: Mapping[int, Sequence[Note]]
    """By event."""

    def timeline(self) -> Markup:
        """The filters, and the zones in the order walked."""
        stays = [self._stay(number, stay) for number, stay in enumerate(self.walk.timeline.stays, start=1)]
        keys = tag("p", "With the keyboard, in the timeline: ", *_keys(), class_="keys scripted")
        return tag("div", self._tools(), keys, *stays, id="rows")

    def transcript(self) -> Markup:
        """Only the words."""
        lines = list(self._lines())
        table = tag(
            "table",
            tag("caption", "Who said what", class_="unseen"),
            tag("thead", tag("tr", *(tag("th", one, scope="col") for one in ("At", "Who", "Words"))), class_="unseen"),
            tag("tbody", *lines),
            class_="transcript",
        )
        return tag("details", tag("summary", f"{len(lines)} lines"), table)

    def _tools(self) -> Markup:
        practised = bool(self.walk.opened and self.walk.opened.practice)
        marks: list[Mark] = [mark for mark in MARKS if practised or mark not in _ONLY_IN_PRACTICE]
        shown = [
            tag("button", MARK_NAMES[mark], type="button", aria_pressed="false", data_show=slug(mark)) for mark in marks
        ]
        if self.notes:
            shown.append(tag("button", "Notes", type="button", aria_pressed="false", data_show="note"))
        everything = tag("button", "Everything", type="button", aria_pressed="true", data_show="")
        return tag(
            "div",
            tag("div", tag("span", "Show", aria_hidden="true"), everything, *shown, role="group", aria_label="Show"),
            tag(
                "div",
                tag("button", "↑ Previous", type="button", id="previous"),
                tag("button", "↓ Next", type="button", id="next"),
                tag("span", "", id="shown", role="status"),
            ),
            class_="tools scripted",
        )

    def _stay(self, number: int, stay: Stay) -> Markup:
        order = next((stop.order for stop in self.walk.timeline.route if stop.zone == stay.zone), None)
        sign = tag("span", str(order), class_="order", aria_hidden="true") if order else _NOTHING
        heading = tag("h3", sign, stay.name, " ", tag("span", duration(stay.seconds), class_="spent"), id=f"z{number}")
        groups: list[list[AnyRow]] = [[]]
        for row in stay.rows:
            if isinstance(row, Happening) and row.kind == "item":
                groups.append([])
            groups[-1].append(row)
        return tag(
            "section",
            heading,
            *(self._group(rows) for rows in groups if rows),
            class_="stay",
            aria_labelledby=f"z{number}",
        )

    def _group(self, rows: Sequence[AnyRow]) -> Markup:
        first, rest = rows[0], rows
        heading = _NOTHING
        if isinstance(first, Happening) and first.kind == "item":
            heading, rest = tag("h4", first.text, id=f"e{first.at.event}"), rows[1:]
        listed = tag("ol", *(self._row(row) for row in rest)) if rest else _NOTHING
        return tag("div", heading, listed, class_="group")

    def _row(self, row: AnyRow) -> Markup:
        match row:
            case Prompt():
                return self._line(row, "prompt", "Tool", tag("p", row.text))
            case Utterance():
                return self._utterance(row)
            case Scene():
                return self._line(row, "scene", "To be seen", *_scene(row))
            case Answer():
                return self._line(row, "answer", "Answer", tag("p", *_answer(row, "")))
            case Happening():
                return self._line(row, "happening", _KINDS.get(row.kind, "Noted"), tag("p", row.text))

    def _utterance(self, row: Utterance) -> Markup:
        who = self.walk.summary.who or "Inspector"
        content = [tag("p", f"“{row.words}”", class_="words"), tag("p", _detail(row), class_="detail")]
        if row.alternatives:
            also = ", ".join(f"“{words}” ({score:.2g})" for words, score in row.alternatives)
            content.append(tag("p", f"Also heard as: {also}", class_="detail"))
        if row.follows:
            content.append(tag("ul", *(self._consequence(one, row.words) for one in row.follows), class_="follows"))
        return self._line(row, f"heard {row.outcome}", who, *content, sound=self._sound(row))

    def _consequence(self, row: Consequence, words: str) -> Markup:
        content = _answer(row, words) if isinstance(row, Answer) else [row.text]
        stale = isinstance(row, Answer) and row.standing != "stands"
        return tag(
            "li",
            *content,
            *self._notes(row.at),
            id=f"e{row.at.event}",
            **({"class_": "stale"} if stale else {}),
        )

    def _line(self, row: AnyRow, kind: str, who: str, *content: str, sound: Markup = _NOTHING) -> Markup:
        noted = self._events(row) & self.notes.keys()
        marks = [*(slug(mark) for mark in MARKS if mark in row.marks), *(["note"] if noted else [])]
        when = tag("time", clock(row.at.seconds), datetime=row.at.time, title=f"{row.at.time}, event {row.at.event}")
        return tag(
            "li",
            when,
            tag("span", who, class_="who"),
            tag("div", *content, *self._notes(row.at), class_="what"),
            tag("div", sound, class_="sound"),
            class_=f"row {kind}",
            id=f"e{row.at.event}",
            tabindex="-1",
            data_event=str(row.at.event),
            **({"data_marks": " ".join(marks)} if marks else {}),
            **({"data_judged": row.scene} if isinstance(row, Scene) and row.outcome else {}),
            **({"data_heard": row.words} if isinstance(row, Utterance) else {}),
        )

    def _events(self, row: AnyRow) -> set[int]:
        follows = row.follows if isinstance(row, Utterance) else ()
        return {row.at.event, *(one.at.event for one in follows)}

    def _notes(self, at: At) -> Iterator[Markup]:
        for note in self.notes.get(at.event, ()):
            yield note_shown(note)

    def _sound(self, row: Utterance) -> Markup:
        state = self.sounds.states.get(row.at.event)
        if state is None or row.clip is None:
            return _NOTHING
        if state != "kept":
            return tag("span", _GONE[state], class_="gone")
        sign = tag("span", "▶", aria_hidden="true", class_="sign")
        label = f"Play “{row.words}”, {row.clip.seconds:.1f} seconds"
        return tag("button", sign, f" {row.clip.seconds:.1f} s", type="button", class_="play scripted",
            data_clip=str(row.at.event), aria_label=label)  # fmt: skip

    def _lines(self) -> Iterator[Markup]:
        who = self.walk.summary.who or "Inspector"
        for stay in self.walk.timeline.stays:
            for row in stay.rows:
                if isinstance(row, Prompt):
                    yield _transcribed(row.at, "Tool", row.text, "tool")
                elif isinstance(row, Utterance):
                    yield _transcribed(row.at, who, row.words, "person")


def notes_by_event(notes: Sequence[Note]) -> Mapping[int, Sequence[Note]]:
    """Each with the event that it is about, in the order given."""
    about: defaultdict[int, list[Note]] = defaultdict(list)
    for note in notes:
        about[note.about].append(note)
    return dict(about)


def note_shown(note: Note) -> Markup:
    """One note, as it stands at its event."""
    judged = f" Judged anew: {note.overrule}." if note.overrule else ""
    by = f"Note by {note.author}, {minute(note.time)}:"
    return tag("p", tag("strong", by), f" {note.text}{judged}", class_="note")


def _keys() -> Iterator[Markup]:
    for keys, what in _KEYS:
        for key in keys:
            yield joined([tag("kbd", key), " "])
        yield joined([what])


def _transcribed(at: At, who: str, words: str, kind: str) -> Markup:
    return tag("tr", tag("td", clock(at.seconds), class_="number"), tag("th", who, scope="row"), tag("td", words),
        class_=kind)  # fmt: skip


def _detail(row: Utterance) -> str:
    parts = [_OUTCOMES[row.outcome]]
    if row.moment != "item":
        parts.append(f"at: {row.moment.replace('_', ' ')}")
    if row.outcome != "none":
        parts.append(f"{row.confidence:.0%} sure".replace("%", " %"))
    if row.snr_db is not None:
        parts.append(f"{row.snr_db:.0f} dB over noise")
    parts += ["too loud to be certain"] if row.too_loud else []
    parts += ["a piece of the sound was lost"] if row.lost_sound else []
    parts += [f"why: {row.why}"] if row.why else []
    return " · ".join(parts)


def _answer(row: Answer, said: str) -> list[str]:
    """What was answered; words that stand right above are not repeated."""
    what = f"{row.name}: {row.description}" if row.name else row.description
    parts: list[str] = []
    match row.kind:
        case "finding":
            parts += [severity_badge(row.severity or "major"), " ", tag("strong", what)]
            parts.append(f" · ATA {row.ata}" if row.ata else "")
            parts.append(" · confirmed" if row.confirmed else " · not confirmed")
        case "pass":
            parts.append(badge("✓", "passed", "good"))
            parts.append("" if row.description == said and not row.elsewhere else f" {what}")
        case "value":
            parts += [badge("✓", "taken", "good"), f" {what}"]
    parts.append(" · reported from elsewhere" if row.elsewhere else "")
    if row.standing != "stands":
        parts += [" · ", tag("em", STANDINGS[row.standing])]
    if row.outcome is not None:
        parts += [" ", outcome_badge(row.outcome)]
    return parts


def _scene(row: Scene) -> Iterator[Markup]:
    yield tag("p", row.text)
    truth = [f"In truth: {TRUTHS[row.truth]}", f"difficulty {row.difficulty}"]
    yield tag("p", " · ".join(truth), f". {row.why}" if row.why else "", class_="detail")
    if row.outcome is None:
        return
    rightly = {None: "", True: " · named rightly", False: " · called something else"}[row.named_rightly]
    answered = [f" “{row.answered}”"] if row.answered else []
    link = [" ", tag("a", "to the answer", href=f"#e{row.answer_event}")] if row.answer_event else []
    yield tag("p", outcome_badge(row.outcome), *answered, rightly, *link)
