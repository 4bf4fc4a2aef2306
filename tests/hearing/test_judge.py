"""What was meant, from the readings of each decode and their scores."""

from __future__ import annotations

import math
from collections import defaultdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.judge import Circumstances, judge
from handsfree.hearing.recogniser import Hypothesis
from handsfree.hearing.settings import JudgeSettings
from handsfree.language.grammars import Grammars
from handsfree.language.heard import Heard
from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Entry, Vocabulary
from tests.support.words import tyres

SETTINGS = JudgeSettings()
GOOD = Meaning.of("pass", item="tyres")

Read = tuple[tuple[str, float], ...]
"""What one decode read: words and their log likelihood."""


def fused(*decodes: Read) -> Heard:
    return judge([[Hypothesis(*reading) for reading in decode] for decode in decodes], tyres(), SETTINGS)


def judged(*readings: tuple[str, float]) -> Heard:
    """What is made of it when both decodes read the same: a margin is then made of twice the difference."""
    return fused(readings, readings)


# One sound, decoded alike


def test_a_whole_phrase_far_above_all_else_passes() -> None:
    heard = judged(("tires good", 100.0), ("tires", 90.0), ("cut", 80.0))
    assert heard.outcome == "pass"
    assert heard.said == "tyres good"
    assert heard.meanings == (GOOD,)
    assert heard.confidence > 0.99
    assert [other.words for other in heard.alternatives] == ["tires", "cut"]


def test_what_is_alone_passes_in_a_single_decode() -> None:
    assert fused((("tires good", 100.0),)).outcome == "pass"


@pytest.mark.parametrize("rival", ["fuel leak", "leak", "negative"])
def test_a_pass_is_asked_about_when_something_that_means_otherwise_is_close(rival: str) -> None:
    just_enough = SETTINGS.pass_margin / 2
    assert judged(("no leak", 100.0), (rival, 100.0 - just_enough - 0.1)).outcome == "pass"
    close = judged(("no leak", 100.0), (rival, 100.0 - just_enough + 0.1))
    assert close.outcome == "ask"
    assert len(close.meanings) == 2
    assert rival in close.why


@pytest.mark.parametrize(
    ("words", "rival"),
    [("cut on tire two", "worn"), ("say again", "leak"), ("no leak", "leak")],
    ids=["a finding", "a control word", "a pass"],
)
def test_each_outcome_needs_its_own_margin(words: str, rival: str) -> None:
    outcome = tyres().parse(words).clauses[0].outcome
    margin, _ = SETTINGS.margins(outcome, passes=outcome == "pass", critical=False, quiet=False)
    assert judged((words, 100.0), (rival, 100.0 - margin / 2 + 0.1)).outcome == "ask"
    assert judged((words, 100.0), (rival, 100.0 - margin / 2 - 0.1)).outcome == outcome


def test_a_pass_needs_more_where_a_defect_may_be_critical() -> None:
    assert SETTINGS.critical_margin > SETTINGS.pass_margin
    pattern = Grammars([]).expansion
    entries = [Entry(pattern("tires good"), "pass"), Entry(pattern("leak"), "finding")]
    read = [Hypothesis("tires good", 100.0), Hypothesis("leak", 100.0 - (SETTINGS.pass_margin + 0.1) / 2)]
    for critical, outcome in ((False, "pass"), (True, "ask")):
        assert judge([read, read], Vocabulary.build(entries, critical=critical), SETTINGS).outcome == outcome


@pytest.mark.parametrize("rival", ["leak", "[unk]"])
def test_a_pass_needs_most_in_quiet_where_good_answers_are_heard_clearly(rival: str) -> None:
    enough = SETTINGS.pass_margin if rival == "leak" else SETTINGS.pass_unknown_margin
    decode = [Hypothesis("tires good", 100.0), Hypothesis(rival, 100.0 - enough / 2 - 0.1)]
    quiet, noisy = Circumstances(SETTINGS.quiet_db, 0.5), Circumstances(SETTINGS.quiet_db - 0.1, 0.5)
    for around, outcome in ((noisy, "pass"), (None, "pass"), (quiet, "ask")):
        assert judge([decode, decode], tyres(), SETTINGS, around).outcome == outcome
    alone = decode[:1]
    assert judge([alone, alone], tyres(), SETTINGS, quiet).outcome == "pass"


