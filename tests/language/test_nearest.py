"""What looks alike, and what must not be taken for each other."""

import pytest

from handsfree.language.grammars import Grammars
from handsfree.language.nearest import blocked_by
from handsfree.language.vocabulary import Entry, Vocabulary


@pytest.fixture(scope="module")
def vocabulary(grammars: Grammars) -> Vocabulary:
    def entry(text: str, **slots: str) -> Entry:
        return Entry(grammars.expansion(text), "finding", tuple(slots.items()))

    return Vocabulary.build(
        [
            entry("[the] tyres serviceable", finding="good"),
            entry("checked", finding="checked"),
            entry("cut on tyre (one {number=1} | two {number=2})", finding="cut"),
            entry("corrosion on the hinge", finding="corrosion"),
            entry("crack in the bracket", finding="crack"),
            entry("cracks in a bracket", finding="cracks"),
        ]
    )


def test_the_nearest_come_best_first_and_not_more_than_asked_for(vocabulary: Vocabulary) -> None:
    near = vocabulary.nearest("corrosion on hinge", limit=2)
    assert near[0].phrase.text == "corrosion on the hinge"
    assert near[0].blocked == ""
    assert [one.score for one in near] == sorted((one.score for one in near), reverse=True)
    assert len(vocabulary.nearest("tyres serviceable", limit=1)) == 1


def test_another_way_to_say_the_same_is_no_rival(vocabulary: Vocabulary) -> None:
    assert vocabulary.nearest("tyre serviceable")[0].blocked == ""


def test_a_match_without_margin_over_another_meaning_is_blocked(vocabulary: Vocabulary) -> None:
    assert "about as near" in vocabulary.nearest("cracks in the bracket")[0].blocked


@pytest.mark.parametrize("words", ["", "   ", "...", "zzz"])
def test_nothing_is_near_to_nothing(vocabulary: Vocabulary, words: str) -> None:
    assert vocabulary.nearest(words) == ()


@pytest.mark.parametrize(
    ("ours", "theirs", "reason"),
    [
        ("leak", "no leak", "negated"),
        ("not latched", "latched", "negated"),
        ("un latched", "latched", "negated"),
        ("never checked", "checked", "negated"),
        ("without damage", "damage", "negated"),
        ("isn't secure", "secure", "negated"),
        ("insecure", "secure", "negated"),
        ("disconnected", "connected", "negated"),
        ("cut on left tire", "cut on right tire", "sides"),
        ("cut on tire", "cut on left tire", "sides"),
        ("inner tire cut", "outer tire cut", "sides"),
        ("cut on tire one", "cut on tire two", "numbers"),
        ("cut on tire", "cut on tire two", "numbers"),
        ("one eight five", "one nine five", "numbers"),
        ("one five eight", "one eight five", "numbers"),
    ],
)
def test_a_negation_a_side_or_a_number_blocks(ours: str, theirs: str, reason: str) -> None:
    assert reason in blocked_by(ours, theirs)
    assert reason in blocked_by(theirs, ours)


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        ("leaks", "leak"),
        ("no leaks", "no leak"),
        ("inboard tire cut", "inner tire cut"),
        ("niner five", "nine five"),
        ("fluid under wing", "fluid under the wing"),
    ],
)
def test_the_rest_does_not(ours: str, theirs: str) -> None:
    assert blocked_by(ours, theirs) == ""
