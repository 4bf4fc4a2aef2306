"""All that can be said at one moment: strict meaning, listing, growth."""

from decimal import Decimal

import pytest

from handsfree.language.errors import GrammarError, VocabularyError
from handsfree.language.grammars import Grammars
from handsfree.language.meaning import Meaning
from handsfree.language.numbers import Form
from handsfree.language.vocabulary import Entry, NumberEntry, Vocabulary

ITEM = (("item", "tyres"),)
GOOD = Meaning.of("pass", item="tyres")
DRY = Meaning.of("pass", item="tyres", covers="leaks")


def pressure(
    grammars: Grammars, low: str = "0", high: str = "300", step: str = "1", form: Form = "number"
) -> NumberEntry:
    return NumberEntry(
        before=grammars.expansion("[tyre] pressure"),
        after=grammars.expansion("psi"),
        low=Decimal(low),
        high=Decimal(high),
        step=Decimal(step),
        form=form,
        slots=(*ITEM, ("quantity", "pressure"), ("unit", "psi")),
    )


def value(figures: str) -> Meaning:
    return Meaning.of("value", item="tyres", quantity="pressure", unit="psi", value=figures)


def finding(name: str, **more: str) -> Meaning:
    return Meaning.of("finding", {"item": "tyres", "finding": name}, **more)


@pytest.fixture(scope="module")
def tyres(grammars: Grammars) -> Vocabulary:
    pattern = grammars.expansion
    return Vocabulary.build(
        [
            Entry(pattern("[the] tyres (good | serviceable)"), "pass", ITEM),
            Entry(pattern("no (leak | leaks)"), "pass", (*ITEM, ("covers", "leaks"))),
            Entry(pattern("<findings.cut> [on] tyre (<positions.n1> | <positions.n2>)"), "finding", ITEM),
            Entry(pattern("<findings.cut>"), "finding", ITEM),
            Entry(pattern("low {finding=flat}"), "finding", ITEM),
            Entry(pattern("<findings.general>"), "finding", ITEM, rank=1),
            Entry(pattern("<findings.low>"), "finding", ITEM, rank=1),
            Entry(pattern("<control.any>"), "control"),
            Entry(pattern("<findings.leak> [on the] right wing {zone=right-wing}"), "finding", rank=2),
        ],
        [pressure(grammars)],
    )


@pytest.mark.parametrize(
    ("words", "clauses"),
    [
        ("tyres good", [GOOD]),
        ("The tires, serviceable.", [GOOD]),
        ("cut on tire two", [finding("cut", number="2")]),
        ("cut tyre 2", [finding("cut", number="2")]),
        ("no leaks tires good and cut on tire two", [DRY, GOOD, finding("cut", number="2")]),
        ("no leaks, but cut", [DRY, finding("cut")]),
        ("leak leak", [finding("leak")]),
        ("fuel leak right wing", [Meaning.of("finding", finding="leak", fluid="fuel", zone="right-wing")]),
        ("correction cut", [Meaning.of("control", control="correction"), finding("cut")]),
        ("one hundred and eighty-five", [value("185")]),
        ("tyre pressure one eight fife psi", [value("185")]),
        ("pressure 60 psi", [value("60")]),
        ("five five", [value("55")]),
        ("sixty and cut", [value("60"), finding("cut")]),
    ],
)
def test_whole_utterances_have_a_meaning(tyres: Vocabulary, words: str, clauses: list[Meaning]) -> None:
    parse = tyres.parse(words)
    assert list(parse.clauses) == clauses
    assert not parse.ambiguous


@pytest.mark.parametrize(
    "words",
    [
        *("", "and", "tyres", "not tyres good", "tyres not good enough", "unserviceable tyres", "cut on tyre three"),
        *("tyres good and", "and tyres good", "tyres good and and cut", "no", "leak no", "not checked", "checked not"),
        *("three five zero", "one ten", "sixty and seventy", "pressure", "psi sixty", "pressure 5-10"),
    ],
)
def test_anything_else_has_none(tyres: Vocabulary, words: str) -> None:
    parse = tyres.parse(words)
    assert (parse.clauses, parse.text, parse.ambiguous) == ((), words, False)


