"""Answers at an item: passes, findings and values, read-backs, and what replaces what.

A finding is kept from the moment it is heard, confirmed or not.  A pass beside a finding is a finding.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Literal

from handsfree.checklist.limits import limits_of
from handsfree.checklist.models import AXES, SEVERITIES, Item, Severity
from handsfree.checklist.phrases import lacks_position, may_be_meant, place_of
from handsfree.language.meaning import Meaning
from handsfree.walk import asking, route, wording
from handsfree.walk.events import AnswerChangedNote, AnswerNote, HoldNote
from handsfree.walk.state import Answer, Standing
from handsfree.walk.turn import Turn


def take(turn: Turn, meanings: Iterable[Meaning], words: str) -> None:
    """Take every clause of an utterance at an item; numbers have been `judged`."""
    meanings = tuple(meanings)
    findings = [one for one in meanings if one.outcome == "finding"]
    good = [one for one in meanings if one.outcome != "finding" and one.get("item") == turn.state.item]
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
        answer = turn.state.answer(number)
        described = _described(turn, answer) if others or answer.elsewhere else ""
        turn.prompt(turn.words.which(wording.noun(item), described))
        return
    turn.wait("read_back")
    turn.tone("finding")
    turn.prompt(turn.words.read_back(_descriptions(turn)))


def give_position(turn: Turn, meaning: Meaning) -> None:
    """The position of the finding that lacks one."""
    number = _without_position(turn)
    where = {axis: value for axis in AXES if (value := meaning.get(axis))}
    if number is not None and where:
        answer = turn.state.answer(number)
        _drop(turn, number)
        _append(turn, replace(answer, meaning=answer.meaning.with_slots(**where)))
    read_back(turn)


def confirm(turn: Turn) -> None:
    """The read-back was affirmed.  Whether an earlier finding goes is asked: who went back may have seen a second one.

    One that was called wrong or never affirmed goes unasked, several never do.
    """
    replaced = tuple(dict.fromkeys(old for number in turn.state.pending for old in turn.state.answer(number).replaces))
    said = [set(turn.state.answer(number).meaning.slots) for number in turn.state.pending]
    others = tuple(
        one
        for one in _findings_among(turn, replaced)
        if not any(set(turn.state.answer(one).meaning.slots) <= slots for slots in said)
    )
    affirmed = any(turn.state.answer(one).confirmed and one not in turn.state.called_wrong for one in others)
    kept = others if affirmed or len(others) > 1 else ()
    for number in turn.state.pending:
        _set(turn, number, confirmed=True)
    for old in replaced:
        if old not in kept:
            _withdraw(turn, old, "replaced")
    turn.change(pending=())
    if kept:
        ask_withdrawal(turn, kept)
        return
    turn.tone("heard")
    after_answer(turn)


def refuse(turn: Turn) -> None:
    """The read-back was refused: the findings are withdrawn and stay in the log as such.

    A pass from the same breath goes with them: who misheard the one may have misheard the other.  What was answered
    at this item before is in doubt too, since something else was said of it.
    """
    refused = [turn.state.answer(number) for number in turn.state.pending]
    breath = {one.words for one in refused}
    here = turn.state.standing_at(turn.state.item or "")  # who practises may report before any item is come to
    passes = [one for one in here if one.kind != "finding" and one.words in breath]
    for one in (*refused, *passes):
        _withdraw(turn, one.number, "withdrawn")
    turn.change(pending=())
    if turn.state.returning == "item":
        doubt(turn)


def keep_unconfirmed(turn: Turn) -> None:
    """No clear yes or no came: the findings stay, marked unconfirmed."""
    for number in turn.state.pending:
        _set(turn, number, confirmed=False)
        kept = turn.state.answer(number)
        for old in map(turn.state.answer, kept.replaces):
            if old.confirmed is not True and set(old.meaning.slots) <= set(kept.meaning.slots):
                _withdraw(turn, old.number, "replaced")  # the same finding, no surer than before
    if turn.state.pending:
        turn.say(turn.words.kept(_descriptions(turn)))
    turn.change(pending=())


def ask_guess(turn: Turn) -> None:
    """Ask whether findings that were hardly understood were meant."""
    turn.change(moment="guess_check")
    named = [_named(turn, one, _landing(turn, one)) for one in _most_exact(turn.state.guess)]
    turn.prompt(turn.words.guess(named))


def _most_exact(guess: Sequence[Meaning]) -> Sequence[Meaning]:
    """Without what another says too, and more of it: "rust" beside "rust on bolt one"."""
    said = [set(one.slots) for one in guess]
    return [one for one, slots in zip(guess, said, strict=True) if not any(slots < other for other in said)]


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
    turn.change(guess=(), guess_words="")
    keep_unconfirmed(turn)


def correct(turn: Turn, item: Item) -> None:
    """The answer of an item was called wrong: its passes count no more, whatever is said next; its findings stay."""
    _take_passes_back(turn, item, "withdrawn")
    wrong = frozenset(one.number for one in turn.state.standing_at(item.id))
    turn.change(correcting=True, called_wrong=turn.state.called_wrong | wrong)


def of_the_item_before(turn: Turn, meaning: Meaning, before: Item) -> Meaning:
    """What a finding said with "correction" speaks of: the item answered just before, if that can have it.

    Everyday defects, which the present item does not list, any item can have.  A report and a second thought name
    their place themselves.
    """
    here = turn.item
    if meaning.outcome != "finding" or meaning.get("item") != here.id or meaning.get("value") is not None:
        return meaning
    finding = meaning.get("finding")
    has_it = finding in before.finding_ids() or finding not in here.finding_ids()
    where = before.positions
    spots = {"side": where.side, "number": tuple(map(str, where.number)), "radial": where.radial}
    fits = all(meaning.get(axis) in (None, *there) for axis, there in spots.items())
    return meaning.with_slots(item=before.id) if has_it and fits else meaning


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
    """Go on when the present item is answered; else ask what is still open of it.  A question put off comes first."""
    turn.wait("item")
    if turn.state.returning != "item":
        turn.go_on()
    elif route.is_answered(turn.state, turn.item):
        if turn.item.hold is not None and turn.item.hold.id not in turn.state.holds:
            asking.say_what_stays_shut(turn, turn.item.hold)
        turn.go_on()
    else:
        asking.ask(turn, again=not asking.missing_parts(turn, turn.item))


def doubt(turn: Turn) -> None:
    """Something is not clear at the present item: if it was passed before, it is passed no more."""
    if route.is_answered(turn.state, turn.item):
        _take_passes_back(turn, turn.item, "repeat")


def reopen(turn: Turn, item: Item) -> None:
    """Open an item again: its passes are to be repeated; its findings stay, and answer its question no more."""
    _take_passes_back(turn, item, "repeat")
    turn.change(reopened=turn.state.reopened | {item.id})


def _take_passes_back(turn: Turn, item: Item, standing: Literal["repeat", "withdrawn"]) -> None:
    for one in turn.state.standing_at(item.id):
        if one.kind != "finding":
            _withdraw(turn, one.number, standing)
    turn.change(
        left=tuple(one for one in turn.state.left if one != item.id), left_again=turn.state.left_again - {item.id}
    )


def severity_of(turn: Turn, answer: Answer) -> Severity:
    """How grave the checklist calls a finding; of several items that may be meant the gravest, of none major."""
    item = _item_of(turn, answer)
    items = may_be_meant(turn.checklist, answer.meaning) if item is None else (item,)
    graded = {_severity_at(one, answer.meaning.get("finding")) for one in items}
    for severity in SEVERITIES:
        if severity in graded:
            return severity
    return "major"


def _severity_at(item: Item, finding: str | None) -> Severity:
    for state in item.states:
        if state.id == finding and state.severity:
            return state.severity
    for one in item.findings:
        named = one.id or (one.use or "").strip("<>").rpartition(".")[2].replace("_", "-")
        if named == finding and one.severity:
            return one.severity
    return item.severity


def judged(turn: Turn, meaning: Meaning) -> Meaning:
    """A value beyond the limits of its item is a finding."""
    item = meaning.get("item")
    return meaning if item is None else limits_of(turn.checklist.item(item)).judged(meaning)


def _add_finding(turn: Turn, meaning: Meaning, words: str, replaces: tuple[int, ...]) -> None:
    item = _landing(turn, meaning)
    if item is not None:
        meaning = meaning.with_slots(item=item.id)
    here = item is not None and item.id == turn.state.item
    known = next((one for one in turn.state.answers if _says_the_same(one, meaning, replaces)), None)
    replaces = replaces if here else ()
    if known is not None:
        more_exact = len(meaning.slots) > len(known.meaning.slots)
        meaning = meaning if more_exact else known.meaning
        if known.number in turn.state.pending:
            if not more_exact:
                return
            replaces = (*replaces, *known.replaces)
            _drop(turn, known.number)
        elif more_exact or (here and not route.is_answered(turn.state, turn.item)):  # said again, it is an answer
            replaces = (*replaces, known.number)
        else:
            if not turn.state.pending:
                turn.say(turn.words.noted_already(_described(turn, known)))
            return
    item_id = None if item is None else item.id
    place = meaning.get("place")
    _append(turn, Answer(0, "finding", meaning, words, item_id, place, elsewhere=not here, replaces=replaces))


def _landing(turn: Turn, meaning: Meaning) -> Item | None:
    """The item that a finding belongs to; None = only its place is known."""
    item_id = meaning.get("item")
    return place_of(turn.checklist, meaning) if item_id is None else turn.checklist.item(item_id)


def _says_the_same(answer: Answer, meaning: Meaning, replaces: tuple[int, ...]) -> bool:
    """Whether a finding that stands says the same with more or fewer particulars."""
    if answer.kind != "finding" or answer.standing != "stands" or answer.number in replaces:
        return False
    old, new = set(answer.meaning.slots), set(meaning.slots)
    return answer.meaning.get("finding") == meaning.get("finding") and (old <= new or new <= old)


def _drop(turn: Turn, number: int) -> None:
    """A finding that waits is replaced by one that says more."""
    _withdraw(turn, number, "replaced")
    turn.change(pending=tuple(one for one in turn.state.pending if one != number))


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
            turn.say(turn.words.quantity_read_back(item, value))
        else:
            turn.tone("heard")


def _follow_holds(turn: Turn) -> None:
    """A hold is active as long as its confirmation stands and no later undo does.

    Confirmed once more after an undo, it is to be undone once more.
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
        if active and undone:
            for one in undoing:
                reopen(turn, one)