@pytest.mark.parametrize("words", ["no leak", "leak", "say again", "no leak cut on tire two"])
def test_more_speech_than_the_words_can_fill_is_asked_about(words: str) -> None:
    """Something was swallowed by one of them, and it may have been the "not"."""
    most_s = SETTINGS.extra_s + SETTINGS.letter_s * len(words.replace(" ", ""))
    decode = [Hypothesis(words, 100.0)]
    enough, more = (
        judge([decode, decode], tyres(), SETTINGS, Circumstances(SETTINGS.quiet_db, most_s + s)) for s in (-0.05, 0.05)
    )
    assert enough.outcome in {"pass", "finding", "control"}
    assert (more.outcome, more.meanings) == ("ask", enough.meanings)


@pytest.mark.parametrize(
    ("words", "paused_s", "outcome"),
    [
        ("no leak", SETTINGS.broken_s, "ask"),
        ("no leak", SETTINGS.broken_s - 0.01, "pass"),
        ("tires good", SETTINGS.broken_s, "pass"),
        ("no leak cut on tire two", SETTINGS.broken_s, "finding"),
    ],
)
def test_with_a_pause_after_the_no_a_leak_is_a_leak(words: str, paused_s: float, outcome: str) -> None:
    decode = [Hypothesis(words, 100.0)]
    heard = judge([decode, decode], tyres(), SETTINGS, Circumstances(SETTINGS.quiet_db, 0.5, paused_s))
    assert heard.outcome == outcome
    if outcome == "ask":
        assert [one.outcome for one in heard.meanings] == ["pass", "finding"]
        assert heard.why == '"leak" was said by itself'


def test_much_speech_around_one_known_word_is_talk_to_others() -> None:
    decode = [Hypothesis("[unk] leak", 100.0)]
    outcomes = [
        judge([decode], tyres(), SETTINGS, Circumstances(SETTINGS.quiet_db, spoken_s)).outcome
        for spoken_s in (0.8, 3.0)
    ]
    assert outcomes == ["ask", "none"]


@pytest.mark.parametrize("critical", [False, True])
def test_a_pass_needs_at_least_what_all_else_needs_and_quiet_asks_for_no_less(critical: bool) -> None:
    passing, passing_in_quiet = (
        SETTINGS.margins("pass", passes=True, critical=critical, quiet=quiet) for quiet in (False, True)
    )
    for outcome in ("pass", "finding", "value", "control"):
        in_noise, in_quiet = (
            SETTINGS.margins(outcome, passes=outcome == "pass", critical=critical, quiet=quiet)
            for quiet in (False, True)
        )
        for most, least in ((passing, in_noise), (passing_in_quiet, in_quiet), (in_quiet, in_noise)):
            assert all(one >= other for one, other in zip(most, least, strict=True)), outcome


@pytest.mark.parametrize("critical", [False, True])
def test_in_noise_a_number_needs_what_a_pass_needs_for_it_may_pass_too(critical: bool) -> None:
    needed = SETTINGS.margins("pass", passes=True, critical=critical, quiet=False)
    assert SETTINGS.margins("value", passes=True, critical=critical, quiet=False) == needed
    assert SETTINGS.margins("value", passes=False, critical=critical, quiet=False) < needed


def test_another_way_to_say_the_same_is_no_rival() -> None:
    heard = judged(("cut on tire two", 100.0), ("cuts on tire two", 99.9), ("gash tire two", 99.8))
    assert heard.outcome == "finding"
    assert heard.meanings[0].get("number") == "2"


@pytest.mark.parametrize(("rival", "outcome"), [("worn", "finding"), ("[unk]", "ask")])
def test_in_quiet_a_finding_is_read_back_and_only_other_words_are_asked_about(rival: str, outcome: str) -> None:
    decode = [Hypothesis("cut on tire two", 100.0), Hypothesis(rival, 100.0 - SETTINGS.quiet_other_margin / 2 + 0.1)]
    heard = judge([decode, decode], tyres(), SETTINGS, Circumstances(SETTINGS.quiet_db, 0.5))
    assert heard.outcome == outcome


