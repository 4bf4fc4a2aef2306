"""Every sentence the tool speaks of its own accord, in one place.  Short: it is heard outdoors."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from decimal import Decimal

from handsfree.checklist.models import SEVERITIES, Checklist, Item, Severity
from handsfree.language.alphabet import spell
from handsfree.language.meaning import Meaning
from handsfree.language.numbers import say_number
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
_DECISIONS = {
    "accepted": "accepted",
    "rejected": "not accepted",
    "maintenance": "referred to maintenance",
    "no_decision": "no decision",
}


def opening(checklist: Checklist) -> str:
    """Title, cautions and whose manuals decide: spoken at the start of every walk."""
    cautions = " ".join(_sentence(one) for one in checklist.cautions)
    return f"{_sentence(checklist.title)} Caution. {cautions} {_sentence(checklist.notice)}"


def given_beforehand(answers: Sequence[tuple[str, bool]]) -> str:
    """What is not asked any more, so that whoever walks hears what another may have given; nothing = nothing to say."""
    told = " ".join(f"{name.replace('-', ' ').capitalize()}: {'yes' if holds else 'no'}." for name, holds in answers)
    return f"Given beforehand. {told}" if told else ""


def level_report(snr_db: float | None) -> str:
    """The answer to "how do you read": the readability scale of ICAO Doc 9432 runs from one to five.

    The limits in decibels are ours: they follow the levels at which the recogniser begins to ask again.
    """
    if snr_db is None or snr_db >= 15:  # noqa: PLR2004
        return "I read you five."
    if snr_db >= 8:  # noqa: PLR2004
        return "I read you three. It is loud here: speak close to the microphone."
    return "I read you one. It is too loud to hear you well: shield the microphone."


def spelled(text: str) -> str:
    """Letters and digits in the ICAO alphabet."""
    return spell(text)


def check_spelling(what: str, text: str) -> str:
    """Ask whether the initials or the registration were heard right."""
    return f"{what}: {spelled(text)}. Affirm?"


def item_prompt(item: Item, *, full: bool, reported: Sequence[str], again: bool) -> str:
    """The prompt of an item, and what was already reported of it."""
    words = ["Back to:"] if again else []
    words.append(_sentence(item.full if full else item.prompt))
    if reported:
        words.append(f"Already reported: {_one_by_one(reported)}. What else do you see?")
    return " ".join(words)


def you_were_at(name: str) -> str:
    """Put right where a trainee goes on after an interruption."""
    return f"You were at: {name}."


def shut(name: str, who: str) -> str:
    """An item that waits for somebody else was named."""
    return f"Not yet: {name}. Something must be asked of {who} first."


def comes_next(name: str) -> str:
    """Help: the item that follows."""
    return f"Next: {name}." if name else "Nothing is left."


def caution(text: str) -> str:
    """A caution before a prompt."""
    return f"Caution: {_sentence(text)}"


def zone_entry(name: str) -> str:
    """Announce a zone."""
    return _sentence(name)


def part_prompt(words: str) -> str:
    """Ask for a part of an item that the answer left out."""
    return f"And {words}?"


def choices(phrases: Sequence[str]) -> str:
    """Read out what may be said."""
    return f"You can say: {', '.join(phrases)}, or leave for later."


def read_back(findings: Iterable[str]) -> str:
    """Read findings back for a yes."""
    return f"Finding: {_one_by_one(list(findings))}. Affirm?"


def guess(findings: Iterable[str]) -> str:
    """Ask whether a finding was meant."""
    return f"Did you say: {_one_by_one(list(findings))}? Affirm or negative."


def kept(findings: Sequence[str]) -> str:
    """Findings that nobody could say yes or no to are kept."""
    return f"Kept, unconfirmed: {_one_by_one(findings)}."


def withdraw(findings: Sequence[str]) -> str:
    """Ask before findings are taken back."""
    them = "it" if len(findings) == 1 else "them"
    return f"You reported: {_one_by_one(findings)}. Withdraw {them}? Affirm or negative."


def which(item_called: str, finding: str) -> str:
    """Ask for the position of a finding; it is named when there are others."""
    return f"{finding}: which {item_called}?" if finding else f"Which {item_called}?"


def quantity_read_back(item: Item, value: str) -> str:
    """A number within limits, read back without a question; "correction" mends it."""
    return _sentence(value_words(item, value))


def value_words(item: Item, value: str) -> str:
    """A number as spoken: ``one eight five psi``, ``three quarters of full``, ``five covers``."""
    if item.count is not None:
        return f"{say_number(Decimal(value))} {item.count.of}"
    if item.quantity is None:
        return value
    if item.quantity.form == "fraction":
        return f"{_fraction(Decimal(value))} {item.quantity.unit}"
    return f"{say_number(Decimal(value))} {item.quantity.unit}"


def describe(checklist: Checklist, meaning: Meaning) -> str:
    """A finding in plain words: ``cut, tyre two``; ``fuel leak, right wing``."""
    item = _item_or_none(checklist, meaning.get("item"))
    finding = meaning.get("finding") or "finding"
    words = _state_words(item, finding) or _own_words(item, finding) or finding.replace("-", " ")
    fluid = meaning.get("fluid")
    if fluid and finding == "leak":
        words = f"{fluid} leak"
    value = meaning.get("value")
    if item is not None and value is not None:
        words = f"{value_words(item, value)}, {words}"
    where = position(meaning, noun(item))
    place = meaning.get("place")
    return ", ".join(one for one in (words, where, place_name(checklist, place) if place else "") if one)


def position(meaning: Meaning, thing: str) -> str:
    """``left outer tyre``, ``tyre two``, or nothing."""
    before = [word for axis in ("side", "radial") if (word := meaning.get(axis))]
    number = meaning.get("number")
    if number is None:
        return " ".join([*before, thing] if before and thing else before)
    return " ".join([*before, thing or "number", say_number(Decimal(number))])


def noun(item: Item | None) -> str:
    """The plain noun of an item's positions; its first spelling."""
    if item is None or not item.called:
        return ""
    return _plain(item.called)


