"""What a walk must record, worked out slowly: everything that was said is gone through anew after each input.

Written from what a conversation means, to be held against the machine: `record` is given a checklist and all inputs
of a conversation so far and says how each item stands, which findings there are and how sure they are, which holds
are active, what is asked now and whether the walk has ended, and how. Nothing is kept between two calls. The
answers lie in one list; what follows from them (holds, how items stand, what comes next) is looked up in it each
time it is needed.

Left out (`LeftOutError` is raised, and there is nothing to compare from there on): initials, registration and the
sound check; reports of another place; voice notes; servicing; noise that was to blame; two leading words before an
answer; and an answer in the breath whose "affirm" leads to a question of the tool's own. Words that the tool speaks
are no part of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

from handsfree.checklist.models import Checklist, Item
from handsfree.language.heard import Heard
from handsfree.language.meaning import Meaning
from handsfree.walk.events import Begin, Event, Resumed, Silence, Spoken

Waiting = Literal["new", "condition", "item", "read_back", "which", "guess_check", "withdraw_check", "stand_by",
                  "place_check", "end_check", "decision", "ended"]  # fmt: skip
Standing = Literal["stands", "replaced", "withdrawn", "repeat"]
Status = Literal["passed", "finding", "left", "open", "shut", "not asked"]

LEADS = ("affirm", "negative", "correction", "disregard")
"""May stand before an answer in the same breath."""
NO = ("negative", "correction", "disregard")
YES_OR_NO = ("condition", "read_back", "guess_check", "withdraw_check", "place_check", "end_check")
CHANGES_NOTHING = ("say_again", "speak_slower", "full_prompts", "short_prompts", "how_do_you_read", "where_are_we",
                   "what_is_left", "roger", "wilco", "what_to_look_for", "read_back", "checked", "affirm")  # fmt: skip
LEFT_OUT = ("servicing_done", "voice_note")
AXES = ("side", "number", "radial")


class LeftOutError(Exception):
    """Something was said that this reference does not speak of."""


@dataclass(frozen=True)
class Found:
    """A finding, as the record must have it."""

    item: str | None
    slots: tuple[tuple[str, str], ...]
    standing: Standing
    confirmed: bool | None
    """None = the question is still to be settled; False = kept though nobody confirmed it."""


@dataclass(frozen=True)
class Record:
    """What must be known after the inputs so far."""

    waiting: str
    asking: str | None
    items: tuple[tuple[str, str], ...]
    """Each item and how it stands, in walking order."""
    unanswered: tuple[str, ...]
    findings: tuple[Found, ...]
    holds: frozenset[str]
    outcome: str


def record(checklist: Checklist, inputs: Sequence[Event]) -> Record:
    """Go through all inputs from the first.  Raises LeftOutError."""
    talk = _Talk(checklist, {item.id: item for item in checklist.items()})
    for one in inputs:
        talk.take(one)
    return talk.record()


def is_covered(meaning: Meaning) -> bool:
    """Whether a clause belongs to what is covered."""
    return meaning.get("place") is None and meaning.get("control") not in LEFT_OUT


@dataclass
class _Line:
    """An answer on the list; only its standing and its confirmation ever change."""

    number: int
    good: bool
    meaning: Meaning
    item: str
    breath: str
    late: bool
    """A defect of another item than the one that was asked: it does not answer that item's question."""
    instead_of: set[int]
    """Numbers of the lines that it takes the place of when it is confirmed."""
    standing: Standing = "stands"
    confirmed: bool | None = None

    @property
    def in_question(self) -> bool:
        return not self.good and self.standing == "stands" and self.confirmed is None