def test_all_ways_to_say_the_same_count_together() -> None:
    rival = ("worn", 100.0 - SETTINGS.finding_margin / 2 + 0.3)
    assert judged(("cut on tire two", 100.0), rival).outcome == "ask"
    assert judged(("cut on tire two", 100.0), ("gash tire two", 100.0), rival).outcome == "finding"


@pytest.mark.parametrize("top", ["no tires", "leak no", "good"])
def test_a_pass_never_comes_from_below_the_top(top: str) -> None:
    heard = judged((top, 100.0), ("tires good", 99.99))
    assert heard.outcome == "ask"
    assert GOOD in heard.meanings


@pytest.mark.parametrize("top", ["on tire two", ""], ids=["words without a meaning", "no words"])
def test_what_lies_close_to_a_top_that_means_nothing_is_asked_about(top: str) -> None:
    close = judged((top, 100.0), ("worn left", 100.0 - SETTINGS.near / 2 + 0.1))
    assert close.outcome == "ask"
    assert [meaning.get("finding") for meaning in close.meanings] == ["worn"]
    far = judged((top, 100.0), ("worn left", 100.0 - SETTINGS.near / 2 - 0.1))
    assert "worn" not in {meaning.get("finding") for meaning in far.meanings}


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
    assert heard.meanings == (GOOD,)


@pytest.mark.parametrize("stranger", ["[unk]", "", "and", "no tires"])
def test_a_phrase_is_asked_about_when_words_without_a_meaning_or_none_are_about_as_likely(stranger: str) -> None:
    for words in ("dry", "leak"):
        outcome = tyres().parse(words).clauses[0].outcome
        _, margin = SETTINGS.margins(outcome, passes=outcome == "pass", critical=False, quiet=False)
        assert judged((words, 100.0), (stranger, 100.0 - margin / 2 + 0.1)).outcome == "ask"
        assert judged((words, 100.0), (stranger, 100.0 - margin / 2 - 0.1)).outcome != "ask"


def test_several_clauses_are_taken_together_and_a_pass_beside_a_finding_is_a_finding() -> None:
    heard = judged(("no leak tires good cut on tire two", 100.0), ("no leak tires good", 80.0))
    assert heard.outcome == "finding"
    assert [meaning.outcome for meaning in heard.meanings] == ["pass", "finding"]


def test_words_without_a_meaning_are_asked_about_with_what_they_resemble() -> None:
    heard = judged(("cut in tire two", 100.0))
    assert heard.outcome == "ask"
    assert heard.meanings == (Meaning.of("finding", item="tyres", finding="cut", number="2"),)


@pytest.mark.parametrize("readings", [(), (("", 10.0),), (("", 10.0), ("leak", 2.0)), (("and", 10.0),)])
def test_nothing_heard_is_nothing(readings: Read) -> None:
    heard = judged(*readings)
    assert (heard.outcome, heard.said) == ("none", "")


def test_words_that_mean_two_things_are_asked_about() -> None:
    pattern = Grammars([]).expansion("low")
    vocabulary = Vocabulary.build([Entry(pattern, "pass"), Entry(pattern, "finding", (("finding", "low"),))])
    heard = judge([[Hypothesis("low", 1.0)]], vocabulary, SETTINGS)
    assert (heard.outcome, heard.why) == ("ask", "the words can mean two things")


# Several decodes of one sound


@pytest.mark.parametrize(
    "other",
    [
        (("leak", 100.0), ("no leak", 99.99)),
        (("", 100.0), ("no leak", 99.99)),
        (("[unk]", 100.0), ("no leak", 99.99)),
        (("no", 100.0), ("no leak", 99.99)),
        (("leak", 100.0),),
        (),
    ],
    ids=["a defect", "no word", "unknown words", "half a phrase", "a defect alone", "nothing at all"],
)
def test_a_pass_that_the_other_decode_has_not_on_top_is_no_pass(other: Read) -> None:
    sure = (("no leak", 100.0),)
    assert fused(sure, sure).outcome == "pass"
    for disagreeing in ((sure, other), (other, sure), (sure, sure, other)):
        assert fused(*disagreeing).outcome != "pass"