def test_the_text_is_in_the_author_s_spelling(tyres: Vocabulary) -> None:
    assert tyres.parse("no leaks tires good").text == "no leaks, tyres good"


def test_an_item_s_own_words_shadow_general_ones_and_only_the_same_words(tyres: Vocabulary) -> None:
    assert tyres.parse("low").clauses == (finding("flat"),)
    assert tyres.parse("too low").clauses == (finding("low"),)
    assert [phrase.meaning for phrase in tyres.phrases if phrase.text == "low"] == [finding("flat")]


def test_the_same_words_at_the_same_rank_are_ambiguous_and_both_are_kept(grammars: Grammars) -> None:
    both = Vocabulary.build(
        [
            Entry(grammars.expansion("red"), "pass", (("state", "seen"),)),
            Entry(grammars.expansion("red"), "finding", (("finding", "seen"),)),
        ]
    )
    parse = both.parse("red")
    assert parse.ambiguous
    assert {parse.clauses, *parse.others} == {
        (Meaning.of("pass", state="seen"),),
        (Meaning.of("finding", finding="seen"),),
    }
    assert len(both.phrases) == 2
    assert both.recogniser_list() == ("red",)


def test_an_utterance_that_can_be_cut_up_in_two_ways_is_ambiguous(grammars: Grammars) -> None:
    pattern = grammars.expansion
    words = Vocabulary.build(
        [
            Entry(pattern("oil leak [left]"), "finding", (("finding", "leak"),)),
            Entry(pattern("[left] cut"), "finding", (("finding", "cut"),)),
            Entry(pattern("oil leak left {side=left}"), "finding", (("finding", "leak"),)),
        ]
    )
    assert words.parse("oil leak left cut").ambiguous
    assert not words.parse("oil leak cut").ambiguous


def test_phrases_are_listed_in_order_without_doubles_and_each_is_understood(tyres: Vocabulary) -> None:
    assert [phrase.text for phrase in tyres.phrases[:5]] == [
        *("tyres good", "tyres serviceable", "the tyres good", "the tyres serviceable", "no leak"),
    ]
    assert len(set(tyres.recogniser_list())) == len(tyres.phrases)
    for phrase in tyres.phrases:
        assert tyres.parse(phrase.heard_as).clauses == (phrase.meaning,), phrase
    for phrase in tyres.phrases[::20]:
        assert tyres.parse(phrase.text.upper()).clauses == (phrase.meaning,), phrase


def test_an_unlisted_entry_is_understood_but_not_listed(grammars: Grammars) -> None:
    pattern = grammars.expansion
    reports = Vocabulary.build(
        [
            Entry(
                pattern("<findings.any> [<positions.side>] [<positions.number>] [<positions.radial>]"),
                "finding",
                listed=False,
            ),
            Entry(pattern("cut {finding=gash}"), "finding"),
        ]
    )
    assert reports.recogniser_list() == ("cut",)
    assert reports.parse("fuel leak left two").clauses == (
        Meaning.of("finding", finding="leak", fluid="fuel", side="left", number="2"),
    )
    assert reports.parse("cut").ambiguous


def test_a_clash_in_an_unlisted_entry_means_nothing(grammars: Grammars) -> None:
    sides = Vocabulary.build([Entry(grammars.expansion("<positions.side> <positions.side>"), "finding", listed=False)])
    assert sides.parse("left left").clauses == (Meaning.of("finding", side="left"),)
    assert sides.parse("left right").clauses == ()


def test_every_number_of_the_range_is_listed_in_both_dialects(tyres: Vocabulary) -> None:
    listed = set(tyres.recogniser_list())
    assert {"one eight five", "one hundred eighty five", "one hundred and eighty five", "six zero", "sixty"} <= listed
    assert {"zero", "three hundred", "tire pressure one eight five psi", "pressure sixty"} <= listed
    assert "three zero one" not in listed


