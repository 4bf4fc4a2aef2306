"""What stands on a card is what can be said: one source."""

from __future__ import annotations

import pytest

from handsfree.book import Book
from handsfree.card.content import CardItem, card_zones, control_words, report_elsewhere, sayables
from handsfree.checklist.coverage import shipped
from handsfree.checklist.models import Checklist
from handsfree.walk.events import Expect
from tests.walk.conversation import kept

BOOKS = {one.id: one for one in shipped()}


@pytest.fixture(scope="module", params=BOOKS)
def book(request: pytest.FixtureRequest) -> Book:
    return kept(Book(BOOKS[request.param]))


def items(book: Book) -> dict[str, CardItem]:
    return {item.id: item for zone in card_zones(book.checklist, book.phrasebook) for item in zone.items}


def outcomes(book: Book, item: str, words: str) -> set[str]:
    parsed = book.listening.vocabulary(Expect("item", item)).parse(words)
    assert not parsed.ambiguous
    return {one.outcome for one in parsed.clauses}


def test_every_item_is_on_it_in_its_order(book: Book) -> None:
    assert list(items(book)) == [item.id for item in book.checklist.items()]


def test_every_answer_and_finding_is_understood_at_its_item(book: Book) -> None:
    for item in items(book).values():
        if item.kind not in ("quantity", "count"):
            assert outcomes(book, item.id, item.answer) == {"pass"}, (item.id, item.answer)
        for words in item.findings:
            assert outcomes(book, item.id, words) == {"finding"}, (item.id, words)


def test_every_defect_that_an_item_names_is_on_the_card(book: Book) -> None:
    """One way to say each; what a grammar lists with a fluid only once."""
    for item, shown in zip(book.checklist.items(), items(book).values(), strict=True):
        assert len(shown.findings) == len(item.finding_ids()), item.id


def test_every_phrase_of_the_sheet_is_understood_at_its_item(book: Book) -> None:
    for item, one in zip(book.checklist.items(), sayables(book.checklist, book.phrasebook), strict=True):
        vocabulary = book.listening.vocabulary(Expect("item", item.id))
        for words in one.passes:
            assert {clause.outcome for clause in vocabulary.parse(words).clauses} == {"pass"}, words
        for words in (words for ways in one.findings for words in ways):
            assert {clause.outcome for clause in vocabulary.parse(words).clauses} == {"finding"}, words


def test_control_words_are_understood_everywhere(book: Book) -> None:
    item = book.checklist.items()[0].id
    for ways in control_words(book.checklist, book.phrasebook):
        for words in ways:
            assert outcomes(book, item, words) <= {"control", "pass"}, words


def test_what_does_nothing_is_not_taught(book: Book) -> None:
    """ "Roger" is no affirm, and "checked" states nothing, but where an item takes it."""
    taught = {words for ways in control_words(book.checklist, book.phrasebook) for words in ways}
    assert "roger" not in taught
    assert ("checked" in taught) == any(item.checked_is_enough for item in book.checklist.items())
    assert "say again" in taught


def test_the_report_from_elsewhere_names_a_place_of_this_checklist(book: Book) -> None:
    words = report_elsewhere(book.checklist, book.phrasebook)
    (found,) = book.listening.vocabulary(Expect("item", book.checklist.items()[0].id)).parse(words).clauses
    assert (found.outcome, found.get("finding")) == ("finding", "leak")
    places = {one.id for one in (*book.checklist.zones, *book.checklist.places)}
    assert found.get("place") in places - {book.checklist.zones[0].id}


def of(checklist: Checklist, item: str) -> CardItem:
    return items(Book(checklist))[item]


def test_what_a_card_says_of_numbers_holds_and_conditions() -> None:
    twin, jet = BOOKS["twin-turboprop"], BOOKS["twin-jet"]
    strut = of(twin, "nose-strut")
    assert (strut.answer, strut.note) == ("8 to 16 centimetres", "example value: use your aircraft's manual")
    assert of(twin, "covers-counted").answer == "8 covers"
    assert of(twin, "lights-on").only_if == "night"
    assert of(jet, "ground-crew").asks == "Ask the ground crew: people and equipment clear of all that moves"
    undo = jet.item("hydraulics-off")
    assert of(jet, "hydraulics-off").asks.startswith(f"{undo.prompt} (It ends: parking brake set")
    assert of(jet, "right-tyres").which == "tyre 5, 6, 7, 8"
    assert of(jet, "right-flaps").needs.startswith("parking brake set")
