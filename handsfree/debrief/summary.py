"""The summary of a log: findings by severity, omissions, holds, times and the person's decision."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from handsfree.checklist.models import SEVERITIES, Checklist, Item, Severity
from handsfree.journal import events as log
from handsfree.journal.timing import elapsed_s
from handsfree.shown import counted, harmless

REFER = "Refer to the commander and maintenance. This record reports; it does not release the aircraft."


@dataclass(frozen=True, slots=True)
class FindingLine:
    """A finding that stands."""

    severity: Severity
    item: str | None
    name: str
    description: str
    words: str
    ata: str | None
    confirmed: bool
    time: str
    """RFC 3339, UTC."""


@dataclass(frozen=True, slots=True)
class Unclear:
    """Something that was said and not understood; the tool asked again."""

    item: str | None
    """The item that was being asked; what was meant may be another."""
    words: str
    """As far as they were heard."""
    why: str
    clip: str | None
    """The sound, beside the log."""
    time: str
    """RFC 3339, UTC."""


@dataclass(frozen=True, slots=True)
class Summary:
    """What a log says, counted."""

    who: str
    registration: str
    checklist: str
    outcome: str
    """complete, incomplete, or "interrupted" when the walk has no end yet."""
    findings: tuple[FindingLine, ...]
    passed: int
    not_answered: tuple[str, ...]
    """Items that were due and have no answer that stands."""
    not_understood: tuple[str, ...]
    """Items that were left because what was said there was not understood."""
    unclear: tuple[Unclear, ...]
    """All that was asked again: a defect may be among it."""
    holds_active: tuple[str, ...]
    withdrawn: int
    """Answers replaced or withdrawn; they stay in the log."""
    seconds: float
    """From the first event to the last, by the clock."""
    heard: dict[str, int]
    """Utterances by outcome."""
    speech_over_noise: dict[str, float]
    """By zone, in the order walked: how far answers stood over the noise, in decibels (median)."""
    decision: str
    decision_by: str
    refer: str = REFER


def summarise(events: tuple[log.AnyEvent, ...], checklist: Checklist) -> Summary:
    """Fold a log's events into a summary; the checklist is the copy beside the log."""
    answers: dict[int, log.AnswerEvent] = {}
    changes: dict[int, log.AnswerChanged] = {}
    conditions: dict[str, bool] = {}
    holds: dict[str, bool] = {}
    identity, ended, decision = ("", ""), None, None
    unclear: list[str] = []
    asked_again: set[str] = set()
    for event in events:
        match event:
            case log.AnswerEvent():
                answers[event.number] = event
                if event.item is not None and not event.elsewhere:
                    asked_again.discard(event.item)
            case log.AnswerChanged():
                changes[event.number] = event
            case log.ConditionEvent():
                conditions[event.condition] = event.holds
            case log.HoldEvent():
                holds[event.hold] = event.active
            case log.Identity():
                identity = (event.who, event.registration)
            case log.Left(item=str(item)):
                asked_again.add(item)
                unclear += [item] if event.reason == "not understood" else []
            case log.Servicing():
                asked_again.update(event.items)
                ended = None if event.items else ended
            case log.Ended():
                ended = event
            case log.Decision():
                decision = event
            case _:
                pass
    standing = [one for one in answers.values() if _stands(changes.get(one.number))]
    passed = {item.id for item in checklist.items() if _is_passed(item, standing)}
    reported = {one.item for one in standing if one.kind == "finding"}
    stated = {one.item for one in standing if one.kind == "finding" and not one.elsewhere}
    answered = passed | (stated - asked_again)
    found = [_line(one, changes.get(one.number), checklist) for one in standing if one.kind == "finding"]
    missing = tuple(
        item.id
        for item in checklist.items()
        if item.id not in answered and (item.id in reported or _is_due(item, conditions, holds))
    )
    # A report since the end may have made something due that was not asked.
    ended = ended if ended and set(missing) <= set(ended.open_items) else None
    return Summary(
        who=identity[0],
        registration=identity[1],
        checklist=checklist.id,
        outcome=ended.outcome if ended else "interrupted",
        findings=tuple(sorted(found, key=lambda one: SEVERITIES.index(one.severity))),
        passed=len(passed - reported),
        not_answered=missing,
        not_understood=tuple(dict.fromkeys(unclear)),
        unclear=tuple(_unclear(one) for one in events if isinstance(one, log.HeardEvent) and one.outcome == "ask"),
        holds_active=tuple(hold for hold, active in holds.items() if active),
        withdrawn=len(answers) - len(standing),
        seconds=round(elapsed_s(events), 3),
        heard=dict(Counter(event.outcome for event in events if isinstance(event, log.HeardEvent))),
        speech_over_noise=_speech_over_noise(events),
        decision=decision.decision if decision else "",
        decision_by=decision.who if decision else "",
    )


