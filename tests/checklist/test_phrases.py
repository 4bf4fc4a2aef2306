"""What can be said at an item, and what it means there."""

import time
from typing import Any

import pytest

from handsfree.checklist.models import Checklist, Item
from handsfree.checklist.phrases import Phrasebook
from handsfree.checklist.problems import ChecklistError
from handsfree.language.grammars import Grammars
from handsfree.language.meaning import Meaning, Outcome, overall_outcome
from tests.checklist.written import item, of_items, zone

MOST_LISTED = 600
"""Phrases in an item's recogniser list, numbers apart."""
MOST_SECONDS = 0.12
"""Processor time to make an item's vocabulary, on average over the shipped checklist."""


def meant(book: Phrasebook, checklist: Checklist, item_id: str, words: str) -> Meaning | None:
    """The one clause that the words mean at an item; None when they mean nothing or are ambiguous."""
    parse = book.item(checklist.item(item_id)).parse(words)
    return parse.clauses[0] if len(parse.clauses) == 1 and not parse.ambiguous else None


def book_of(grammars: Grammars, **fields: Any) -> tuple[Phrasebook, Item]:
    checklist = of_items(item(**fields))
    return Phrasebook(checklist, grammars), checklist.items()[0]


WORDS: list[tuple[str, str, tuple[Outcome, dict[str, str]] | None]] = [
    ("pitot-covers", "covers off", ("pass", {})),
    ("pitot-covers", "both covers are removed", ("pass", {})),
    ("nose-gear", "nose gear serviceable", ("pass", {})),
    ("nose-gear", "tyres good", ("pass", {"covers": "tyres"})),
    ("nose-gear", "dry", ("pass", {"covers": "leaks"})),
    # findings, alone and with positions on either side
    ("nose-gear", "cut", ("finding", {"finding": "cut"})),
    ("nose-gear", "cut on tyre two", ("finding", {"finding": "cut", "number": "2"})),
    ("nose-gear", "cut on the nose tyre number two", ("finding", {"finding": "cut", "number": "2"})),
    ("nose-gear", "tyre two cut", ("finding", {"finding": "cut", "number": "2"})),
    ("nose-gear", "cut number two", ("finding", {"finding": "cut", "number": "2"})),
    ("nose-gear", "tire two cut", ("finding", {"finding": "cut", "number": "2"})),  # American
    ("nose-gear", "cut on the tyre", ("finding", {"finding": "cut"})),
    ("nose-gear", "hydraulic leak", ("finding", {"finding": "leak", "fluid": "hydraulic"})),
    ("pitot-covers", "left cover on", ("finding", {"finding": "cover-on", "side": "left"})),
    ("pitot-covers", "left pitot blocked", ("finding", {"finding": "blocked", "side": "left"})),
    (
        "fuel-caps",
        "cap open on the left outer cap",
        ("finding", {"finding": "cap-open", "side": "left", "radial": "outer"}),
    ),
    ("fuel-caps", "inboard cap missing", ("finding", {"finding": "missing", "radial": "inner"})),
    # an indicator: words mean what this item says
    ("fire-disc", "disc red", ("pass", {"state": "present"})),
    ("fire-disc", "disc gone", ("finding", {"finding": "gone"})),
    ("brake-pins", "pin flush on brake two", ("finding", {"finding": "flush", "number": "2"})),
    # everyday defects, below the item's own words
    ("nose-gear", "unserviceable", ("finding", {"finding": "something-wrong"})),
    ("nose-gear", "crack on tyre one", ("finding", {"finding": "crack", "number": "1"})),
    ("fire-disc", "damaged", ("finding", {"finding": "damage"})),
    ("fire-disc", "loose", None),  # an indicator says itself what is bad
    # a bare "checked" passes only where the checklist says so (NASA CR-177549)
    ("taxi-light", "checked", ("pass", {"control": "checked"})),
]


@pytest.mark.parametrize(("at", "words", "wanted"), WORDS)
def test_words_at_an_item(
    book: Phrasebook, small: Checklist, at: str, words: str, wanted: tuple[Outcome, dict[str, str]] | None
) -> None:
    meaning = meant(book, small, at, words)
    assert meaning == (None if wanted is None else Meaning.of(wanted[0], wanted[1], item=at))


