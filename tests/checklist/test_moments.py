"""What can be said at the moments that are not an item."""

import pytest

from handsfree.checklist.models import Checklist
from handsfree.checklist.moments import spelled
from handsfree.checklist.phrases import Phrasebook
from handsfree.language.alphabet import spell
from handsfree.language.vocabulary import Vocabulary


def control(vocabulary: Vocabulary, words: str) -> str | None:
    parse = vocabulary.parse(words)
    return parse.clauses[0].get("control") if len(parse.clauses) == 1 else None


@pytest.mark.parametrize(("words", "meant"), [("affirm", "affirm"), ("yes", "affirm"), ("negative", "negative"),
                                              ("no", "negative"), ("say again", "say_again"), ("stand by", "stand_by"),
                                              ("roger", None), ("tyres good", None)])  # fmt: skip
def test_yes_or_no(book: Phrasebook, words: str, meant: str | None) -> None:
    assert control(book.yes_or_no(), words) == meant


def test_during_a_stand_by_only_two_things_steer(book: Phrasebook) -> None:
    meanings = {phrase.meaning.get("control") for phrase in book.stand_by().phrases}
    assert meanings == {"carry_on", "servicing_done", None}


def test_something_found_elsewhere_can_be_reported_at_any_time(book: Phrasebook, small: Checklist) -> None:
    item = small.item("fuel-caps")
    at_any_time = (
        book.item(item), book.read_back(item), book.report_read_back(), book.which_one(item), book.stand_by(),
        book.place_check(), book.yes_or_no_or_report(), book.decision(),
    )  # fmt: skip
    for vocabulary in at_any_time:
        (clause,) = vocabulary.parse("fuel leak on the left wing").clauses
        assert clause.as_dict() == {"finding": "leak", "fluid": "fuel", "place": "left-wing"}


def test_the_questions_of_the_opening_take_no_report(book: Phrasebook) -> None:
    assert book.yes_or_no().parse("fuel leak left wing").clauses == ()


def test_a_note_can_be_spoken_before_a_read_back_is_answered(book: Phrasebook, small: Checklist) -> None:
    item = small.item("fuel-caps")
    for vocabulary in (book.read_back(item), book.report_read_back(), book.which_one(item)):
        assert control(vocabulary, "voice note") == "voice_note"


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("I accept", "decision_accepted"),
        ("I do not accept", "decision_rejected"),
        ("refer to maintenance", "decision_maintenance"),
        ("no decision", "no_decision"),
        ("affirm", None),
    ],
)
def test_the_persons_own_decision(book: Phrasebook, words: str, meant: str | None) -> None:
    assert control(book.decision(), words) == meant


@pytest.mark.parametrize(
    ("words", "slots"),
    [
        ("left", {"side": "left"}),
        ("left outer cap", {"side": "left", "radial": "outer"}),
        ("inboard", {"radial": "inner"}),
    ],
)
def test_which_one(book: Phrasebook, small: Checklist, words: str, slots: dict[str, str]) -> None:
    (clause,) = book.which_one(small.item("fuel-caps")).parse(words).clauses
    assert clause.as_dict() == {"item": "fuel-caps", "quantity": "position", **slots}


def test_which_one_takes_a_bare_number_since_it_was_asked(book: Phrasebook, small: Checklist) -> None:
    (clause,) = book.which_one(small.item("brake-pins")).parse("two").clauses
    assert clause.as_dict() == {"item": "brake-pins", "quantity": "position", "number": "2"}


def test_which_one_takes_no_position_that_the_item_lacks(book: Phrasebook, small: Checklist) -> None:
    vocabulary = book.which_one(small.item("brake-pins"))
    assert vocabulary.parse("brake two").clauses
    assert not vocabulary.parse("brake three").clauses
    assert not vocabulary.parse("left").clauses


@pytest.mark.parametrize("registration", ["Q7KTA", "Q7AAA", "Q7XYZ", "AB123"])
def test_any_registration_of_the_length_is_understood(book: Phrasebook, registration: str) -> None:
    parse = book.registration().parse(spell(registration))
    assert not parse.ambiguous
    assert spelled(parse.clauses) == registration


@pytest.mark.parametrize("words", ["quebec seven kilo tango", "quebec seven kilo tango alfa alfa", "quebec", ""])
def test_a_registration_of_another_length_is_not(book: Phrasebook, words: str) -> None:
    assert spelled(book.registration().parse(words).clauses) is None


def test_examples_of_a_registration_fit_its_pattern_and_hold_every_letter(book: Phrasebook) -> None:
    spellings = [spelled([phrase.meaning]) for phrase in book.registration().phrases]
    listed = [text for text in spellings if text]
    assert all(text.startswith("Q7") and text[2:].isalpha() for text in listed)
    assert all({text[at] for text in listed} == set("ABCDEFGHIJKLMNOPQRSTUVWXYZ") for at in (2, 3, 4))
    assert all(len(set(text[2:])) > 1 for text in listed)  # different letters meet


@pytest.mark.parametrize(("words", "meant"), [("juliett x-ray", "JX"), ("alpha bravo charlie", "ABC"), ("alfa", None),
                                              ("alfa bravo charlie delta", None), ("one two", None)])  # fmt: skip
def test_initials_are_two_or_three_letters(book: Phrasebook, words: str, meant: str | None) -> None:
    parse = book.initials().parse(words)
    assert spelled(parse.clauses) == meant


def test_nothing_else_is_a_spelling(book: Phrasebook) -> None:
    assert spelled(book.registration().parse("say again").clauses) is None
    assert spelled([]) is None


def test_the_sound_check_hears_its_question(book: Phrasebook) -> None:
    assert control(book.sound_check(), "how do you read") == "how_do_you_read"
