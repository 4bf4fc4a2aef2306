"""Every sentence the tool speaks of its own accord, in one place.  Short: it is heard outdoors.

They are written in English; another language translates them sentence by sentence (``sentences.po`` beside its
grammars), and what has no translation stays English.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Literal

from handsfree.checklist.models import SEVERITIES, Checklist, Item, Severity
from handsfree.language.alphabet import spell
from handsfree.language.meaning import Meaning
from handsfree.language.numbers import fraction_forms, say_number
from handsfree.language.plural import singular
from handsfree.language.tongue import ENGLISH, Tongue
from handsfree.walk.state import Answer, WalkState

FEW = 3
"""Names that are read out once more; of more than these only how many there are, and where."""
REFER = "Refer to the commander and maintenance. This tool reports; it does not release the aircraft."
LEVEL = "Sound check. Say: how do you read."
WHO = "Who is inspecting? Spell your initials."
REGISTRATION = "Which aircraft? Spell the registration."
AGAIN = "Say again."
TOO_LOUD = "Too loud to hear you."
AGAINST_NOISE = "Turn your back to the noise, or shield the microphone."
LEAVE_OR_WAIT = "Say leave for later, or wait for quiet."
LOST_SOUND = "Some sound was lost."
AFFIRM_OR_NEGATIVE = "Say affirm or negative."
CORRECTION = "Correction."
STANDING_BY = "Standing by. Say carry on when you are back."
UNHEEDED = "Something was said while standing by, and was not taken. Say it again if it was a finding."
NOT_AN_ANSWER = "That is no answer here. State what you see."
IN_MEMORY_ONLY = "The log cannot be written. Your answers are kept in memory only: do not switch off."
ON_DISK_AGAIN = "The log is written again. Nothing is missing in it."
NOT_SEALED = "The log could not be sealed."
NOTE_STARTS = "Speak your note. It is kept as sound."
NOTE_KEPT = "Note kept as sound."
DECISION = "What do you decide? Say: I accept, I do not accept, refer to maintenance, or no decision."
PRACTICE = {
    "guided": "This is practice. You hear what to look for. Ask: tell me why, or: what does bad look like.",
    "scenes": "This is practice. You hear what is to be seen. Say what you decide, as on a walk.",
    "memory": "This is practice from memory. Say where you are, then what you find. When you are done, end the walk.",
}
WHERE = "Where are you?"
WHERE_ON = "When you are back, say where you go on."
NO_WHY = "The checklist does not say why."
NOTHING_ANSWERED = "Nothing is answered yet."
NOTHING_TO_CORRECT = "There is no answer to correct."
FIRST_ITEM = "This is the first item."
CAREFUL = "Not understood. The careful answer is taken: affirm."
ON_TRIAL = "This language is on trial. Do not rely on what is heard."
THE_NUMBER = "the number"
"""Stands for numbers among the choices that are read out."""
Spelling = Literal["Initials", "Registration"]

_SAID_AS_PARTS = {
    Decimal(0): "zero",
    Decimal("0.125"): "one eighth",
    Decimal("0.25"): "one quarter",
    Decimal("0.375"): "three eighths",
    Decimal("0.5"): "one half",
    Decimal("0.625"): "five eighths",
    Decimal("0.75"): "three quarters",
    Decimal("0.875"): "seven eighths",
    Decimal(1): "full, one",
}
"""Parts of full as they are read back in English: so that none sounds like another."""
_LEAKS = {one: f"{one} leak" for one in ("fuel", "oil", "hydraulic", "brake", "water")}
_DECISIONS = {
    "accepted": "accepted",
    "rejected": "not accepted",
    "maintenance": "referred to maintenance",
    "no_decision": "no decision",
}


class Wording:
    """The sentences in one language."""

    def __init__(self, tongue: Tongue = ENGLISH, sentences: Mapping[str, str] | None = None) -> None:
        """``sentences`` = by the English sentence, with its ``{names}``, what is said instead."""
        self._tongue = tongue
        self.on_trial = tongue.code != ENGLISH.code
        """Whether nobody has measured how well this language is heard."""
        self._sentences = sentences or {}

    def fixed(self, sentence: str) -> str:
        """A sentence without names."""
        return self._sentences.get(sentence, sentence)

    def _(self, sentence: str, **names: object) -> str:
        return self._sentences.get(sentence, sentence).format(**names)

    def opening(self, checklist: Checklist) -> str:
        """Title, cautions and whose manuals decide: spoken at the start of every walk."""
        cautions = " ".join(_sentence(one) for one in checklist.cautions)
        return self._(
            "{title} Caution. {cautions} {notice}",
            title=_sentence(checklist.title),
            cautions=cautions,
            notice=_sentence(checklist.notice),
        )

    def given_beforehand(self, answers: Sequence[tuple[str, bool]]) -> str:
        """What is not asked any more, so that whoever walks hears what another may have given.

        Nothing given = nothing to say.
        """
        told = " ".join(
            f"{name.replace('-', ' ').capitalize()}: {self.fixed('yes' if holds else 'no')}." for name, holds in answers
        )
        return self._("Given beforehand. {answers}", answers=told) if told else ""

    def level_report(self, snr_db: float | None) -> str:
        """The answer to "how do you read": the readability scale of ICAO Doc 9432 runs from one to five.

        The limits in decibels are ours: they follow the levels at which the recogniser begins to ask again.
        """
        if snr_db is None or snr_db >= 15:  # noqa: PLR2004
            return self.fixed("I read you five.")
        if snr_db >= 8:  # noqa: PLR2004
            return self.fixed("I read you three. It is loud here: speak close to the microphone.")
        return self.fixed("I read you one. It is too loud to hear you well: shield the microphone.")

    def spelled(self, text: str) -> str:
        """Letters and digits in the ICAO alphabet."""
        return spell(text, self._tongue)

    def check_spelling(self, what: Spelling, text: str) -> str:
        """Ask whether the initials or the registration were heard right."""
        return self._("{what}: {characters}. Affirm?", what=self.fixed(what), characters=self.spelled(text))

    def another_registration(self, heard: str, example: str) -> str:
        """What was spelled is no registration of this operator."""
        return self._(
            "I heard {heard}. A registration here looks like: {example}.",
            heard=self.spelled(heard),
            example=self.spelled(example),
        )

    def such_as(self, example: str) -> str:
        """A registration was not understood twice."""
        return self._("All of it, such as: {example}.", example=self.spelled(example))

    def going_on_without(self, what: Spelling) -> str:
        """Initials or a registration were not understood at all."""
        return self._("{what} not understood. Going on without.", what=self.fixed(what))

    def item_prompt(self, item: Item, *, full: bool, reported: Sequence[str], again: bool) -> str:
        """The prompt of an item, and what was already reported of it."""
        words = [self.fixed("Back to:")] if again else []
        words.append(_sentence(item.full if full else item.prompt))
        if reported:
            words.append(
                self._("Already reported: {findings}. What else do you see?", findings=self._one_by_one(reported))
            )
        return " ".join(words)

    def you_were_at(self, name: str) -> str:
        """Put right where a trainee goes on after an interruption."""
        return self._("You were at: {name}.", name=name)

    def shut(self, name: str, who: str) -> str:
        """An item that waits for somebody else was named."""
        return self._("Not yet: {name}. Something must be asked of {who} first.", name=name, who=self.fixed(who))

    def comes_next(self, name: str) -> str:
        """Help: the item that follows."""
        return self._("Next: {name}.", name=name) if name else self.fixed("Nothing is left.")

    def caution(self, text: str) -> str:
        """A caution before a prompt."""
        return self._("Caution: {text}", text=_sentence(text))

    def zone_entry(self, name: str) -> str:
        """Announce a zone."""
        return _sentence(name)

    def part_prompt(self, words: str) -> str:
        """Ask for a part of an item that the answer left out."""
        return self._("And {aspect}?", aspect=words)

    def choices(self, phrases: Sequence[str]) -> str:
        """Read out what may be said."""
        return self._("You can say: {phrases}, or leave for later.", phrases=_list(list(map(self.fixed, phrases))))

    def read_back(self, findings: Iterable[str]) -> str:
        """Read findings back for a yes."""
        return self._("Finding: {findings}. Affirm?", findings=self._one_by_one(findings))

    def guess(self, findings: Iterable[str]) -> str:
        """Ask whether a finding was meant."""
        return self._("Did you say: {findings}? Affirm or negative.", findings=self._one_by_one(findings))

    def kept(self, findings: Sequence[str]) -> str:
        """Findings that nobody could say yes or no to are kept."""
        return self._("Kept, unconfirmed: {findings}.", findings=self._one_by_one(findings))

    def withdraw(self, findings: Sequence[str]) -> str:
        """Ask before findings are taken back."""
        named = self._one_by_one(findings)
        if len(findings) == 1:
            return self._("You reported: {findings}. Withdraw it? Affirm or negative.", findings=named)
        return self._("You reported: {findings}. Withdraw them? Affirm or negative.", findings=named)

    def which(self, item_called: str, finding: str) -> str:
        """Ask for the position of a finding; it is named when there are others."""
        thing = item_called or self.fixed("one")
        if finding:
            return self._("{finding}: which {thing}?", finding=finding, thing=thing)
        return self._("Which {thing}?", thing=thing)

    def quantity_read_back(self, item: Item, value: str) -> str:
        """A number within limits, read back without a question; "correction" mends it."""
        return _sentence(self.value_words(item, value))

    def value_words(self, item: Item, value: str) -> str:
        """A number as spoken: ``one eight five psi``, ``three quarters of full``, ``five covers``."""
        if item.count is not None:
            things = self._counted_as(value, item.count.of)
            return self._("{number} {things}", number=self._number(value), things=things)
        if item.quantity is None:
            return value
        number = self._fraction(value) if item.quantity.form == "fraction" else self._number(value)
        return self._("{number} {unit}", number=number, unit=self._counted_as(value, item.quantity.unit))

    def describe(self, checklist: Checklist, meaning: Meaning) -> str:
        """A finding in plain words: ``cut, tyre two``; ``fuel leak, right wing``."""
        item = _item_or_none(checklist, meaning.get("item"))
        finding = meaning.get("finding") or "finding"
        words = _state_words(item, finding) or _own_words(item, finding) or self.fixed(finding.replace("-", " "))
        fluid = meaning.get("fluid")
        if fluid and finding == "leak":
            words = self.fixed(_LEAKS[fluid])
        value = meaning.get("value")
        if item is not None and value is not None:
            words = f"{self.value_words(item, value)}, {words}"
        where = self.position(meaning, noun(item))
        place = meaning.get("place")
        return ", ".join(one for one in (words, where, self.place_name(checklist, place) if place else "") if one)

    def position(self, meaning: Meaning, thing: str) -> str:
        """``left outer tyre``, ``tyre two``, or nothing."""
        before = [self.fixed(word) for axis in ("side", "radial") if (word := meaning.get(axis))]
        number = meaning.get("number")
        if number is None:
            return " ".join([*before, thing] if before and thing else before)
        return " ".join(
            [*before, self._("{thing} {number}", thing=thing or self.fixed("number"), number=self._number(number))]
        )

    def place_name(self, checklist: Checklist, place_id: str) -> str:
        """A zone's or a place's name as spoken."""
        for zone in checklist.zones:
            if zone.id == place_id:
                return zone.name.lower()
        return place_id.replace("-", " ")

    def answer_words(self, checklist: Checklist, answer: Answer) -> str:
        """An answer as read back."""
        if answer.kind == "finding":
            return self.describe(checklist, answer.meaning)
        item = _item_or_none(checklist, answer.item)
        value = answer.meaning.get("value")
        if item is not None and value is not None:
            return self.value_words(item, value)
        return answer.words

    def where(self, checklist: Checklist, state: WalkState, answered: int, due: int) -> str:
        """Which zone and item this is, and how far the walk is."""
        if state.item is None:
            return self.fixed("Not yet at an item.")
        item, zone = checklist.item(state.item), checklist.zone_of(state.item)
        index = [one.id for one in zone.items].index(item.id) + 1
        return self._(
            "{zone}, item {index} of {count}: {item}. {answered} of {due} answered.",
            zone=zone.name,
            index=index,
            count=len(zone.items),
            item=item.name,
            answered=answered,
            due=due,
        )

    def remaining(self, open_count: int, zones: Sequence[str], left: Sequence[str]) -> str:
        """What is left to do."""
        if open_count:
            parts = [self._("{count} to go, in: {zones}.", count=open_count, zones=_list(zones))]
        else:
            parts = [self.fixed("Nothing else to go.")]
        if left:
            parts.append(self.left_words(_list(left)))
        return " ".join(parts)

    def left_words(self, name: str) -> str:
        """An item is left for later."""
        return self._("Left for later: {name}.", name=name)

    def holds_lost(self, names: Sequence[str], who: str) -> str:
        """Items that stay shut because somebody else could not do their part."""
        if not names:
            return ""
        return self._("These stay shut until {who} confirms: {names}.", who=self.fixed(who), names=_list(names))

    def servicing(self, names: Sequence[str]) -> str:
        """Servicing opens items again."""
        if names:
            return self._("Servicing noted. Asked again: {names}.", names=_list(names))
        return self.fixed("Servicing noted. Nothing to repeat.")

    def correction_of(self, name: str) -> str:
        """The item that a finding said with "correction" speaks of."""
        return self._("Correction: {name}.", name=name)

    def end_check(self, names: Sequence[str]) -> str:
        """Name every unanswered item before the walk may end."""
        return self._(
            "{count}: {names}. End the walk incomplete? Affirm or negative.",
            count=self._not_answered(len(names)),
            names=_list(names),
        )

    def end_check_again(self, count: int) -> str:
        """The same question when they have just been named."""
        return self._("{count}. End the walk incomplete? Affirm or negative.", count=self._not_answered(count))

    def closing(
        self,
        checklist: Checklist,
        state: WalkState,
        *,
        findings: Sequence[tuple[Severity, str]],
        missing: Sequence[Item],
        unclear: Sequence[str],
    ) -> str:
        """The end of the walk: findings by severity, what was not looked at, holds still active, and who decides.

        What was not looked at has just been named item by item, so many items are only counted.
        """
        words = [self.fixed("Walk complete." if not missing else "Walk incomplete.")]
        for severity in SEVERITIES:
            these = [text for one, text in findings if one == severity]
            if these:
                words.append(f"{self.fixed(severity.capitalize())}: {'. '.join(these)}.")
        if not findings:
            words.append(self.fixed("No finding was reported."))
        if missing:
            words.append(self._("Not answered: {names}.", names=self._counted(checklist, missing)))
        if unclear:
            words.append(self._("Something was said and not understood at: {names}.", names=_list(unclear)))
        words.extend(self._("Still active: {hold}.", hold=checklist.hold(hold).ask) for hold in state.holds)
        words.append(self.fixed(REFER))
        return " ".join(words)

    def decision_noted(self, who: str, decision: str) -> str:
        """The decision is repeated as the person's own (14 CFR 91.7(b)); the tool has no opinion."""
        decided = self.fixed(_DECISIONS.get(decision, decision))
        return self._("Noted as the decision of {who}: {decision}.", who=who, decision=decided)

    def finding_line(self, name: str, description: str, *, confirmed: bool) -> str:
        """One finding in a list; without an item to name, its place is in the description."""
        line = f"{name}: {description}" if name else description
        return line if confirmed else self._("{finding}, unconfirmed", finding=line)

    def _not_answered(self, count: int) -> str:
        if count == 1:
            return self.fixed("1 item is not answered")
        return self._("{count} items are not answered", count=count)

    def _counted(self, checklist: Checklist, items: Sequence[Item]) -> str:
        if len(items) <= FEW:
            return _list([item.name for item in items])
        zones = dict.fromkeys(checklist.zone_of(item.id).name for item in items)
        return self._("{count} items, in: {zones}", count=len(items), zones=_list(list(zones)))

    def _counted_as(self, figures: str, noun: str) -> str:
        return singular(noun) if Decimal(figures) == 1 and self._tongue.code == ENGLISH.code else noun

    def _number(self, figures: str) -> str:
        return say_number(Decimal(figures), tongue=self._tongue)

    def _fraction(self, figures: str) -> str:
        value = Decimal(figures)
        if self._tongue.code == ENGLISH.code and value in _SAID_AS_PARTS:
            return _SAID_AS_PARTS[value]
        return next(iter(fraction_forms(value, self._tongue)), "") or self._number(figures)

    def _one_by_one(self, findings: Iterable[str]) -> str:
        """Findings have commas in them: each is set apart."""
        return self.fixed("; and ").join(findings)

    # What the conversation itself says

    def pace_of_prompts(self, *, full: bool) -> str:
        """The prompts are full or short from now on."""
        return self.fixed("Full prompts." if full else "Short prompts.")

    def last_answer(self, item_name: str, words: str) -> str:
        """The last answer, read back."""
        if item_name:
            return self._("Last answer: {item}, {words}", item=item_name, words=words)
        return self._("Last answer: {words}", words=words)

    def affirm(self, words: str) -> str:
        """Something read back for a yes."""
        return self._("{words}. Affirm?", words=words)

    def stands_as(self, words: str) -> str:
        """What was answered at the item that one has gone back to."""
        return self._("It stands as: {words}. Say a new answer, or carry on.", words=words)

    def noted_already(self, finding: str) -> str:
        """A finding is said again."""
        return self._("Already noted: {finding}.", finding=finding)


def noun(item: Item | None) -> str:
    """The plain noun of an item's positions; its first spelling."""
    if item is None or not item.called:
        return ""
    return _plain(item.called)


def _item_or_none(checklist: Checklist, item_id: str | None) -> Item | None:
    return None if item_id is None else checklist.item(item_id)


def _state_words(item: Item | None, finding: str) -> str:
    for state in item.states if item else ():
        if state.id == finding:
            return _plain(state.say[0])
    return ""


def _own_words(item: Item | None, finding: str) -> str:
    for one in item.findings if item else ():
        if one.id == finding:
            return _plain(one.say[0])
    return ""


def _plain(expansion: str) -> str:
    """The first words of an expansion without its optional ones; nothing when a grammar has the words."""
    text = re.sub(r"\[[^\[\]]*\]", " ", expansion)
    while (simpler := re.sub(r"\(([^()|]*)[^()]*\)", r"\1", text)) != text:
        text = simpler
    text = text.split("|")[0]
    return "" if set(text) & set("()[]<>{}*+/") else " ".join(text.split())


def _sentence(text: str) -> str:
    text = text.strip()
    return text if text.endswith((".", "?", "!")) else f"{text}."


def _list(words: Sequence[str]) -> str:
    return ", ".join(words)
