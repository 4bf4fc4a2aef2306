"""Each rule of the linter, by the smallest checklist that breaks it, and by one beside it that does not."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from handsfree.checklist.lint.one_word import differing_word, mistakable
from handsfree.checklist.linter import check
from handsfree.checklist.loading import read
from handsfree.checklist.models import Checklist
from handsfree.checklist.problems import Problem
from handsfree.hearing.recogniser import VoskRecogniser
from handsfree.language.grammars import Grammars
from tests.checklist.written import Fields, checklist, item, of_items, zone
from tests.support.said import pronounce

ROOT = Path(__file__).parents[2]


def knows_all(_word: str) -> bool:
    return True


@pytest.fixture
def problems(grammars: Grammars) -> Callable[[Checklist], list[Problem]]:
    """The problems of a checklist, as a function."""

    def found(subject: Checklist) -> list[Problem]:
        return check(subject, grammars, knows_all, pronounce)

    return found


def codes(found: list[Problem]) -> list[str]:
    return [problem.code for problem in found]


HOLD: Fields = {"id": "pump-on", "kind": "hold", "hold": {"id": "pump", "ask": "pump on"}, "passes": ["pump running"]}
UNDO: Fields = {"id": "pump-off", "kind": "undo", "undoes": "pump", "passes": ["pump stopped"]}
PUMP_ON = item(HOLD.pop("id"), **HOLD)
PUMP_OFF = item(UNDO.pop("id"), **UNDO)
NEEDS_PUMP = item("pins", needs="pump")
STATES = [{"id": "proud", "good": True, "say": ["proud"]}, {"id": "flush", "good": False, "say": ["flush"]}]
PRESSURE = {"called": "pressure", "unit": "psi", "low": 20, "high": 30, "sayable": [0, 60], "source": "manual"}
COUNT = {"of": "covers", "expect": 4, "most": 8, "source": "manual"}


def quantity(**changes: Any) -> Checklist:
    return of_items(item(kind="quantity", quantity={**PRESSURE, **changes}))


def count(**changes: Any) -> Checklist:
    return of_items(item(kind="count", count={**COUNT, **changes}))


GOOD = {
    "plain": of_items(item()),
    "one finding at two sides that are tagged": of_items(
        item(findings=[{"id": "down", "say": ["(left {side=left} | right {side=right}) flap down"]}])
    ),
    "hold, what needs it, undo": of_items(PUMP_ON, NEEDS_PUMP, PUMP_OFF),
    "limits with source and room": quantity(),
    "a fraction may be full": quantity(form="fraction", low=0.5, high=1, sayable=[0, 1], step=0.25),
    "count with room": count(),
    "parts each with a response": of_items(
        item(parts={"a": "a", "b": "b"}, passes=[{"say": "clear", "covers": ["a"]}, {"say": "dry", "covers": ["b"]}])
    ),
    "no leak is understood and not taught": of_items(
        item(passes=["dry", "no leak"], findings=[{"use": "<findings.leak>"}])
    ),
    "an indicator may call good what is a defect elsewhere": of_items(
        item(kind="indicator", states=[{"id": "gone", "good": True, "say": ["missing"]}, STATES[1]])
    ),
    "checked where it is enough": of_items(item(passes=["checked"], checked_is_enough=True)),
    "positions with a noun": of_items(item(positions={"number": [1, 2]}, called="tyre")),
    "condition in use": of_items(item(only_if="night"), conditions=[{"id": "night", "ask": "Night?"}]),
}


@pytest.mark.parametrize("name", GOOD)
def test_nothing_is_said_about(problems: Any, name: str) -> None:
    assert problems(GOOD[name]) == []


BROKEN: dict[str, tuple[Checklist, str, str]] = {
    "brackets that do not close": (of_items(item(passes=["(dry"])), "phrase", "zones[nose].items[thing].pass[0].say"),
    "a rule that no grammar has": (
        of_items(item(findings=[{"use": "<findings.ghost>"}])),
        "phrase",
        "zones[nose].items[thing].findings[0].use",
    ),
    "a zone that cannot be said": (
        checklist(zone("nose", item(), spoken=["nose |"])),
        "phrase",
        "zones[nose].spoken[0]",
    ),
    "a response without a word": (of_items(item(passes=["[dry]"])), "phrase", "zones[nose].items[thing]"),
    "a slot with two values": (
        of_items(item(findings=[{"id": "bent", "say": ["bent {finding=other}"]}])),
        "phrase",
        "zones[nose].items[thing]",
    ),
    "a rule for many findings under one name": (
        of_items(item(findings=[{"use": "<findings.any>"}])),
        "finding-name",
        "zones[nose].items[thing].findings[0].use",
    ),
    "the same words for good and bad": (
        of_items(item(kind="indicator", states=[STATES[0], {"id": "flush", "good": False, "say": ["proud"]}])),
        "ambiguous",
        "zones[nose].items[thing]",
    ),
    "a response that is a control word": (
        of_items(item(passes=["dry", "roger"])),
        "ambiguous",
        "zones[nose].items[thing]",
    ),
    "need before the hold": (of_items(NEEDS_PUMP, PUMP_ON, PUMP_OFF), "hold-too-late", "zones[nose].items[pins].needs"),
    "undo before the hold": (
        of_items(PUMP_OFF, PUMP_ON, item()),
        "hold-too-late",
        "zones[nose].items[pump-off].undoes",
    ),
    "need behind the undo": (of_items(PUMP_ON, PUMP_OFF, NEEDS_PUMP), "after-undo", "zones[nose].items[pins].needs"),
    "a hold that is asked only at night": (
        of_items(
            {**PUMP_ON, "only_if": "night"},
            NEEDS_PUMP,
            {**PUMP_OFF, "only_if": "night"},
            conditions=[{"id": "night", "ask": "Night?"}],
        ),
        "hold-not-always",
        "zones[nose].items[pins].needs",
    ),
    "a limit without source": (quantity(source=None), "limit-without-source", "zones[nose].items[thing].quantity"),
    "a count without source": (count(source=None), "limit-without-source", "zones[nose].items[thing].count"),
    "a limit between two steps": (quantity(low=20.5), "limit-not-sayable", "zones[nose].items[thing].quantity.low"),
    "one finding at two sides": (
        of_items(item(findings=[{"id": "down", "say": ["left flap down", "right flap down"]}])),
        "two-places",
        "zones[nose].items[thing].findings[down].say",
    ),
    "one finding with two numbers": (
        of_items(item(findings=[{"id": "gone", "say": ["pin one gone", "pin two gone"]}])),
        "two-places",
        "zones[nose].items[thing].findings[gone].say",
    ),
    "a limit beyond words": (quantity(high=90), "limit-not-sayable", "zones[nose].items[thing].quantity.high"),
    "limits the wrong way round": (quantity(low=40), "limit-not-sayable", "zones[nose].items[thing].quantity.low"),
    "a range the wrong way round": (
        quantity(sayable=[60, 0]),
        "limit-not-sayable",
        "zones[nose].items[thing].quantity.sayable",
    ),
    "more than full": (
        quantity(form="fraction", low=0.5, high=1, sayable=[0, 2]),
        "limit-not-sayable",
        "zones[nose].items[thing].quantity.sayable",
    ),
    "more expected than can be said": (count(expect=9), "limit-not-sayable", "zones[nose].items[thing].count.most"),
    "a part without a response": (
        of_items(item(parts={"a": "a", "b": "b"}, passes=[{"say": "clear", "covers": ["a"]}])),
        "part-not-covered",
        "zones[nose].items[thing].parts.b",
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_an_error_is_found_and_placed(problems: Any, name: str) -> None:
    subject, code, field = BROKEN[name]
    errors = [problem for problem in problems(subject) if problem.level == "error"]
    assert (code, field) in [(problem.code, problem.field) for problem in errors]
    beside = {"phrase"} if name == "a range the wrong way round" else set[str]()  # its number cannot be compiled either
    assert {problem.code for problem in errors} == {code} | beside


DOUBTFUL: dict[str, tuple[Checklist, str, str]] = {
    "no leak is taught beside a leak": (
        of_items(item(passes=["no leak"], findings=[{"use": "<findings.leak>"}])),
        "one-word-apart",
        "zones[nose].items[thing].pass[0].say",
    ),
    "on and off": (
        of_items(item(passes=["cover off"], findings=[{"id": "cover-on", "say": ["cover on"]}])),
        "one-word-apart",
        "zones[nose].items[thing].pass[0].say",
    ),
    "one word more": (
        of_items(item(passes=["cap closed"], findings=[{"id": "bad", "say": ["cap closed badly"]}])),
        "one-word-apart",
        "zones[nose].items[thing].pass[0].say",
    ),
    "a defect that passes when its first word is cut off": (
        of_items(item(passes=["closed"], findings=[{"use": "<findings.open>"}])),
        "one-word-apart",
        "zones[nose].items[thing].pass[0].say",
    ),
    "a bad state that is the good one denied": (
        of_items(item(kind="indicator", states=[STATES[0], {"id": "flush", "good": False, "say": ["not proud"]}])),
        "one-word-apart",
        "zones[nose].items[thing].states[proud].say[0]",
    ),
    "a response one word from a report of a place": (
        checklist(zone("nose", item(passes=["low nose"]), spoken=["nose", "noses"])),
        "one-word-apart",
        "zones[nose].items[thing].pass[0].say",
    ),
    "the good words inside the bad": (
        of_items(item(kind="indicator", states=[STATES[0], {"id": "flush", "good": False, "say": ["hardly proud"]}])),
        "good-inside-bad",
        "zones[nose].items[thing]",
    ),
    "a response that sounds like a finding": (
        of_items(item(passes=["loos", "in place"], findings=[{"use": "<findings.loose>"}])),
        "sounds-alike",
        "zones[nose].items[thing].pass[0].say",
    ),
    "a response that a finding makes its opposite": (
        of_items(item(passes=["secure"], findings=[{"id": "free", "say": ["unsecured"]}])),
        "sounds-alike",
        "zones[nose].items[thing].pass[0].say",
    ),
    "a response in the words of a defect": (
        of_items(item(passes=["frosty"])),
        "pass-shadows-defect",
        "zones[nose].items[thing]",
    ),
    "a hold that nothing ends": (of_items(PUMP_ON, NEEDS_PUMP), "hold-not-undone", "zones[nose].items[pump-on].hold"),
    "a hold that nothing needs": (of_items(PUMP_ON, PUMP_OFF), "not-used", "zones[nose].items[pump-on].hold"),
    "a question that decides nothing": (
        of_items(item(), conditions=[{"id": "night", "ask": "Night?"}]),
        "not-used",
        "conditions[night]",
    ),
    "nothing below the low limit can be said": (
        quantity(sayable=[20, 60]),
        "no-room-beyond-limit",
        "zones[nose].items[thing].quantity.sayable",
    ),
    "nothing above the high limit can be said": (
        quantity(sayable=[0, 30]),
        "no-room-beyond-limit",
        "zones[nose].items[thing].quantity.sayable",
    ),
    "one too many cannot be said": (count(most=4), "no-room-beyond-limit", "zones[nose].items[thing].count.most"),
    "a part without a response of its own": (
        of_items(item(parts={"a": "a"}, passes=["dry"])),
        "part-not-alone",
        "zones[nose].items[thing].parts.a",
    ),
    "only checked": (of_items(item(passes=["[all] okay", "done"])), "only-checked", "zones[nose].items[thing].pass"),
    "a long short prompt": (
        of_items(item(prompt="Look at this and at that and at all of the rest of it.")),
        "long-prompt",
        "zones[nose].items[thing].prompt",
    ),
    "positions of nothing": (
        of_items(item(positions={"number": [1]})),
        "no-noun",
        "zones[nose].items[thing].positions",
    ),
}


@pytest.mark.parametrize("name", [name for name in DOUBTFUL if name != "only checked"])
def test_a_doubt_is_a_warning_and_placed(problems: Any, name: str) -> None:
    subject, code, field = DOUBTFUL[name]
    found = problems(subject)
    assert (code, field) in [(problem.code, problem.field) for problem in found]
    one_word_more = name in {  # "hardly", "nose", and an everyday "not"
        "the good words inside the bad",
        "a response in the words of a defect",
        "a response that a finding makes its opposite",
    }
    beside = {"one-word-apart"} if one_word_more else set[str]()
    assert {(problem.code, problem.level) for problem in found} <= {(one, "warning") for one in {code} | beside}


def test_a_slip_in_a_rules_name_is_told_with_the_rule_that_is_meant(problems: Any) -> None:
    (problem,) = problems(of_items(item(findings=[{"use": "<findings.flat>"}])))
    assert problem.message.endswith("the grammar 'findings' has no rule <flat>; did you mean <findings.flat_spot>?")


def test_responses_that_state_nothing(problems: Any) -> None:
    """A response states the status, not just "checked": NASA CR-177549, appendix A (4), as the project quotes it."""
    assert codes(problems(of_items(item(passes=["okay", "[it is] done"])))) == []  # "it is done" says more words
    assert codes(problems(of_items(item(passes=["okay", "done | ok"])))) == ["only-checked"]


class TestUnknownWords:
    @pytest.fixture
    def known(self) -> set[str]:
        return {"dry", "latch", "latches", "un", "latched", "clear", "nose", "wing"}

    def found(self, grammars: Grammars, known: set[str], **fields: Any) -> list[Problem]:
        """Only those of the checklist itself: the made-up model knows few words of the grammars."""
        found = check(of_items(item(**fields)), grammars, known.__contains__, pronounce)
        return [problem for problem in found if problem.code == "unknown-word" and problem.where]

    def test_a_word_is_named_with_its_phrase_and_place(self, grammars: Grammars, known: set[str]) -> None:
        (problem,) = self.found(grammars, known, passes=["dry", "[latch] grommeted"])
        assert problem.level == "error"
        assert problem.field == "zones[nose].items[thing].pass[1].say"
        assert problem.message == "the speech model does not know the word 'grommeted' of '[latch] grommeted'"

    def test_in_the_name_of_an_item_it_is_a_warning_unless_it_is_named_otherwise(
        self, grammars: Grammars, known: set[str]
    ) -> None:
        def names(**fields: Any) -> list[tuple[str, str]]:
            found = check(of_items(item(**fields)), grammars, known.__contains__, pronounce)
            return [(one.level, one.field) for one in found if one.code == "unknown-name"]

        assert names(name="nose grommet") == [("warning", "zones[nose].items[thing].name")]
        assert names(name="nose grommet", spoken=["nose latch"]) == names(name="nose latch") == []

    def test_a_known_spelling_is_offered(self, grammars: Grammars, known: set[str]) -> None:
        (problem,) = self.found(grammars, known, passes=["dry", "latchs"])
        assert problem.hint == "say 'latches' or 'latch'"
        (problem,) = self.found(grammars, known, passes=["dry", "grommeted"])
        assert problem.hint == "choose another word"

    def test_the_lexicon_and_american_spelling_count(self, grammars: Grammars, known: set[str]) -> None:
        assert self.found(grammars, known | {"na", "sell", "tire"}, passes=["nacelle dry", "tyre dry"]) == []

    def test_every_word_of_a_phrase_is_looked_at_in_every_field(self, grammars: Grammars, known: set[str]) -> None:
        fields = {
            "kind": "quantity",
            "quantity": {**PRESSURE, "called": "[zyx] wvu", "spoken_unit": "tsr"},
            "findings": [{"id": "bad", "say": ["qpo"]}],
            "called": "nml",
        }
        words = {problem.message.split("'")[1] for problem in self.found(grammars, known, **fields)}
        assert words == {"zyx", "wvu", "tsr", "qpo", "nml"}

    def test_words_of_the_grammars_are_named_without_a_line(self, grammars: Grammars) -> None:
        found = check(of_items(item()), grammars, lambda word: word != "scorched", pronounce)
        assert {problem.where for problem in found} == {()}
        assert {"<findings.burn>", "<findings.any>"} <= {problem.message.split("'")[3] for problem in found}


@pytest.mark.parametrize(
    ("one", "other", "words"),
    [
        ("no leak", "leak", ("no", "")),
        ("cover off", "cover on", ("off", "on")),
        ("tyres good", "left tyres good", ("", "left")),
        ("dry", "low", None),  # nothing in common
        ("tyres good", "tyre low", None),  # two words
        ("dry", "dry", None),
    ],
)
def test_the_word_that_differs(one: str, other: str, words: tuple[str, str] | None) -> None:
    assert differing_word(one.split(), other.split()) == words


@pytest.mark.parametrize(
    ("good", "bad", "is_taught", "expected"),
    [
        ("no", "", True, True),
        ("no", "", False, False),
        ("no", "fuel", True, True),
        ("off", "on", False, True),
        ("closed", "close", False, True),
        ("good", "worn", False, False),
        ("", "badly", False, True),
        ("", "not", False, True),
        ("all", "not", True, False),
    ],
)
def test_what_is_mistakable(good: str, bad: str, is_taught: bool, expected: bool) -> None:
    assert mistakable(good, bad, pronounce, is_taught=is_taught) is expected


def test_errors_come_first(problems: Any) -> None:
    found = problems(of_items(item(passes=["(dry"], prompt="word " * 20)))
    assert [problem.level for problem in found] == ["error", "warning"]


@pytest.mark.parametrize("path", sorted((ROOT / "checklists").glob("*.yaml")), ids=lambda path: path.name)
def test_the_shipped_checklists_have_no_problem(path: Path, grammars: Grammars, recogniser: VoskRecogniser) -> None:
    """Every word is looked up in the real speech model."""
    source = read(path)
    problems = check(source.checklist, grammars, recogniser.knows, pronounce)
    assert [str(problem) for problem in source.placed(problems)] == []