def place_name(checklist: Checklist, place_id: str) -> str:
    """A zone's or a place's name as spoken."""
    for zone in checklist.zones:
        if zone.id == place_id:
            return zone.name.lower()
    return place_id.replace("-", " ")


def answer_words(checklist: Checklist, answer: Answer) -> str:
    """An answer as read back."""
    if answer.kind == "finding":
        return describe(checklist, answer.meaning)
    item = _item_or_none(checklist, answer.item)
    value = answer.meaning.get("value")
    if item is not None and value is not None:
        return value_words(item, value)
    return answer.words


def where(checklist: Checklist, state: WalkState, answered: int, due: int) -> str:
    """Which zone and item this is, and how far the walk is."""
    if state.item is None:
        return "Not yet at an item."
    item, zone = checklist.item(state.item), checklist.zone_of(state.item)
    index = [one.id for one in zone.items].index(item.id) + 1
    return f"{zone.name}, item {index} of {len(zone.items)}: {item.name}. {answered} of {due} answered."


def remaining(open_count: int, zones: Sequence[str], left: Sequence[str]) -> str:
    """What is left to do."""
    parts = [f"{open_count} to go, in: {_list(zones)}." if open_count else "Nothing else to go."]
    if left:
        parts.append(f"Left for later: {_list(left)}.")
    return " ".join(parts)


def left_words(name: str) -> str:
    """An item is left for later."""
    return f"Left for later: {name}."


def holds_lost(names: Sequence[str], who: str) -> str:
    """Items that stay shut because somebody else could not do their part."""
    return f"These stay shut until {who} confirms: {_list(names)}." if names else ""


def servicing(names: Sequence[str]) -> str:
    """Servicing opens items again."""
    return f"Servicing noted. Asked again: {_list(names)}." if names else "Servicing noted. Nothing to repeat."


def correction_of(name: str) -> str:
    """The item that a finding said with "correction" speaks of."""
    return f"Correction: {name}."


def end_check(names: Sequence[str]) -> str:
    """Name every unanswered item before the walk may end."""
    return f"{_not_answered(len(names))}: {_list(names)}. End the walk incomplete? Affirm or negative."


def end_check_again(count: int) -> str:
    """The same question when they have just been named."""
    return f"{_not_answered(count)}. End the walk incomplete? Affirm or negative."


def closing(
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
    words = ["Walk complete." if not missing else "Walk incomplete."]
    for severity in SEVERITIES:
        these = [text for one, text in findings if one == severity]
        if these:
            words.append(f"{severity.capitalize()}: {'. '.join(these)}.")
    if not findings:
        words.append("No finding was reported.")
    if missing:
        words.append(f"Not answered: {_counted(checklist, missing)}.")
    if unclear:
        words.append(f"Something was said and not understood at: {_list(unclear)}.")
    words.extend(f"Still active: {checklist.hold(hold).ask}." for hold in state.holds)
    words.append(REFER)
    return " ".join(words)


def decision_noted(who: str, decision: str) -> str:
    """The decision is repeated as the person's own (14 CFR 91.7(b)); the tool has no opinion."""
    return f"Noted as the decision of {who}: {_DECISIONS.get(decision, decision)}."


def finding_line(name: str, description: str, *, confirmed: bool) -> str:
    """One finding in a list; without an item to name, its place is in the description."""
    line = f"{name}: {description}" if name else description
    return line if confirmed else f"{line}, unconfirmed"


def _not_answered(count: int) -> str:
    return "1 item is not answered" if count == 1 else f"{count} items are not answered"


def _counted(checklist: Checklist, items: Sequence[Item]) -> str:
    if len(items) <= FEW:
        return _list([item.name for item in items])
    zones = dict.fromkeys(checklist.zone_of(item.id).name for item in items)
    return f"{len(items)} items, in: {_list(list(zones))}"


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


def _fraction(value: Decimal) -> str:
    names = {
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
    return names.get(value, say_number(value))


def _sentence(text: str) -> str:
    text = text.strip()
    return text if text.endswith((".", "?", "!")) else f"{text}."


def _list(words: Sequence[str]) -> str:
    return ", ".join(words)


def _one_by_one(findings: Sequence[str]) -> str:
    """Findings have commas in them: each is set apart."""
    return "; and ".join(findings)
