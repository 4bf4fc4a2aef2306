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

_AXES = ("side", "number", "radial")


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
    elif good and (taken_back := _findings_among(turn, replaces)):
        ask_withdrawal(turn, taken_back)
    else:
        after_answer(turn)


def read_back(turn: Turn) -> None:
    """Read the findings that wait for it back, or ask where one of them is."""
    number = _without_position(turn)
    if number is not None:
        item = _item_of(turn, turn.state.answer(number))
        others = tuple(one for one in turn.state.pending if one != number)
        turn.change(pending=(number, *others))  # the first of them is the one that is asked about
        turn.wait("which")
        described = _described(turn, turn.state.answer(number)) if others else ""
        turn.prompt(wording.which(wording.noun(item) or "one", described))
        return
    turn.wait("read_back")
    turn.tone("finding")
    turn.prompt(wording.read_back(_descriptions(turn)))


def give_position(turn: Turn, meaning: Meaning) -> None:
    """The position of the finding that lacks one."""
    number = _without_position(turn)
    where = {axis: value for axis in _AXES if (value := meaning.get(axis))}
    if number is not None and where:
        answer = turn.state.answer(number)
        _withdraw(turn, number, "replaced")
        turn.change(pending=tuple(one for one in turn.state.pending if one != number))
        _append(turn, replace(answer, meaning=answer.meaning.with_slots(**where)))
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
    breath = {one.words for one in refused}
    passes = [one for one in turn.state.standing_at(turn.item.id) if one.kind != "finding" and one.words in breath]
    for one in (*refused, *passes):
        _withdraw(turn, one.number, "withdrawn")
    turn.change(pending=())


def keep_unconfirmed(turn: Turn) -> None:
    """No clear yes or no came: the findings stay, marked unconfirmed."""
    for number in turn.state.pending:
        _set(turn, number, confirmed=False)
    turn.say(wording.kept(_descriptions(turn)))
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
    if _without_position(turn) is None:
        confirm(turn)
    else:
        read_back(turn)


def keep_guess(turn: Turn) -> None:
    """A finding that may have been said is kept unconfirmed, since nobody denied it."""
    for one in turn.state.guess:
        _add_finding(turn, one, turn.state.guess_words, ())
    for number in turn.state.pending:
        _set(turn, number, confirmed=False)
    if turn.state.pending:
        turn.say(wording.kept(_descriptions(turn)))
    turn.change(guess=(), guess_words="", pending=())


def withdrawal(turn: Turn, *, affirmed: bool) -> None:
    """Whether earlier findings are really taken back: by the pass that followed them, or on their own."""
    for number in turn.state.withdrawing if affirmed else ():
        item = turn.state.answer(number).item
        passed = item is not None and any(one.kind != "finding" for one in turn.state.standing_at(item))
        _withdraw(turn, number, "replaced" if passed else "withdrawn")
    turn.change(withdrawing=())
    turn.tone("heard")
    after_answer(turn)


def after_answer(turn: Turn) -> None:
    """Go on when the present item is answered; else ask what is still open of it."""
    turn.wait("item")
    if route.is_answered(turn.state, turn.item):
        if turn.item.hold is not None and turn.item.hold.id not in turn.state.holds:
            asking.say_what_stays_shut(turn, turn.item.hold)
        turn.go_on()
    else:
        asking.ask(turn, again=not asking.missing_parts(turn, turn.item))


def reopen(turn: Turn, item: Item) -> None:
    """Open an item again: its passes are to be repeated; its findings stay, and answer its question no more."""
    for one in turn.state.standing_at(item.id):
        if one.kind != "finding":
            _withdraw(turn, one.number, "repeat")
    turn.change(
        left=tuple(one for one in turn.state.left if one != item.id),
        left_again=turn.state.left_again - {item.id},
        reopened=turn.state.reopened | {item.id},
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


def _follow_holds(turn: Turn) -> None:
    """A hold is active as long as its confirmation stands and no later undo does.

    One that falls because its confirmation was taken back was never there: what was passed under it is asked again.
    """
    for item in turn.checklist.items():
        if item.hold is None:
            continue
        hold = item.hold.id
        undoing = [one for one in turn.checklist.items() if one.undoes == hold]
        confirmed, undone = _last_pass(turn, [item]), _last_pass(turn, undoing)
        active = confirmed > undone
        if active == (hold in turn.state.holds):
            continue
        others = tuple(one for one in turn.state.holds if one != hold)
        turn.change(holds=(*others, hold) if active else others)
        turn.note(HoldNote(hold, active))
        if not confirmed:
            for dependent in turn.checklist.items():
                if dependent.needs == hold:
                    reopen(turn, dependent)


def _last_pass(turn: Turn, items: Iterable[Item]) -> int:
    """The number of the latest pass that stands at one of these items; 0 = none."""
    passes = (one for item in items for one in turn.state.standing_at(item.id) if one.kind != "finding")
    return max((one.number for one in passes), default=0)


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
    if not answer.elsewhere:
        turn.change(reopened=turn.state.reopened - {answer.item})
    _follow_holds(turn)
    return number


def _set(turn: Turn, number: int, *, confirmed: bool | None = None, standing: Standing = "stands") -> None:
    turn.state = turn.state.with_answer(number, confirmed=confirmed, standing=standing)
    turn.note(AnswerChangedNote(number, confirmed, standing))
    _follow_holds(turn)


def _withdraw(turn: Turn, number: int, standing: Standing) -> None:
    _set(turn, number, confirmed=turn.state.answer(number).confirmed, standing=standing)


def ask_withdrawal(turn: Turn, numbers: tuple[int, ...]) -> None:
    """Name findings and ask whether they are taken back."""
    turn.change(withdrawing=numbers)
    turn.wait("withdraw_check")
    turn.prompt(wording.withdraw([_described(turn, turn.state.answer(number)) for number in numbers]))


def _standing_numbers(turn: Turn) -> tuple[int, ...]:
    return tuple(one.number for one in turn.state.standing_at(turn.item.id))


def _descriptions(turn: Turn) -> Sequence[str]:
    return [_described(turn, turn.state.answer(number)) for number in turn.state.pending]


def _described(turn: Turn, answer: Answer) -> str:
    """A finding in words, with the name of its item when another one is being asked."""
    item = _item_of(turn, answer)
    described = wording.describe(turn.checklist, answer.meaning)
    return described if item is None or item.id == turn.state.item else f"{described}, {item.name}"


def _findings_among(turn: Turn, numbers: Iterable[int]) -> tuple[int, ...]:
    return tuple(number for number in numbers if turn.state.answer(number).kind == "finding")


def _without_position(turn: Turn) -> int | None:
    """The first finding that waits and lacks the position that its item wants."""
    for number in turn.state.pending:
        answer = turn.state.answer(number)
        item = _item_of(turn, answer)
        if item is not None and item.positions.required and not any(map(answer.meaning.get, _AXES)):
            return number
    return None


def _item_of(turn: Turn, answer: Answer) -> Item | None:
    return None if answer.item is None else turn.checklist.item(answer.item)
