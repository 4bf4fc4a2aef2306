"""Answers at an item: passes, findings and values, read-backs, and what replaces what.

A finding is kept from the moment it is heard, confirmed or not.  A pass beside a finding is a finding.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal

from handsfree.checklist.models import Item, Severity
from handsfree.checklist.phrases import place_of
from handsfree.language.meaning import Meaning
from handsfree.walk import asking, route, wording
from handsfree.walk.events import AnswerChangedNote, AnswerNote, HoldNote
from handsfree.walk.state import Answer, Standing
from handsfree.walk.turn import Turn


def take(turn: Turn, meanings: Iterable[Meaning], words: str) -> None:
    """Take every clause of an utterance at an item."""
    judged = [_judge(turn, one) for one in meanings]
    findings = [one for one in judged if one.outcome == "finding"]
    good = [one for one in judged if one.outcome != "finding" and one.get("item") == turn.state.item]
    replaces = _standing_numbers(turn) if turn.state.correcting else ()
    before = len(turn.state.answers)
    for one in findings:
        _add_finding(turn, one, words, replaces)
    for one in good:
        _add_good(turn, one, words, replaces)
    here = any(one.item == turn.state.item for one in turn.state.answers[before:])
    turn.change(misses=0, correcting=turn.state.correcting and not here)
    if turn.state.pending:
        read_back(turn)
    elif any(turn.state.answer(number).kind == "finding" for number in replaces) and good:
        ask_withdrawal(turn)
    else:
        after_answer(turn)


def read_back(turn: Turn) -> None:
    """Read the findings that wait for it back, or ask where one of them is."""
    for number in turn.state.pending:
        item = _item_of(turn, turn.state.answer(number))
        if item is not None and item.positions.required and not _has_position(turn.state.answer(number).meaning):
            turn.wait("which")
            turn.prompt(wording.which(wording.noun(item) or "one"))
            return
    turn.wait("read_back")
    turn.tone("finding")
    turn.prompt(wording.read_back(_descriptions(turn)))


def give_position(turn: Turn, meaning: Meaning) -> None:
    """The position of the finding that lacks one."""
    for number in turn.state.pending:
        answer = turn.state.answer(number)
        item = _item_of(turn, answer)
        if item is not None and item.positions.required and not _has_position(answer.meaning):
            where = {axis: value for axis in ("side", "number", "radial") if (value := meaning.get(axis))}
            _withdraw(turn, number, "replaced")
            turn.change(pending=tuple(one for one in turn.state.pending if one != number))
            more = answer.meaning.with_slots(**where)
            _append(turn, replace(answer, meaning=more))
            break
    read_back(turn)


def confirm(turn: Turn) -> None:
    """The read-back was affirmed."""
    for number in turn.state.pending:
        _set(turn, number, confirmed=True)
        for old in turn.state.answer(number).replaces:
            _withdraw(turn, old, "replaced")
    turn.change(pending=())
    turn.tone("heard")
    after_answer(turn)


def refuse(turn: Turn) -> None:
    """The read-back was refused: the findings are withdrawn and stay in the log as such.

    A pass from the same breath goes with them: who misheard the one may have misheard the other.
    """
    refused = [turn.state.answer(number) for number in turn.state.pending]
    breath = {(one.item, one.words) for one in refused}
    for one in turn.state.answers:
        if one in refused or (one.kind != "finding" and one.standing == "stands" and (one.item, one.words) in breath):
            _withdraw(turn, one.number, "withdrawn")
    turn.change(pending=())


def keep_unconfirmed(turn: Turn) -> None:
    """No clear yes or no came: the findings stay, marked unconfirmed."""
    for number in turn.state.pending:
        _set(turn, number, confirmed=False)
    turn.say(f"Kept, unconfirmed: {', '.join(_descriptions(turn))}.")
    turn.change(pending=())
    after_answer(turn)


def guess_affirmed(turn: Turn) -> None:
    """The question "did you say …?" was affirmed: that is the read-back."""
    guess, words = turn.state.guess, turn.state.guess_words
    turn.change(guess=(), guess_words="", moment="item")
    replaces = _standing_numbers(turn) if turn.state.correcting else ()
    for one in guess:
        _add_finding(turn, one, words, replaces)
    turn.change(correcting=False)
    confirm(turn)


def keep_guess(turn: Turn) -> None:
    """A finding that may have been said is kept unconfirmed, since nobody denied it."""
    for one in turn.state.guess:
        _add_finding(turn, one, turn.state.guess_words, ())
    for number in turn.state.pending:
        _set(turn, number, confirmed=False)
    turn.change(guess=(), guess_words="", pending=())


def withdrawal(turn: Turn, *, affirmed: bool) -> None:
    """Whether an earlier finding is really taken back by the pass that followed it."""
    number = next(
        (one.number for one in reversed(turn.state.answers) if one.kind != "finding" and one.standing == "stands"), 0
    )
    if affirmed and number:
        for old in turn.state.answer(number).replaces:
            _withdraw(turn, old, "replaced")
    turn.tone("heard")
    after_answer(turn)


def after_answer(turn: Turn) -> None:
    """Go on when the present item is answered; else ask what is still open of it."""
    if route.is_answered(turn.state, turn.item):
        turn.go_on()
    else:
        asking.ask(turn, again=not asking.missing_parts(turn, turn.item))


def reopen(turn: Turn, item: Item) -> None:
    """Open an item again: its passes are to be repeated, its findings stay."""
    for one in turn.state.standing_at(item.id):
        if one.kind != "finding":
            _withdraw(turn, one.number, "repeat")
    turn.change(
        left=tuple(one for one in turn.state.left if one != item.id), left_again=turn.state.left_again - {item.id}
    )


def severity_of(turn: Turn, answer: Answer) -> Severity:
    """How grave the checklist calls a finding; one at a place without an item counts as major."""
    item = _item_of(turn, answer)
    if item is None:
        return "major"
    finding = answer.meaning.get("finding")
    for state in item.states:
        if state.id == finding and state.severity:
            return state.severity
    for one in item.findings:
        named = one.id or (one.use or "").strip("<>").rpartition(".")[2].replace("_", "-")
        if named == finding and one.severity:
            return one.severity
    return item.severity


def _judge(turn: Turn, meaning: Meaning) -> Meaning:
    """A value beyond its limits is a finding."""
    value = meaning.get("value")
    if meaning.outcome != "value" or value is None:
        return meaning
    item = turn.checklist.item(meaning.get("item") or "")
    low, high, names = Decimal("-Infinity"), Decimal("Infinity"), ("below limit", "above limit")
    if item.count is not None:
        low = high = Decimal(item.count.expect)
        names = ("count short", "count over")
    elif item.quantity is not None:
        low = low if item.quantity.low is None else Decimal(str(item.quantity.low))
        high = high if item.quantity.high is None else Decimal(str(item.quantity.high))
    number = Decimal(value)
    if low <= number <= high:
        return meaning
    name = names[0] if number < low else names[1]
    return Meaning.of("finding", meaning.slots, finding=name.replace(" ", "-"))


def _add_finding(turn: Turn, meaning: Meaning, words: str, replaces: tuple[int, ...]) -> None:
    place = meaning.get("place")
    item_id = meaning.get("item")
    if item_id is None:
        landed = place_of(turn.checklist, meaning)
        item_id = landed.id if landed else None
    elsewhere = item_id != turn.state.item
    if item_id is not None:
        meaning = meaning.with_slots(item=item_id)
    known = [
        one
        for one in turn.state.answers
        if one.kind == "finding" and one.standing == "stands" and one.meaning == meaning and one.number not in replaces
    ]
    if known and not turn.state.pending:
        turn.say(f"Already noted: {wording.describe(turn.checklist, meaning)}.")
        return
    if not known:
        replaces = () if elsewhere else replaces
        _append(turn, Answer(0, "finding", meaning, words, item_id, place, elsewhere, replaces=replaces))


def _add_good(turn: Turn, meaning: Meaning, words: str, replaces: tuple[int, ...]) -> None:
    item = turn.item
    kind = "value" if meaning.outcome == "value" else "pass"
    number = _append(turn, Answer(0, kind, meaning, words, item.id, replaces=replaces))
    for old in replaces:
        if turn.state.answer(old).kind != "finding":
            _withdraw(turn, old, "replaced")
    value = turn.state.answer(number).meaning.get("value")
    if not turn.state.pending:  # otherwise the read-back of the finding is the acknowledgement
        if value is not None:
            turn.say(wording.quantity_read_back(item, value))
        else:
            turn.tone("heard")
    if item.hold is not None:
        _set_hold(turn, item.hold.id, active=True)
    if item.undoes is not None:
        _set_hold(turn, item.undoes, active=False)


def _set_hold(turn: Turn, hold: str, *, active: bool) -> None:
    others = tuple(one for one in turn.state.holds if one != hold)
    turn.change(holds=(*others, hold) if active else others)
    turn.note(HoldNote(hold, active))


def _append(turn: Turn, answer: Answer) -> int:
    """Keep a new answer under the next number, and note it; a finding waits to be read back."""
    number = len(turn.state.answers) + 1
    answer = replace(answer, number=number)
    turn.change(answers=(*turn.state.answers, answer))
    is_finding = answer.kind == "finding"
    item = _item_of(turn, answer)
    turn.note(
        AnswerNote(
            number=number,
            kind=answer.kind,
            item=answer.item,
            place=answer.place,
            elsewhere=answer.elsewhere,
            words=answer.words,
            meaning=answer.meaning.slots,
            description=wording.answer_words(turn.checklist, answer),
            severity=severity_of(turn, answer) if is_finding else None,
            ata=item.ata if item is not None else None,
        )
    )
    if is_finding:
        turn.change(pending=(*turn.state.pending, number))
    return number


def _set(turn: Turn, number: int, *, confirmed: bool | None = None, standing: Standing = "stands") -> None:
    turn.state = turn.state.with_answer(number, confirmed=confirmed, standing=standing)
    turn.note(AnswerChangedNote(number, confirmed, standing))


def _withdraw(turn: Turn, number: int, standing: Standing) -> None:
    _set(turn, number, confirmed=turn.state.answer(number).confirmed, standing=standing)


def ask_withdrawal(turn: Turn) -> None:
    """Ask whether the latest finding at the present item is taken back."""
    finding = next(one for one in reversed(turn.state.standing_at(turn.item.id)) if one.kind == "finding")
    turn.wait("withdraw_check")
    turn.prompt(wording.withdraw(wording.describe(turn.checklist, finding.meaning)))


def _standing_numbers(turn: Turn) -> tuple[int, ...]:
    return tuple(one.number for one in turn.state.standing_at(turn.item.id))


def _descriptions(turn: Turn) -> Sequence[str]:
    answers = [turn.state.answer(number) for number in turn.state.pending]
    return [
        _with_name(turn, one) if one.item != turn.state.item else wording.describe(turn.checklist, one.meaning)
        for one in answers
    ]


def _with_name(turn: Turn, answer: Answer) -> str:
    item = _item_of(turn, answer)
    described = wording.describe(turn.checklist, answer.meaning)
    return f"{described}, {item.name}" if item is not None else described


def _item_of(turn: Turn, answer: Answer) -> Item | None:
    return None if answer.item is None else turn.checklist.item(answer.item)


def _has_position(meaning: Meaning) -> bool:
    return any(meaning.get(axis) for axis in ("side", "number", "radial"))
