"""A pass counts only if it holds its own when passes are hardly expected."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from handsfree.hearing.judge import Decode
from handsfree.hearing.recogniser import Hypothesis
from handsfree.hearing.second_opinion import confirmed
from handsfree.hearing.settings import JudgeSettings
from handsfree.language.grammars import Grammars
from handsfree.language.heard import Heard
from handsfree.language.vocabulary import Entry, Vocabulary
from tests.support.words import tyres

SETTINGS = JudgeSettings()
LOUD_DB = 8.0


def heard_as(words: str, vocabulary: Vocabulary | None = None) -> Heard:
    return Heard("pass", words, (vocabulary or tyres()).parse(words).clauses, 0.9)


def readings(*several: tuple[str, float]) -> Decode:
    return [Hypothesis(*one) for one in several]


def opinion(words: str, *decodes: Decode, snr_db: float = LOUD_DB) -> Heard:
    return confirmed(heard_as(words), snr_db, decodes, tyres(), SETTINGS)


def behind(words: str, by: float) -> Decode:
    """Readings in which a pass lies behind a defect."""
    return readings(("worn left", 100.0), (words, 100.0 - by))


def test_what_nothing_else_sounds_like_passes_as_it_was_heard() -> None:
    sure = readings(("tires good", 100.0))
    assert opinion("tires good", sure, sure) == heard_as("tires good")


@pytest.mark.parametrize("rival", ["worn left", "[unk] good", "no tires", ""])
def test_a_rival_of_any_kind_counts(rival: str) -> None:
    near = readings((rival, 100.0), ("tires good", 100.0 + SETTINGS.doubted_margin + 0.1))
    far = readings((rival, 100.0), ("tires good", 100.0 + SETTINGS.doubted_margin - 0.1))
    assert opinion("tires good", near, near).outcome == "pass"
    assert opinion("tires good", near, far).outcome == "ask"
    assert opinion("tires good", far, near).outcome == "ask"


def test_all_ways_to_say_the_same_count_together() -> None:
    short = -SETTINGS.doubted_margin + 0.5
    one_way = readings(("worn left", 100.0), ("tires good", 100.0 - short))
    two_ways = readings(("worn left", 100.0), ("tires good", 100.0 - short), ("no leak", 100.0 - short))
    assert opinion("tires good", one_way).outcome == "ask"
    assert opinion("tires good", two_ways).outcome == "pass"


def test_more_is_needed_for_what_is_a_defect_but_for_a_small_word() -> None:
    """At 10 dB a "fuel leak" was heard as "no leak" by every decode."""
    within = -SETTINGS.doubted_denial_margin + 0.1
    assert opinion("tires good", behind("tires good", within)).outcome == "pass"
    assert opinion("no leak", behind("no leak", within)).outcome == "ask"


def test_a_pass_that_is_gone_is_asked_about_with_what_it_was() -> None:
    asked = opinion("tires good", readings(("worn left", 100.0)))
    assert (asked.outcome, asked.meanings) == ("ask", heard_as("tires good").meanings)
    assert "misheard" in asked.why


def test_in_noise_a_single_short_word_must_win() -> None:
    """At 10 dB a "crack" was heard as "dry" by every decode."""
    assert opinion("tires good", behind("tires good", 0.4)).outcome == "pass"
    assert opinion("dry", behind("dry", 0.4)).outcome == "ask"
    assert opinion("dry", behind("dry", 0.4), snr_db=SETTINGS.quiet_db).outcome == "pass"
    assert opinion("dry", behind("dry", -SETTINGS.doubted_word_margin - 0.1)).outcome == "pass"


def test_more_is_needed_where_speech_is_hardly_understood() -> None:
    within = -SETTINGS.doubted_margin - 0.1
    assert opinion("tires good", behind("tires good", within), snr_db=SETTINGS.poor_snr_db).outcome == "pass"
    assert opinion("tires good", behind("tires good", within), snr_db=SETTINGS.poor_snr_db - 0.1).outcome == "ask"


def test_more_is_needed_where_a_defect_may_be_critical() -> None:
    pattern = Grammars([]).expansion
    entries = [Entry(pattern("tires good"), "pass"), Entry(pattern("worn left"), "finding")]
    decode = behind("tires good", -SETTINGS.doubted_margin - 0.1)
    for critical, outcome in ((False, "pass"), (True, "ask")):
        vocabulary = Vocabulary.build(entries, critical=critical)
        heard = heard_as("tires good", vocabulary)
        assert confirmed(heard, LOUD_DB, [decode], vocabulary, SETTINGS).outcome == outcome


def test_no_more_is_heard_after_a_decode_that_is_against_it() -> None:
    taken: list[str] = []

    def one_by_one() -> Iterator[Decode]:
        for words in ("worn left", "tires good"):
            taken.append(words)
            yield readings((words, 1.0))

    assert confirmed(heard_as("tires good"), LOUD_DB, one_by_one(), tyres(), SETTINGS).outcome == "ask"
    assert taken == ["worn left"]
