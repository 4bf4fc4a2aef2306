"""The tables once more, slowly and in the plainest way, from the events as the reader of logs gives them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

from handsfree.journal import events as log
from handsfree.journal.reader import read
from handsfree.journal.timing import elapsed_s


def tables(folder: Path) -> dict[str, list[tuple[Any, ...]]]:
    """The rows of every table, sorted, with the name of a walk's folder for its number."""
    found: dict[str, list[tuple[Any, ...]]] = {"walks": [], "visits": [], "trials": [], "heard": []}
    for file in sorted(folder.rglob("log.jsonl")):
        events, name = read(file).events, str(file.parent.relative_to(folder))
        found["walks"].append((name, *walk(events)))
        found["visits"] += [(name, *row) for row in visits(events)]
        found["trials"] += [(name, *row) for row in trials(events)]
        found["heard"] += [(name, *row) for row in heard(events)]
    return {table: sorted(rows, key=repr) for table, rows in found.items()}


def walk(events: Sequence[log.AnyEvent]) -> tuple[Any, ...]:
    opened = events[0]
    assert isinstance(opened, log.Opened)
    who = [one for one in events if isinstance(one, log.Identity)]
    by = who[-1] if who else opened
    ends = [one for one in events if isinstance(one, log.Ended)]
    begun_again = [one.seq for one in events if isinstance(one, log.Servicing) and one.items]
    over = ends and not any(seq > ends[-1].seq for seq in begun_again)
    return (by.who, by.registration, opened.checklist, opened.practice, opened.exercise,
            opened.time.replace(tzinfo=None), round(elapsed_s(events), 6),
            ends[-1].outcome if over else "interrupted", len(events))  # fmt: skip


def standing(events: Sequence[log.AnyEvent]) -> list[log.AnswerEvent]:
    stands: list[log.AnswerEvent] = []
    for answer in events:
        if isinstance(answer, log.AnswerEvent):
            changes = [one for one in events if isinstance(one, log.AnswerChanged) and one.number == answer.number]
            if not changes or changes[-1].standing == "stands":
                stands.append(answer)
    return stands


def visits(events: Sequence[log.AnyEvent]) -> list[tuple[Any, ...]]:
    ended: log.Ended | None = None
    for event in events:
        if isinstance(event, log.Ended):
            ended = event
        if isinstance(event, log.Servicing) and event.items:
            ended = None
    left_open = set(ended.open_items) if ended else set[str]()
    answered = {one.item for one in standing(events)} - left_open
    counting = (log.Asked, log.Left, log.Helped, log.AnswerEvent)
    items = {one.item for one in events if isinstance(one, counting) and one.item is not None} | left_open
    items |= {one.item for one in events if isinstance(one, log.HeardEvent) and one.outcome == "ask" and one.item}
    return [
        (
            item,
            sum(isinstance(one, log.Asked) and one.item == item for one in events),
            sum(isinstance(one, log.HeardEvent) and one.outcome == "ask" and one.item == item for one in events),
            sum(isinstance(one, log.Left) and one.item == item for one in events),
            sum(isinstance(one, log.Helped) and one.item == item for one in events),
            seconds_to_answer(events, item),
            item in answered,
        )
        for item in items
        if _matters(events, item, left_open)
    ]


def _matters(events: Sequence[log.AnyEvent], item: str, left_open: set[str]) -> bool:
    """An item that is only ever answered from elsewhere, and not standing any more, was not visited."""
    own = any(
        isinstance(one, log.Asked | log.Left | log.Helped | log.HeardEvent)
        or (isinstance(one, log.AnswerEvent) and not one.elsewhere)
        for one in events
        if one.item == item
    )
    return own or item in left_open or item in {one.item for one in standing(events)}


def seconds_to_answer(events: Sequence[log.AnyEvent], item: str) -> float | None:
    """Of the first answer that follows its question with no other question, answer or program between the two."""
    turns = [one for one in events if isinstance(one, log.Asked | log.ResumedEvent) or _is_own_answer(one)]
    for before, after in pairwise(turns):
        if _is_own_answer(after) and after.item == item and isinstance(before, log.Asked) and before.item == item:
            return after.offset_s - before.offset_s
    return None


def _is_own_answer(event: log.AnyEvent) -> bool:
    return isinstance(event, log.AnswerEvent) and event.item is not None and not event.elsewhere


def trials(events: Sequence[log.AnyEvent]) -> list[tuple[Any, ...]]:
    sights = [one for one in events if isinstance(one, log.Sight)]
    last = {(one.item or "", "" if one.item else one.scene): one for one in sights}
    zones = {one.zone for one in events if isinstance(one, log.ZoneEvent)}
    stands, used, rows = standing(events), set[int](), list[tuple[Any, ...]]()
    for sight in sorted(last.values(), key=lambda one: one.item is not None):
        if sight.item is None:
            free = [one for one in stands if one.kind == "finding" and (one.elsewhere or one.item is None)]
            here = [one for one in free if one.number not in used and _is_told_of(one, sight, zones)][:1]
            used |= {one.number for one in here}
        else:
            here = [one for one in stands if one.item == sight.item and one.number not in used]
        findings = [one.meaning.get("finding", "") for one in here if one.kind == "finding"]
        if not here:
            outcome = "omitted"
        elif sight.truth == "defect":
            outcome = "hit" if findings else "miss"
        else:
            outcome = "false alarm" if findings else "right"
        named = outcome == "hit" and (not sight.findings or any(one in sight.findings for one in findings))
        rows.append((sight.item or "", sight.zone, sight.scene, sight.truth, sight.difficulty, outcome, named))
    return rows


def _is_told_of(answer: log.AnswerEvent, sight: log.Sight, zones: set[str | None]) -> bool:
    if sight.findings and answer.meaning.get("finding") not in sight.findings:
        return False
    if sight.zone in (answer.place, answer.zone):
        return True
    return answer.place is not None and answer.place not in zones and bool(sight.findings)


def heard(events: Sequence[log.AnyEvent]) -> list[tuple[Any, ...]]:
    utterances = [one for one in events if isinstance(one, log.HeardEvent) and one.outcome != "none"]
    rows: list[tuple[Any, ...]] = []
    for at, one in enumerate(utterances):
        after = utterances[at + 1] if at + 1 < len(utterances) else None
        control = after.meanings[0].slots.get("control") if after and after.meanings else None
        moment = after.moment if after else ""
        denied = control == "negative" and moment in {"item", "read_back", "who_check", "registration_check"}
        wrong = one.outcome in {"pass", "finding", "value"} and (control in {"correction", "disregard"} or denied)
        rows.append((one.seq, one.item or "", one.moment, one.outcome, one.said, wrong))
    return rows