def as_text(summary: Summary, checklist: Checklist) -> str:
    """The summary for a reader."""
    lines = [
        f"{checklist.title}: {summary.registration or 'aircraft not given'}, by {summary.who or 'not given'}",
        f"Walk {summary.outcome}, {summary.seconds / 60:.1f} minutes. {counted(summary.passed, 'item')} passed.",
        "",
    ]
    lines += [f"Findings: {len(summary.findings)}"]
    for one in summary.findings:
        doubt = "" if one.confirmed else "  [unconfirmed]"
        what = f"{one.name}: {one.description}" if one.item else one.description  # a free finding names its place
        lines.append(f"  {one.severity:8}  ATA {one.ata or '--'}  {what}{doubt}")
    for title, ids in (("Not answered", summary.not_answered), ("Not understood at", summary.not_understood)):
        if ids:
            lines += ["", f"{title}: {len(ids)}", *(f"  {checklist.item(item).name}" for item in ids)]
    if summary.unclear:
        lines += [
            "",
            f"Said and asked again, since it was not clear (a defect may be among it): {len(summary.unclear)}",
        ]
        for one in summary.unclear:
            name = checklist.item(one.item).name if one.item else "opening"
            lines.append(f'  {name}: "{one.words}"{f"  ({one.clip})" if one.clip else ""}')
    if summary.holds_active:
        asked = {item.hold.id: item.hold.ask for item in checklist.items() if item.hold}
        lines += ["", f"Still active: {', '.join(asked[hold] for hold in summary.holds_active)}"]
    if summary.speech_over_noise:
        names = {zone.id: zone.name for zone in checklist.zones}
        loud = ", ".join(f"{names[zone]} {snr:.0f} dB" for zone, snr in summary.speech_over_noise.items())
        lines += ["", f"Speech over noise: {loud}"]
    if summary.withdrawn:
        were = "was" if summary.withdrawn == 1 else "were"
        withdrawn = f"{counted(summary.withdrawn, 'answer')} {were} replaced or withdrawn; the log keeps "
        lines += ["", f"{withdrawn}{'it' if summary.withdrawn == 1 else 'them'}."]
    if summary.decision:
        decision = {"rejected": "not accepted", "maintenance": "referred to maintenance"}.get(summary.decision)
        lines += ["", f"Decision of {summary.decision_by}: {decision or summary.decision.replace('_', ' ')}"]
    return "\n".join(map(harmless, [*lines, "", summary.refer]))


def _speech_over_noise(events: Sequence[log.AnyEvent]) -> dict[str, float]:
    measured: defaultdict[str, list[float]] = defaultdict(list)
    for event in events:
        if isinstance(event, log.HeardEvent) and event.zone and event.snr_db is not None and event.outcome != "none":
            measured[event.zone].append(event.snr_db)
    return {zone: round(median(ratios), 1) for zone, ratios in measured.items()}


def _unclear(event: log.HeardEvent) -> Unclear:
    clip = event.clip.file if event.clip else None
    return Unclear(event.item, event.said, event.why, clip, log.rfc3339(event.time))


def _stands(change: log.AnswerChanged | None) -> bool:
    return change is None or change.standing == "stands"


def _line(answer: log.AnswerEvent, change: log.AnswerChanged | None, checklist: Checklist) -> FindingLine:
    name = checklist.item(answer.item).name if answer.item else (answer.place or "").replace("-", " ")
    return FindingLine(
        severity=answer.severity or "major",
        item=answer.item,
        name=name,
        description=answer.description,
        words=answer.words,
        ata=answer.ata,
        confirmed=change is not None and change.confirmed is True,
        time=log.rfc3339(answer.time),
    )


def _is_passed(item: Item, standing: list[log.AnswerEvent]) -> bool:
    """Whether passes and values cover every part of an item."""
    covers = [one.meaning.get("covers") for one in standing if one.item == item.id and one.kind != "finding"]
    parts = {part for some in covers if some is not None for part in some.split(",")}
    return bool(covers) and (None in covers or parts >= set(item.parts))


def _is_due(item: Item, conditions: dict[str, bool], holds: dict[str, bool]) -> bool:
    """Whether an item was to be asked: its condition holds or is not decided; there is something to undo."""
    applies = item.only_if is None or conditions.get(item.only_if, True)
    return applies and (item.undoes is None or holds.get(item.undoes, False))