def test_a_pass_needs_its_margin_in_all_decodes_together() -> None:
    half = SETTINGS.pass_margin / 2
    surer = (("tires good", 100.0), ("leak", 100.0 - half - 1.0))
    assert fused(surer, (("tires good", 100.0), ("leak", 100.0 - half + 1.1))).outcome == "ask"
    assert fused(surer, (("tires good", 100.0), ("leak", 100.0 - half + 0.9))).outcome == "pass"


def test_a_meaning_excluded_by_one_decode_does_not_win() -> None:
    """The raw sound has the leak a little ahead, but with less noise nothing is left of it."""
    heard = fused((("leak", 100.0), ("worn", 99.0)), (("worn", 100.0),))
    assert heard.outcome == "finding"
    assert [meaning.get("finding") for meaning in heard.meanings] == ["worn"]


def test_when_each_excludes_what_the_other_heard_both_are_asked_about() -> None:
    heard = fused((("leak", 100.0),), (("worn", 100.0),))
    assert heard.outcome == "ask"
    assert {meaning.get("finding") for meaning in heard.meanings} == {"leak", "worn"}


def test_scores_of_different_decodes_are_never_compared() -> None:
    """The cleaned sound fits all words better: only the differences within a decode tell anything."""
    raw, cleaned = (("leak", 100.0), ("worn", 97.0)), (("leak", 203.0), ("worn", 200.0))
    assert fused(raw, cleaned).outcome == fused(raw, raw).outcome == "finding"


_SAID = ("no", "leak", "leaks", "tires", "good", "cut", "on", "tire", "two", "worn", "left", "dry", "[unk]", "and")
WORDS = st.lists(st.sampled_from(_SAID), max_size=4).map(" ".join) | st.sampled_from(("no leak", "dry", "leak", ""))
DECODES = st.lists(st.lists(st.tuples(WORDS, st.floats(0, 20)), max_size=5).map(tuple), min_size=1, max_size=3)


def meant(words: str) -> frozenset[Meaning] | str:
    """What counts as the same: one meaning in whatever words; anything unknown; nothing; the same words."""
    parse = tyres().parse(words)
    if "[unk]" in words.split():
        return "[unk]"
    return frozenset(parse.clauses) if parse.clauses and not parse.ambiguous else words.replace("and", "").strip()


def log_shares(decode: Read) -> dict[frozenset[Meaning] | str, float]:
    weights: dict[frozenset[Meaning] | str, float] = defaultdict(float)
    for words, score in decode:
        weights[meant(words)] += math.exp(score)
    return {key: math.log(weight / sum(weights.values())) for key, weight in weights.items()}


@given(DECODES)
def test_a_pass_is_on_top_of_every_decode_and_far_above_all_other_meanings(decodes: list[Read]) -> None:
    """Whatever the recogniser says: the rule that must never break."""
    heard = fused(*decodes)
    if heard.outcome != "pass":
        return
    shares = [log_shares(decode) for decode in decodes]
    passed = frozenset(heard.meanings)
    assert {meaning.outcome for meaning in passed} == {"pass"}
    for share in shares:
        assert share[passed] == pytest.approx(max(share.values()))
    for other in {key for share in shares for key in share} - {passed}:
        lead = sum(max(share[passed], SETTINGS.absent) for share in shares)
        lead -= sum(max(share.get(other, -math.inf), SETTINGS.absent) for share in shares)
        needed = SETTINGS.pass_margin if isinstance(other, frozenset) else SETTINGS.pass_unknown_margin
        assert lead >= needed - 1e-6


@given(DECODES, st.sampled_from(("leak", "[unk]", "", "no", "cut on tire two")))
def test_no_decode_that_hears_something_else_leaves_a_pass(decodes: list[Read], words: str) -> None:
    assert fused(*decodes, ((words, 0.0),)).outcome != "pass"