def _never_confirmed(turn: Turn, item: Item) -> None:
    """A hold whose confirmation was taken back was never there, undone or not: what was passed under it is open."""
    if item.hold is not None and not _last_pass(turn, [item]):
        for dependent in turn.checklist.items():
            if dependent.needs == item.hold.id:
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
    turn.note(
        AnswerNote(
            number=number,
            kind=answer.kind,
            item=answer.item,
            place=answer.place,
            elsewhere=answer.elsewhere,
            words=answer.words,
            meaning=answer.meaning.slots,
            description=turn.words.answer_words(turn.checklist, answer),
            severity=severity_of(turn, answer) if is_finding else None,
            ata=_ata_of(turn, answer),
        )
    )
    if is_finding:
        turn.change(pending=(*turn.state.pending, number))
    if turn.state.outcome and not route.is_all_named(turn.checklist, turn.state):
        turn.change(outcome="")  # a report made something due, which is to be named before the walk ends
    if not answer.elsewhere:
        turn.change(reopened=turn.state.reopened - {answer.item})
    _follow_holds(turn)
    return number


def _ata_of(turn: Turn, answer: Answer) -> str | None:
    """The ATA chapter of the item, or the one that all items have which may be meant."""
    item = _item_of(turn, answer)
    items = may_be_meant(turn.checklist, answer.meaning) if item is None else (item,)
    chapters = {one.ata for one in items}
    return chapters.pop() if len(chapters) == 1 else None