def test_a_bare_checked_is_a_control_word_where_a_status_is_wanted(book: Phrasebook, small: Checklist) -> None:
    assert meant(book, small, "nose-gear", "checked") == Meaning.of("control", control="checked")


@pytest.mark.parametrize("item_id", ["nose-gear", "fire-disc", "tyre-pressure", "pressure-on", "covers-in-hand"])
def test_control_words_and_reports_of_other_places_are_understood_everywhere(
    book: Phrasebook, small: Checklist, item_id: str
) -> None:
    assert meant(book, small, item_id, "say again") == Meaning.of("control", control="say_again")
    wanted = Meaning.of("finding", finding="leak", fluid="fuel", place="left-wing")
    for words in ("fuel leak left wing", "fuel leak on the left wing", "report fuel leak at left wing"):
        assert meant(book, small, item_id, words) == wanted


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("one eight five", "185"),
        ("tyre pressure one eight five", "185"),
        ("one hundred eighty five p s i", "185"),
        ("pressure 240", "240"),
        ("niner niner", None),  # below what can be spoken here
    ],
)
def test_a_quantity(book: Phrasebook, small: Checklist, words: str, value: str | None) -> None:
    meaning = meant(book, small, "tyre-pressure", words)
    slots = {"item": "tyre-pressure", "quantity": "tyre-pressure", "unit": "psi"}
    assert meaning == (Meaning.of("value", slots, value=value) if value else None)


@pytest.mark.parametrize("words", ["four", "four covers", "4"])
def test_a_count(book: Phrasebook, small: Checklist, words: str) -> None:
    slots = {"item": "covers-in-hand", "quantity": "count", "unit": "covers", "value": "4"}
    assert meant(book, small, "covers-in-hand", words) == Meaning.of("value", slots)


def test_several_things_in_one_breath(book: Phrasebook, small: Checklist) -> None:
    parse = book.item(small.item("nose-gear")).parse("no leaks, tyres good and cut on tyre two")
    assert [meaning.outcome for meaning in parse.clauses] == ["pass", "pass", "finding"]
    assert overall_outcome(parse.clauses) == "finding"


class TestDenials:
    """A "not" before a pass must be heard as such: a recogniser without it in the list would drop it and pass."""

    @pytest.mark.parametrize("words", ["not removed", "pin not removed", "not pin removed", "pin is not removed"])
    def test_a_denied_pass_is_a_finding(self, grammars: Grammars, words: str) -> None:
        book, pin = book_of(grammars, passes=["[pin] [is] removed"])
        meaning = Meaning.of("finding", item="thing", finding="something-wrong")
        assert book.item(pin).parse(words).clauses == (meaning,)

    def test_the_denied_words_are_listed_for_the_recogniser(self, grammars: Grammars) -> None:
        book, pin = book_of(grammars, passes=["pin removed"])
        assert {"not pin removed", "pin not removed"} < set(book.item(pin).recogniser_list())

    def test_the_good_state_of_an_indicator_can_be_denied(self, grammars: Grammars) -> None:
        states = [{"id": "proud", "good": True, "say": ["proud"]}, {"id": "flush", "good": False, "say": ["flush"]}]
        book, pin = book_of(grammars, kind="indicator", states=states)
        assert book.item(pin).parse("not proud").clauses[0].outcome == "finding"

    def test_what_the_item_itself_says_of_the_denied_words_counts(self, grammars: Grammars) -> None:
        finding = {"id": "pin-in", "say": ["pin not removed"]}
        book, pin = book_of(grammars, passes=["pin removed"], findings=[finding])
        assert book.item(pin).parse("pin not removed").clauses == (
            Meaning.of("finding", item="thing", finding="pin-in"),
        )

    def test_a_response_that_is_a_negation_is_denied_by_leaving_it_out(self, grammars: Grammars) -> None:
        book, pin = book_of(grammars, passes=["no flag showing"])
        assert book.item(pin).parse("flag showing").clauses[0].outcome == "finding"

    def test_no_leak_denied_is_the_leak(self, grammars: Grammars) -> None:
        book, leg = book_of(grammars, passes=["no (leak | leaks)"])
        assert book.item(leg).parse("leak").clauses[0].get("finding") == "leak"
        assert book.item(leg).parse("leaks").clauses[0].outcome == "finding"

    def test_no_denied_response_of_the_shipped_checklist_passes(self, twin: Checklist, grammars: Grammars) -> None:
        book = Phrasebook(twin, grammars)
        for one in twin.items():
            vocabulary = book.item(one)
            for phrase in book.own_phrases(one):
                if phrase.meaning.outcome == "pass" and not phrase.text.startswith("no "):
                    parse = vocabulary.parse(f"not {phrase.text}")
                    assert overall_outcome(parse.clauses) == "finding", (one.id, phrase.text)


