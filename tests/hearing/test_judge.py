"""What was meant, from readings and their scores."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.judge import judge
from handsfree.hearing.recogniser import Hypothesis
from handsfree.hearing.settings import JudgeSettings
from handsfree.language.grammars import Grammars
from handsfree.language.heard import Heard
from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Entry, Vocabulary
from tests.support.words import tyres

SETTINGS = JudgeSettings()


def judged(*readings: tuple[str, float]) -> Heard:
    return judge([Hypothesis(words, score) for words, score in readings], tyres(), SETTINGS)


def test_a_whole_phrase_far_above_all_else_passes() -> None:
    heard = judged(("tires good", 100.0), ("tires", 90.0), ("cut", 80.0))
    assert heard.outcome == "pass"
    assert heard.said == "tyres good"
    assert heard.meanings == (Meaning.of("pass", item="tyres"),)
    assert heard.confidence > 0.99
    assert [other.words for other in heard.alternatives] == ["tires", "cut"]


@pytest.mark.parametrize("rival", ["fuel leak", "leak", "negative"])
def test_a_pass_is_asked_about_when_something_that_means_otherwise_is_close(rival: str) -> None:
    just_enough = SETTINGS.pass_margin
    assert judged(("no leak", 100.0), (rival, 100.0 - just_enough - 0.1)).outcome == "pass"
    close = judged(("no leak", 100.0), (rival, 100.0 - just_enough + 0.1))
    assert close.outcome == "ask"
    assert len(close.meanings) == 2
    assert rival in close.why


def test_another_way_to_say_the_same_is_no_rival() -> None:
    heard = judged(("cut on tire two", 100.0), ("cuts on tire two", 99.9), ("gash tire two", 99.8))
    assert heard.outcome == "finding"
    assert heard.meanings[0].get("number") == "2"


@pytest.mark.parametrize("top", ["no tires", "leak no", "good"])
def test_a_pass_never_comes_from_below_the_top(top: str) -> None:
    heard = judged((top, 100.0), ("tires good", 99.99))
    assert heard.outcome == "ask"
    assert Meaning.of("pass", item="tyres") in heard.meanings


def test_a_finding_may_come_from_a_reading_close_to_a_top_that_means_nothing() -> None:
    assert judged(("on tire two", 100.0), ("cut on tire two", 100.0 - SETTINGS.near + 0.1)).outcome == "finding"
    assert judged(("on tire two", 100.0), ("cut on tire two", 100.0 - SETTINGS.near - 0.1)).outcome == "ask"


@pytest.mark.parametrize("stranger", ["[unk] tire two", ""])
def test_but_not_when_unknown_words_or_none_are_as_likely(stranger: str) -> None:
    heard = judged(("on tire two", 100.0), ("cut on tire two", 99.0), (stranger, 98.0))
    assert heard.outcome == "ask"


@pytest.mark.parametrize(
    ("one", "other"),
    [("cut on tire two", "cut on tire three"), ("worn left", "worn right"), ("leak", "no leak"), ("worn", "worn left")],
    ids=["number", "side", "negation", "position"],
)
def test_a_number_a_side_or_a_negation_in_doubt_is_asked_about(one: str, other: str) -> None:
    heard = judged((one, 100.0), (other, 99.5))
    assert heard.outcome == "ask"
    assert len(heard.meanings) == 2


def test_one_unknown_word_beside_a_defect_is_asked_about() -> None:
    """ "Massive leak": a word that no list foresees must not take the defect with it."""
    heard = judged(("[unk] leak", 100.0), ("dry", 90.0))
    assert heard.outcome == "ask"
    assert [meaning.outcome for meaning in heard.meanings] == ["finding"]


@pytest.mark.parametrize("words", ["[unk]", "[unk] [unk]", "[unk] [unk] leak", "the [unk] dry [unk]"])
def test_unknown_words_are_not_for_us(words: str) -> None:
    assert judged((words, 100.0), ("dry", 90.0)).outcome == "none"


def test_much_that_is_ours_beside_unknown_words_is_asked_about_and_never_acted_on() -> None:
    heard = judged(("tires good [unk]", 100.0), ("tires good", 99.9))
    assert heard.outcome == "ask"
    assert heard.meanings == (Meaning.of("pass", item="tyres"),)


def test_a_phrase_is_asked_about_when_unknown_words_are_as_likely() -> None:
    assert judged(("dry", 100.0), ("[unk]", 99.5)).outcome == "ask"
    assert judged(("dry", 100.0), ("[unk]", 98.0)).outcome == "pass"


def test_several_clauses_are_taken_together_and_a_pass_beside_a_finding_is_a_finding() -> None:
    heard = judged(("no leak tires good cut on tire two", 100.0), ("no leak tires good", 80.0))
    assert heard.outcome == "finding"
    assert [meaning.outcome for meaning in heard.meanings] == ["pass", "finding"]


def test_two_phrases_glued_together_do_not_stand_against_one_as_its_equal() -> None:
    assert judged(("worn leak", 100.0), ("no leak", 99.8)).outcome == "ask"
    assert judged(("no leak", 100.0), ("worn leak", 100.0)).outcome == "pass"


def test_words_without_a_meaning_are_asked_about_with_what_they_resemble() -> None:
    heard = judged(
        ("cut in tire two", 100.0),
    )
    assert heard.outcome == "ask"
    assert heard.meanings == (Meaning.of("finding", item="tyres", finding="cut", number="2"),)


@pytest.mark.parametrize("readings", [[], [("", 10.0)], [("", 10.0), ("leak", 2.0)]])
def test_nothing_heard_is_nothing(readings: list[tuple[str, float]]) -> None:
    heard = judged(*readings)
    assert (heard.outcome, heard.said) == ("none", "")


def test_a_word_just_below_nothing_is_asked_about() -> None:
    assert judged(("", 10.0), ("leak", 9.0)).outcome == "ask"


def test_words_that_mean_two_things_are_asked_about() -> None:
    pattern = Grammars([]).expansion("low")
    vocabulary = Vocabulary.build([Entry(pattern, "pass"), Entry(pattern, "finding", (("finding", "low"),))])
    assert judge([Hypothesis("low", 1.0)], vocabulary, SETTINGS).outcome == "ask"


_SAID = ("no", "leak", "leaks", "tires", "good", "cut", "on", "tire", "two", "worn", "left", "dry", "[unk]", "and")
WORDS = st.lists(st.sampled_from(_SAID)).map(" ".join)


@given(st.lists(st.tuples(WORDS, st.floats(0, 20)), max_size=6))
def test_a_pass_is_always_the_top_and_alone(readings: list[tuple[str, float]]) -> None:
    """Whatever the recogniser says: the rule that must never break."""
    ordered = sorted(readings, key=lambda reading: -reading[1])
    heard = judged(*ordered)
    if heard.outcome != "pass":
        return
    passing = next(words for words, _ in ordered if tyres().parse(words).text == heard.said)
    best = max(score for words, score in ordered if words == passing)
    for words, score in ordered:
        meant = tyres().parse(words)
        assert "[unk]" not in passing
        if len(meant.clauses) <= 1 and frozenset(meant.clauses) != frozenset(heard.meanings):
            needed = SETTINGS.pass_margin if meant.clauses else SETTINGS.unknown_margin if "[unk]" in words else 0.0
            assert best - score >= needed