def _set(turn: Turn, number: int, *, confirmed: bool | None = None, standing: Standing = "stands") -> None:
    turn.state = turn.state.with_answer(number, confirmed=confirmed, standing=standing)
    turn.note(AnswerChangedNote(number, confirmed, standing))
    _follow_holds(turn)


def _withdraw(turn: Turn, number: int, standing: Standing) -> None:
    answer = turn.state.answer(number)
    _set(turn, number, confirmed=answer.confirmed, standing=standing)
    item = _item_of(turn, answer)
    if item is not None and answer.kind != "finding" and answer.standing == "stands":
        _never_confirmed(turn, item)


def ask_withdrawal(turn: Turn, numbers: tuple[int, ...]) -> None:
    """Name findings and ask whether they are taken back; one that counts no more needs no question."""
    numbers = tuple(number for number in numbers if turn.state.answer(number).standing == "stands")
    turn.change(withdrawing=numbers)
    if not numbers:
        after_answer(turn)
        return
    turn.wait("withdraw_check")
    turn.prompt(turn.words.withdraw([_described(turn, turn.state.answer(number)) for number in numbers]))


def _standing_numbers(turn: Turn) -> tuple[int, ...]:
    return tuple(one.number for one in turn.state.standing_at(turn.item.id))


def _descriptions(turn: Turn) -> Sequence[str]:
    return [_described(turn, turn.state.answer(number)) for number in turn.state.pending]


def _described(turn: Turn, answer: Answer) -> str:
    return _named(turn, answer.meaning, _item_of(turn, answer))


def _named(turn: Turn, meaning: Meaning, item: Item | None) -> str:
    """A finding in words, with the name of its item when another one is being asked."""
    described = turn.words.describe(turn.checklist, meaning)
    asked = turn.state.returning == "item" and item is not None and item.id == turn.state.item
    return described if item is None or asked else f"{described}, {item.name}"


def _findings_among(turn: Turn, numbers: Iterable[int]) -> tuple[int, ...]:
    return tuple(number for number in numbers if turn.state.answer(number).kind == "finding")


def _without_position(turn: Turn) -> int | None:
    """The first finding that waits and lacks the position that its item wants."""
    for number in turn.state.pending:
        answer = turn.state.answer(number)
        item = _item_of(turn, answer)
        if item is not None and lacks_position(item, answer.meaning):
            return number
    return None


def _item_of(turn: Turn, answer: Answer) -> Item | None:
    return None if answer.item is None else turn.checklist.item(answer.item)