@dataclass
class _Talk:
    checklist: Checklist
    items: dict[str, Item]
    """In walking order."""
    waiting: Waiting = "new"
    item: str | None = None
    lines: list[_Line] = field(default_factory=list[_Line])
    conditions: dict[str, bool] = field(default_factory=dict[str, bool])
    left: list[str] = field(default_factory=list[str])
    """Put off until the others are done, in the order put off."""
    left_twice: set[str] = field(default_factory=set[str])
    """Put off again: not asked any more unless the person does not want to end."""
    unsettled: set[str] = field(default_factory=set[str])
    """Findings that stand here do not answer the question until something is answered anew."""
    mending: bool = False
    """What is answered next at this item takes the place of what was answered before."""
    denied: set[int] = field(default_factory=set[int])
    """Lines that were called wrong."""
    guess: tuple[Meaning, ...] = ()
    guessed_in: str = ""
    to_withdraw: list[int] = field(default_factory=list[int])
    interrupted: Waiting = "item"
    failed: int = 0
    """Hearings in doubt one after the other."""
    done_here: bool = False
    """The walk goes on to the next item once the breath is at its end."""
    outcome: str = ""

    def record(self) -> Record:
        found = [Found(one.item, one.meaning.slots, one.standing, one.confirmed) for one in self.lines if not one.good]
        return Record(
            self.waiting,
            self.item,
            tuple((item.id, self._status(item)) for item in self.items.values()),
            tuple(item.id for item in self._unanswered()),
            tuple(found),
            frozenset(self._holds()),
            self.outcome,
        )

    # What follows from the list

    def _standing(self, item: str) -> list[_Line]:
        return [one for one in self.lines if one.item == item and one.standing == "stands"]

    def _holds(self) -> set[str]:
        """Each "pressure on" that stands switches its hold on, each "pump off" off, in the order said."""
        on: set[str] = set()
        for line in self.lines:
            item = self.items[line.item]
            if line.good and line.standing == "stands":
                on |= {item.hold.id} if item.hold else set()
                on -= {item.undoes} if item.undoes else set()
        return on

    def _is_good(self, item: Item) -> bool:
        """Every part of the item was said to be good."""
        parts = set(item.parts)
        for line in self._standing(item.id):
            if line.good:
                covered = line.meaning.get("covers")
                if covered is None:
                    return True
                parts -= set(covered.split(","))
        return not parts and bool(item.parts)

    def _is_answered(self, item: Item) -> bool:
        found = any(not one.good and not one.late for one in self._standing(item.id))
        return self._is_good(item) or (found and item.id not in self.unsettled)

    def _is_due(self, item: Item) -> bool:
        """Its condition holds, and an undo has something to undo."""
        return self.conditions.get(item.only_if or "", True) and (item.undoes is None or item.undoes in self._holds())

    def _is_shut(self, item: Item) -> bool:
        return item.needs is not None and item.needs not in self._holds()

    def _status(self, item: Item) -> Status:
        if any(not one.good for one in self._standing(item.id)):
            return "finding"
        if self._is_good(item):
            return "passed"
        if not self._is_due(item):
            return "not asked"
        if item.id in self.left:
            return "left"
        return "shut" if self._is_shut(item) else "open"

    def _unanswered(self) -> list[Item]:
        return [
            item
            for item in self.items.values()
            if not self._is_answered(item) and (self._is_due(item) or self._status(item) == "finding")
        ]

    def _waiting_for_a_yes(self) -> list[_Line]:
        return [one for one in self.lines if one.in_question]

    def _last(self) -> _Line | None:
        return next((one for one in reversed(self.lines) if one.standing == "stands"), None)

    def _last_on_the_way(self) -> _Line | None:
        return next((one for one in reversed(self.lines) if one.standing == "stands" and not one.late), None)

    def _asked(self) -> Item:
        return self.items[self.item or ""]

    def _next(self) -> Item | None:
        """The walking order from here and round; then what was put off, the oldest first.

        Before an undo come the items of its hold that were put off: afterwards they are shut.
        """
        items = list(self.items.values())
        ids = [item.id for item in items]
        start = ids.index(self.item) + 1 if self.item else 0
        ahead = [*items[start:], *items[:start]]
        unanswered = {item.id for item in self._unanswered()} - self.left_twice
        can = [item for item in ahead if item.id in unanswered and not self._is_shut(item)]
        for item in can:
            if item.id not in self.left:
                before_it = [one for one in can if item.undoes is not None and one.needs == item.undoes]
                return before_it[0] if before_it else item
        return min(can, key=lambda item: self.left.index(item.id)) if can else None

    # Inputs

    def take(self, came: Event) -> None:
        match came:
            case Begin():
                self._begin(came)
            case Spoken(heard):
                self._hear(heard)
            case Silence():
                self._nobody_spoke(came)
            case Resumed():
                if self.waiting not in ("new", "ended"):
                    self._interrupt()
                    self._find_the_place()
        self._on_if_done()

    def _begin(self, begin: Begin) -> None:
        if not begin.who or not begin.registration or begin.level_check:
            raise LeftOutError("the opening")
        self._next_condition()

    def _nobody_spoke(self, silence: Silence) -> None:
        if silence.too_loud:
            raise LeftOutError("noise to blame")
        if self.waiting == "decision" and not silence.lost_sound:
            if self.failed:  # nobody is there to decide
                self._wait("ended")
            self.failed = 1

    def _hear(self, heard: Heard) -> None:
        if heard.too_loud:
            raise LeftOutError("noise to blame")
        if self.waiting in ("new", "ended") or heard.outcome == "none":
            return
        if any(not is_covered(one) for one in heard.meanings):
            raise LeftOutError(heard.said)
        if self.waiting == "stand_by":
            if any(one.get("control") == "carry_on" for one in heard.meanings) and heard.outcome == "control":
                self._find_the_place()
        elif heard.outcome == "ask":
            self._doubt(heard)
        else:
            self._breath(heard)

    def _breath(self, heard: Heard) -> None:
        names = [name for one in heard.meanings if (name := one.get("control"))]
        lead = [name for name in names if name in LEADS]
        answers = [self._judged(one) for one in heard.meanings if one.outcome != "control"]
        if answers and len(lead) > 1:
            raise LeftOutError("two leading words before an answer")
        if "affirm" in lead and len(lead) > 1 and self.waiting in YES_OR_NO:
            return  # yes and no
        if answers and self.waiting == "item":
            answers = self._after_a_no(lead, answers, heard.said)
        elif lead and not (answers and self.waiting == "which"):
            self._control(lead[0])
        if answers:
            self._answer(answers, heard.said)
        for name in names:
            if name not in LEADS and self.waiting != "ended":
                self._control_after(name)

    def _judged(self, meaning: Meaning) -> Meaning:
        """A number beyond its limits is a finding."""
        value, item = meaning.get("value"), meaning.get("item")
        if meaning.outcome != "value" or value is None or item is None:
            return meaning
        asked = self.items[item]
        if asked.count:
            low, high, names = asked.count.expect, asked.count.expect, ("count-short", "count-over")
        elif asked.quantity:
            low, high, names = asked.quantity.low, asked.quantity.high, ("below-limit", "above-limit")
        else:
            return meaning
        if low is not None and float(value) < low:
            return Meaning.of("finding", meaning.slots, finding=names[0])
        if high is not None and float(value) > high:
            return Meaning.of("finding", meaning.slots, finding=names[1])
        return meaning

    # Answers

    def _after_a_no(self, lead: list[str], answers: list[Meaning], breath: str) -> list[Meaning]:
        """What is left to be taken at the item when a breath begins with "negative" or "correction"."""
        found = [one for one in answers if one.outcome == "finding"]
        spoken_defect = any(one.get("value") is None for one in found)
        if not lead or lead == ["affirm"]:
            return answers
        if lead == ["negative"]:
            return answers if found else []  # a defect is taken whatever is around it; "negative, good" is neither
        last = self._last()
        if self.mending or (last and last.item == self.item):
            self._called_wrong(self._asked())
            return answers
        if not spoken_defect:  # these words are of this item, and something else is to be corrected
            self._correct_the_last()
            return []
        if last is None or last.late:
            return answers
        here, before = self._asked(), self.items[last.item]
        self._called_wrong(before)
        self._go_to(before, mending=True)
        self._put_down([self._of_the_item_before(one, here, before) for one in answers], breath)
        return []

    def _of_the_item_before(self, meaning: Meaning, here: Item, before: Item) -> Meaning:
        """A defect said with "correction" is of the item before if it can be there; not a defect of this one only."""
        if meaning.outcome != "finding" or meaning.get("item") != here.id or meaning.get("value") is not None:
            return meaning  # a number says itself what it is of
        finding = meaning.get("finding")
        only_here = finding in here.finding_ids() and finding not in before.finding_ids()
        there = {
            "side": list(before.positions.side),
            "number": [str(one) for one in before.positions.number],
            "radial": list(before.positions.radial),
        }
        has_the_place = all(meaning.get(axis) is None or meaning.get(axis) in there[axis] for axis in AXES)
        return meaning if only_here or not has_the_place else meaning.with_slots(item=before.id)

    def _answer(self, answers: list[Meaning], breath: str) -> None:
        found = [one for one in answers if one.outcome == "finding"]
        if self.waiting == "which":
            if found:
                self._put_down(found, breath)
            else:
                self._place(answers[0])
        elif self.waiting in ("item", "read_back", "guess_check"):
            if self.waiting != "item" and not found:
                return  # a pass is no answer to a question about a finding
            self.guess = ()
            usable = [one for one in answers if one.outcome == "finding" or one.get("quantity") != "position"]
            if usable:
                self._put_down(usable, breath)
        else:
            raise LeftOutError("an answer to a question of the tool's own")

    def _put_down(self, answers: list[Meaning], breath: str) -> None:
        """A breath full of answers: defects first, then what is good."""
        self.waiting, self.done_here, self.failed = "item", False, 0
        earlier = {one.number for one in self._standing(self.item or "")} if self.mending else set[int]()
        before = len(self.lines)
        for one in answers:
            if one.outcome == "finding":
                self._put_down_defect(one, breath, earlier)
        good = [one for one in answers if one.outcome != "finding" and one.get("item") == self.item]
        for one in good:
            self._write(one, breath, set(earlier))
            for line in self._numbered(earlier):
                if line.good:
                    self._strike(line, "replaced")
        if any(not one.late for one in self.lines[before:]):
            self.mending = False
        if self._waiting_for_a_yes():
            self._ask_about_findings()
        elif good and any(not one.good and one.standing == "stands" for one in self._numbered(earlier)):
            self._ask_to_withdraw([one.number for one in self._numbered(earlier) if not one.good])
        else:
            self._settled()

    def _put_down_defect(self, meaning: Meaning, breath: str, earlier: set[int]) -> None:
        """The same defect said again is one defect, with all that was said of it."""
        item = self.items[meaning.get("item") or ""]
        here = item.id == self.item
        instead_of = set(earlier) if here else set[int]()
        for known in self.lines:
            if known.good or known.standing != "stands" or known.number in earlier:
                continue
            old, new = set(known.meaning.slots), set(meaning.slots)
            if not (old <= new or new <= old):
                continue
            says_more = new > old
            if known.in_question and not says_more:
                return
            if not known.in_question and not says_more and (not here or self._is_answered(item)):
                return
            meaning = meaning if says_more else known.meaning
            if known.in_question:
                instead_of |= known.instead_of
                self._strike(known, "replaced")
            else:
                instead_of.add(known.number)
            break
        self._write(meaning, breath, instead_of)

    def _write(self, meaning: Meaning, breath: str, instead_of: set[int]) -> None:
        item = meaning.get("item") or ""
        late, good = item != self.item, meaning.outcome != "finding"
        self.lines.append(_Line(len(self.lines) + 1, good, meaning, item, breath, late, instead_of))
        if not late:
            self.unsettled.discard(item)
        hold = self.items[item].hold
        if good and hold:  # what was undone before is to be undone once more
            for undo in self.items.values():
                if undo.undoes == hold.id and any(one.good for one in self._standing(undo.id)):
                    self._open_again(undo)

    def _numbered(self, numbers: set[int]) -> Iterator[_Line]:
        return (one for one in self.lines if one.number in numbers)

    def _strike(self, line: _Line, standing: Standing) -> None:
        """A line counts no more.  What was passed under a hold that nobody confirmed is to be looked at again."""
        line.standing = standing
        hold = self.items[line.item].hold
        if line.good and hold and not any(one.good for one in self._standing(line.item)):
            for dependent in self.items.values():
                if dependent.needs == hold.id:
                    self._open_again(dependent)

    def _passes_count_no_more(self, item: Item, standing: Standing) -> None:
        for line in self._standing(item.id):
            if line.good:
                self._strike(line, standing)
        self.left = [one for one in self.left if one != item.id]
        self.left_twice.discard(item.id)

    def _open_again(self, item: Item) -> None:
        self._passes_count_no_more(item, "repeat")
        self.unsettled.add(item.id)

    def _something_is_unclear(self) -> None:
        if self._is_answered(self._asked()):
            self._passes_count_no_more(self._asked(), "repeat")

    def _called_wrong(self, item: Item) -> None:
        self._passes_count_no_more(item, "withdrawn")
        self.denied |= {line.number for line in self._standing(item.id)}
        self.mending = True

    # Findings in question

    def _without_a_place(self) -> _Line | None:
        for line in self._waiting_for_a_yes():
            if self.items[line.item].positions.required and not any(map(line.meaning.get, AXES)):
                return line
        return None

    def _ask_about_findings(self) -> None:
        self._wait("which" if self._without_a_place() else "read_back")

    def _place(self, meaning: Meaning) -> None:
        line = self._without_a_place()
        where = {axis: value for axis in AXES if (value := meaning.get(axis))}
        if line and where:
            line.standing = "replaced"
            number = len(self.lines) + 1
            placed = line.meaning.with_slots(**where)
            self.lines.append(_Line(number, False, placed, line.item, line.breath, line.late, line.instead_of))
            self.unsettled -= set[str]() if line.late else {line.item}
        self._ask_about_findings()

    def _yes_to_findings(self) -> None:
        asked = self._waiting_for_a_yes()
        for one in asked:
            one.confirmed = True
        old = [one for line in asked for one in self._numbered(line.instead_of) if one.standing == "stands"]
        unsaid = [
            one.number
            for one in old
            if not one.good and not any(set(one.meaning.slots) <= set(new.meaning.slots) for new in asked)
        ]
        unsaid = list(dict.fromkeys(unsaid))
        # One defect does not wipe out several in silence, nor one that was affirmed and that nobody called wrong.
        sure = [one for one in unsaid if self.lines[one - 1].confirmed and one not in self.denied]
        kept = unsaid if sure or len(unsaid) > 1 else []
        for one in old:
            if one.number not in kept:
                self._strike(one, "replaced")
        if kept:
            self._ask_to_withdraw(kept)
        else:
            self._settled()

    def _no_to_findings(self) -> None:
        """They were misheard, and so perhaps was what else was in the breath, and what was answered here before."""
        asked = self._waiting_for_a_yes()
        breaths = {one.breath for one in asked}
        misheard = [one for one in self._standing(self.item or "") if one.good and one.breath in breaths]
        for one in (*asked, *misheard):
            self._strike(one, "withdrawn")
        self._something_is_unclear()
        self._wait("item")

    def _keep_unconfirmed(self) -> None:
        """Nobody said yes or no: they stand, and put aside only what was no surer and said no more."""
        for line in self._waiting_for_a_yes():
            line.confirmed = False
            for old in self._numbered(line.instead_of):
                if old.confirmed is not True and set(old.meaning.slots) <= set(line.meaning.slots):
                    self._strike(old, "replaced")

    def _ask_to_withdraw(self, numbers: list[int]) -> None:
        self.to_withdraw = [one.number for one in self._numbered(set(numbers)) if one.standing == "stands"]
        self._wait("withdraw_check")

    def _withdraw(self, *, yes: bool) -> None:
        for line in self._numbered(set(self.to_withdraw)):
            if yes:
                self._strike(line, "replaced" if any(one.good for one in self._standing(line.item)) else "withdrawn")
        self.to_withdraw = []
        self._settled()

    def _yes_to_guess(self) -> None:
        earlier = {one.number for one in self._standing(self.item or "")} if self.mending else set[int]()
        for one in self.guess:
            self._put_down_defect(one, self.guessed_in, earlier)
        self.guess, self.mending = (), False
        if self._without_a_place():
            self._ask_about_findings()
        else:
            self._yes_to_findings()

    def _keep_guess(self) -> None:
        for one in self.guess:
            self._put_down_defect(one, self.guessed_in, set())
        self.guess = ()
        self._keep_unconfirmed()

    # Where the walk is

    def _wait(self, waiting: Waiting) -> None:
        self.waiting, self.failed = waiting, 0

    def _settled(self) -> None:
        """The question about findings is settled: on if the item is answered, else its rest is asked."""
        self._wait("item")
        self.done_here = self.done_here or self._is_answered(self._asked())

    def _on_if_done(self) -> None:
        if self.done_here:
            self.done_here = False
            item = self._next()
            if item is None:
                self._ask_to_end()
            else:
                self._go_to(item)

    def _go_to(self, item: Item, *, mending: bool = False) -> None:
        self.item, self.mending = item.id, mending
        self._wait("item")

    def _next_condition(self) -> None:
        open_ones = [one.id for one in self.checklist.conditions if one.id not in self.conditions]
        self._wait("condition")
        self.done_here = not open_ones

    def _condition(self, *, holds: bool) -> None:
        one = next(one.id for one in self.checklist.conditions if one.id not in self.conditions)
        self.conditions[one] = holds
        self._next_condition()

    def _leave(self, item: Item) -> None:
        if item.id in self.left:
            self.left_twice.add(item.id)
        else:
            self.left.append(item.id)

    def _leave_in_doubt(self) -> None:
        """A finding that nobody affirmed does not answer the question of its item."""
        self._wait("item")
        self.unsettled.add(self._asked().id)
        self._leave(self._asked())
        self.done_here = True

    def _ask_to_end(self) -> None:
        if self._unanswered():
            self._wait("end_check")
        else:
            self._end()

    def _end(self) -> None:
        self.outcome = "incomplete" if self._unanswered() else "complete"
        self._wait("decision")

    def _not_yet(self) -> None:
        """Not to be ended: the item that was being asked, or else what was put off twice."""
        self.left_twice.clear()
        if self.item is None or self._is_answered(self._asked()) or self.item in self.left:
            self.done_here = True
        else:
            self._wait("item")

    def _correct_the_last(self) -> None:
        last = self._last()
        if self.mending:
            self._called_wrong(self._asked())
        elif last is None:
            pass
        elif last.late:
            self._ask_to_withdraw([last.number])
        else:
            self._called_wrong(self.items[last.item])
            self._go_to(self.items[last.item], mending=True)

    def _previous(self) -> None:
        items = list(self.items.values())
        for item in reversed(items[: items.index(self._asked())]):
            if (self._is_answered(item) or item.id in self.left) and not self._is_shut(item):
                self._go_to(item, mending=bool(self._standing(item.id)))
                return

    def _next_zone(self) -> None:
        for item in self._unanswered():
            in_zone = self.checklist.zone_of(item.id) == self.checklist.zone_of(self.item or "")
            if in_zone and (item.id not in self.left or item.id == self.item):
                self._leave(item)
        self.done_here = True

    def _interrupt(self) -> None:
        if self.waiting not in ("stand_by", "place_check"):
            self.interrupted = self.waiting

    def _find_the_place(self) -> None:
        asking = self._waiting_for_a_yes() or self.guess or self.to_withdraw
        if asking or self._last_on_the_way() is None or self.interrupted in ("end_check", "decision"):
            self._back()
        else:
            self._wait("place_check")

    def _back(self) -> None:
        if self.interrupted == "item":
            self._wait("item")
            self.done_here = self._is_answered(self._asked()) and not self.mending
        elif self.interrupted in ("read_back", "which"):
            self._ask_about_findings()
        elif self.interrupted == "end_check":
            self._ask_to_end()
        else:
            self._wait(self.interrupted)

    # Control words

    def _control_after(self, name: str) -> None:
        """After an answer in the same breath: the walk goes on unless the word leads elsewhere."""
        answered = self.item is not None and self._is_answered(self._asked())
        if self.done_here and name == "stand_by" and not answered:
            self._on_if_done()  # the item was left: there is nothing to come back to
        place, done = (self.waiting, self.item), self.done_here
        self.done_here = False
        self._control(name)
        if (self.waiting, self.item) == place:
            self.done_here = self.done_here or done

    def _control(self, name: str) -> None:
        if name == "stand_by":
            self._interrupt()
            self._wait("stand_by")
        elif self.waiting == "item":
            self._control_at_item(name)
        elif self.waiting in YES_OR_NO and name in LEADS:
            self._yes_or_no(yes=name == "affirm")
        elif self.waiting == "which" and name in NO:
            self._no_to_findings()
        elif self.waiting in ("which", "read_back", "guess_check") and name == "leave_for_later":
            self._leave_the_question()
        elif self.waiting == "place_check" and name == "end_walk":
            self._ask_to_end()
        elif self.waiting == "decision" and ("decision" in name):
            self._wait("ended")

    def _control_at_item(self, name: str) -> None:
        item = self._asked()
        match name:
            case "leave_for_later" | "unable":
                if self.mending:
                    self._open_again(item)
                if not self._is_answered(item):
                    self._leave(item)
                self.done_here = True
            case "next_zone":
                self._next_zone()
            case "previous_item":
                self._previous()
            case "correction" | "disregard":
                self._correct_the_last()
            case "carry_on":
                if self._is_answered(item):
                    self.mending, self.done_here = False, True
            case "end_walk":
                self._ask_to_end()
            case "negative":
                self._something_is_unclear()
            case _ if name in CHANGES_NOTHING:
                pass
            case _:
                raise LeftOutError(name)

    def _yes_or_no(self, *, yes: bool) -> None:
        match self.waiting:
            case "condition":
                self._condition(holds=yes)
            case "read_back" if yes:
                self._yes_to_findings()
            case "read_back":
                self._no_to_findings()
            case "guess_check" if yes:
                self._yes_to_guess()
            case "guess_check":
                self.guess, self.waiting = (), "item"
            case "withdraw_check":
                self._withdraw(yes=yes)
            case "place_check" if yes:
                self._back()
            case "place_check":
                last = self._last_on_the_way()
                if last:
                    self._called_wrong(self.items[last.item])
                    self._go_to(self.items[last.item], mending=True)
            case "end_check" if yes:
                self._end()
            case _:
                self._not_yet()

    def _leave_the_question(self) -> None:
        here = any(one.item == self.item for one in self._waiting_for_a_yes())
        if self.waiting == "guess_check":
            self._keep_guess()
            self._leave_in_doubt()
        else:
            self._keep_unconfirmed()
            if here:
                self._leave_in_doubt()
            else:
                self._settled()

    def _doubt(self, heard: Heard) -> None:
        """Something was said and is in doubt; the third time in a row the walk goes on without, never with a pass."""
        self.failed += 1
        third = self.failed >= 3
        if self.waiting == "condition":
            if third:
                self._condition(holds=True)  # the careful side
        elif self.waiting == "item":
            self._something_is_unclear()
            self.guess = tuple(one for one in heard.meanings if one.outcome == "finding")
            self.guessed_in = heard.said
            if third:
                self._keep_guess()
                self._leave_in_doubt()
            elif self.guess:
                self.waiting = "guess_check"
        elif third and self.waiting in ("read_back", "which"):
            self._keep_unconfirmed()
            self._settled()
        elif third and self.waiting == "guess_check":
            self._keep_guess()
            self._leave_in_doubt()
        elif third and self.waiting == "withdraw_check":
            self._withdraw(yes=False)
        elif third:
            self.failed = 0