def test_after_a_read_back_the_item_may_be_answered_anew(book: Phrasebook, small: Checklist) -> None:
    vocabulary = book.read_back(small.item("nose-gear"))
    assert vocabulary.parse("negative, worn on tyre one").clauses[1].get("finding") == "worn"
    assert vocabulary.parse("affirm").clauses == (Meaning.of("control", control="affirm"),)


def test_own_general_control_and_everywhere_phrases_can_be_had_apart(book: Phrasebook, small: Checklist) -> None:
    gear = small.item("nose-gear")
    own = [phrase.text for phrase in book.own_phrases(gear)]
    assert own[:2] == ["tyres good", "tyres serviceable"]  # passes first
    assert "cut on tyre two" in own
    general = {phrase.text for phrase in book.general_phrases(gear)}
    assert "unserviceable" in general
    assert not general & set(own)
    assert {phrase.meaning.outcome for phrase in book.control_phrases()} == {"control"}
    assert all(phrase.meaning.get("place") for phrase in book.everywhere_phrases())


def test_the_recogniser_hears_of_every_word_that_the_parser_understands(book: Phrasebook, small: Checklist) -> None:
    for one in small.items():
        vocabulary = book.item(one)
        listed = {word for phrase in vocabulary.recogniser_list() for word in phrase.split()}
        for words in ("on", "at", "in", "the", "report", "left", "wing", "tail", "unserviceable"):
            assert words in listed, one.id
        if one.positions.number:
            assert {"number", "one", "two"} <= listed


@pytest.mark.parametrize("which", ["small", "twin"])
def test_every_listed_phrase_means_at_its_item_what_the_list_says(
    which: str, grammars: Grammars, request: pytest.FixtureRequest
) -> None:
    checklist: Checklist = request.getfixturevalue(which)
    book = Phrasebook(checklist, grammars)
    for one in checklist.items():
        vocabulary = book.item(one)
        for phrase in vocabulary.phrases:
            if phrase.meaning.outcome != "value":
                assert vocabulary.parse(phrase.text).clauses == (phrase.meaning,), (one.id, phrase.text)


def test_lists_are_short_and_quickly_made(twin: Checklist, grammars: Grammars) -> None:
    book = Phrasebook(twin, grammars)
    began = time.process_time()
    vocabularies = {one.id: book.item(one) for one in twin.items()}
    seconds = (time.process_time() - began) / len(vocabularies)
    for name, vocabulary in vocabularies.items():
        listed = {phrase.heard_as for phrase in vocabulary.phrases if phrase.meaning.outcome != "value"}
        assert len(listed) <= MOST_LISTED, name
    assert seconds < MOST_SECONDS


def test_a_phrase_that_cannot_be_used_is_an_error_that_names_the_item(grammars: Grammars) -> None:
    book, thing = book_of(grammars, passes=["(dry"])
    with pytest.raises(ChecklistError, match="item 'thing'"):
        book.item(thing)


def test_places_whose_names_cannot_be_used_are_an_error(grammars: Grammars) -> None:
    checklist = of_items(item())
    broken = checklist.model_copy(update={"zones": (checklist.zones[0].model_copy(update={"spoken": ("(nose",)}),)})
    with pytest.raises(ChecklistError, match="the zones' and places' names"):
        Phrasebook(broken, grammars)
    assert zone("nose")["spoken"] == ["nose"]