@pytest.mark.parametrize(
    ("words", "grows"),
    [
        ("", True),
        ("tyres", True),
        ("tyres good", False),
        ("cut", True),
        ("cut on tyre two", False),
        ("no leaks and", True),
        ("no leaks cut", True),
        ("no leaks tyres good", False),
        ("and", False),
        ("nonsense", False),
        ("one eight", True),
        ("one eight five", True),  # psi
        ("pressure one eight five psi", False),
        ("sixty", True),
    ],
)
def test_words_can_grow_when_their_last_clause_can(tyres: Vocabulary, words: str, grows: bool) -> None:
    assert tyres.can_grow(words) == grows


def test_parts_of_full_are_values(grammars: Grammars) -> None:
    oil = Vocabulary.build([], [pressure(grammars, "0", "1", "0.25", "fraction")])
    assert oil.parse("three quarters").clauses == (value("0.75"),)
    assert oil.parse("full").clauses == (value("1"),)
    assert oil.parse("five eighths").clauses == ()


def test_a_number_beside_the_step_is_not_understood(grammars: Grammars) -> None:
    halves = Vocabulary.build([], [pressure(grammars, "0", "10", "0.5")])
    assert halves.parse("two point five").clauses == (value("2.5"),)
    assert halves.parse("two point four").clauses == ()


def test_figures_said_one_by_one_are_one_number(grammars: Grammars) -> None:
    which = Vocabulary.build([Entry(grammars.expansion("<positions.number>"), "finding")])
    assert which.parse("one two").clauses == (Meaning.of("finding", number="12"),)
    assert not which.parse("one two").ambiguous
    assert len(which.parse("one and two").clauses) == 2


def test_one_reading_never_holds_the_same_quantity_twice(tyres: Vocabulary) -> None:
    assert tyres.parse("one eight five").clauses == (value("185"),)
    assert tyres.parse("sixty seventy").clauses == ()


@pytest.mark.parametrize(
    ("text", "slots", "part"),
    [
        ("left {side=left} right {side=right}", (), "'left right' would give the slot 'side' two values"),
        ("cut {finding=cut}", (("finding", "leak"),), "'cut' would give the slot 'finding' two values"),
        ("[the]", (), "without a word"),
        ("<VOID>", (), "never be said"),
    ],
)
def test_entries_that_cannot_work_are_refused(
    grammars: Grammars, text: str, slots: tuple[tuple[str, str], ...], part: str
) -> None:
    with pytest.raises(VocabularyError, match=part):
        Vocabulary.build([Entry(grammars.expansion(text), "finding", slots)])


@pytest.mark.parametrize(
    ("steps", "form", "part"),
    [
        (("0", "10", "0"), "number", "in steps of 0"),
        (("10", "0", "1"), "number", "from 10 to 0"),
        (("-1", "1", "1"), "number", "from -1"),
        (("0", "99999", "1"), "number", "more than"),
        (("0.3", "0.3", "0.1"), "fraction", "has a name"),
    ],
)
def test_ranges_that_cannot_work_are_refused(
    grammars: Grammars, steps: tuple[str, str, str], form: Form, part: str
) -> None:
    low, high, step = steps
    with pytest.raises(VocabularyError, match=part):
        Vocabulary.build([], [pressure(grammars, low, high, step, form)])


def test_a_number_whose_slot_is_given_already_is_refused(grammars: Grammars) -> None:
    twice = NumberEntry(None, grammars.expansion("high {value=9}"), Decimal(1), Decimal(2), Decimal(1), "number")
    with pytest.raises(VocabularyError, match="slot 'value'"):
        Vocabulary.build([], [twice])


def test_a_pattern_with_too_many_phrases_is_refused(grammars: Grammars) -> None:
    with pytest.raises(GrammarError, match="ways to say it"):
        Vocabulary.build([Entry(grammars.expansion("<numbers.whole>"), "value")])
