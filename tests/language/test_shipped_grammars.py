"""The grammars that are shipped: ids, short lists, words kept apart."""

from itertools import combinations

import pytest

from handsfree.hearing.recogniser import VoskRecogniser
from handsfree.language.confusability import NEAR, confusability
from handsfree.language.grammars import Grammars
from handsfree.language.meaning import Meaning
from handsfree.language.numbers import spoken_forms
from handsfree.language.spelling import unknown_words
from handsfree.language.vocabulary import Entry, Vocabulary
from tests.support.said import pronounce

CONTROL_WORDS = (
    *("say_again", "stand_by", "affirm", "negative", "correction", "disregard", "read_back", "speak_slower", "roger"),
    *("wilco", "unable", "carry_on", "what_to_look_for", "previous_item", "leave_for_later", "where_are_we"),
    *("what_is_left", "next_zone", "end_walk", "servicing_done", "checked", "full_prompts", "short_prompts"),
    *("how_do_you_read", "voice_note"),
)
COLLECTIONS = ("findings.general", "findings.any", "control.any", "control.standing_by")


def rules_of(grammars: Grammars, grammar: str) -> list[str]:
    return [name for name in grammars.public_rules() if name.startswith(grammar + ".") and name not in COLLECTIONS]


def slot_values(grammars: Grammars, rule: str, slot: str) -> set[str]:
    return {value for path in grammars.expansion(f"<{rule}>").paths() for name, value in path.slots if name == slot}


def test_every_control_word_has_its_rule_and_no_other_meaning(grammars: Grammars) -> None:
    for word in CONTROL_WORDS:
        assert slot_values(grammars, f"control.{word}", "control") == {word}
    assert slot_values(grammars, "control.any", "control") == set(CONTROL_WORDS)


def test_every_finding_rule_gives_the_id_of_its_name(grammars: Grammars) -> None:
    for rule in rules_of(grammars, "findings"):
        assert slot_values(grammars, rule, "finding") == {rule.removeprefix("findings.").replace("_", "-")}


def test_the_collection_of_all_findings_lacks_none(grammars: Grammars) -> None:
    rules = rules_of(grammars, "findings")
    all_of_them = {path.written for path in grammars.expansion("<findings.any>").paths()}
    for rule in rules:
        assert {path.written for path in grammars.expansion(f"<{rule}>").paths()} <= all_of_them


def test_the_everyday_findings_are_few_and_short(grammars: Grammars) -> None:
    everyday = grammars.expansion("<findings.general>").paths()
    assert len(everyday) <= 40
    assert len(slot_values(grammars, "findings.general", "finding")) in range(10, 15)
    assert all(len(path.written.split()) <= 2 for path in everyday)


def test_leaks_carry_the_fluid(grammars: Grammars) -> None:
    leaks = {path.written: dict(path.slots).get("fluid") for path in grammars.expansion("<findings.leak>").paths()}
    assert leaks["fuel leak"] == "fuel"
    assert leaks["hydraulic fluid leaking"] == "hydraulic"
    assert leaks["fluid leak"] is None
    assert leaks["seeping"] is None
    assert set(leaks.values()) == {None, "fuel", "oil", "hydraulic", "brake", "water"}


def test_positions_are_numbered_to_24(grammars: Grammars) -> None:
    assert slot_values(grammars, "positions.number", "number") == {str(number) for number in range(1, 25)}
    for number in range(1, 25):
        assert slot_values(grammars, f"positions.n{number}", "number") == {str(number)}


@pytest.mark.parametrize("rule", ["findings.any", "control.any", "positions.number", "answers.yes_or_no"])
def test_no_words_mean_two_things(grammars: Grammars, rule: str) -> None:
    vocabulary = Vocabulary.build([Entry(grammars.expansion(f"<{rule}>"), "control")])
    assert len(vocabulary.phrases) == len(vocabulary.recogniser_list())
    assert not any(vocabulary.parse(phrase.heard_as).ambiguous for phrase in vocabulary.phrases)


def test_control_words_and_findings_together_are_never_ambiguous(grammars: Grammars) -> None:
    vocabulary = Vocabulary.build(
        [
            Entry(grammars.expansion("<findings.any>"), "finding"),
            Entry(grammars.expansion("<control.any>"), "control"),
        ]
    )
    spoken = [phrase.heard_as for phrase in vocabulary.phrases]
    for first, second in combinations(spoken, 2):
        parse = vocabulary.parse(f"{first} {second}")
        assert not parse.ambiguous, (first, second)


def test_a_bare_yes_or_no_is_an_answer_only_to_a_question(grammars: Grammars) -> None:
    control = {path.heard for path in grammars.expansion("<control.any>").paths()}
    assert not control & {"yes", "no"}
    answers = Vocabulary.build([Entry(grammars.expansion("<answers.yes_or_no>"), "control")])
    assert answers.parse("no").clauses == (Meaning.of("control", control="negative"),)
    assert answers.parse("yes").clauses == (Meaning.of("control", control="affirm"),)


def test_control_words_do_not_sound_like_each_other(grammars: Grammars) -> None:
    """Those of <untaught.any> may."""
    controls = grammars.expansion("<control.any>").paths()
    untaught = {path.heard for path in grammars.expansion("<untaught.any>").paths()}
    near = {
        (one.heard, other.heard)
        for one, other in combinations((path for path in controls if path.heard not in untaught), 2)
        if one.slots != other.slots and confusability(one.heard, other.heard, pronounce) >= NEAR
    }
    assert near == set()


@pytest.mark.parametrize("avoided", ["go back", "help"])
def test_words_that_are_heard_wrong_are_not_used(grammars: Grammars, avoided: str) -> None:
    assert avoided not in {path.heard for path in grammars.expansion("<control.any>").paths()}


def test_the_decision_is_the_person_s(grammars: Grammars) -> None:
    assert slot_values(grammars, "answers.decision", "decision") == {"accepted", "rejected", "maintenance", "none"}


def test_the_speech_model_knows_every_word(grammars: Grammars, recogniser: VoskRecogniser) -> None:
    too_many_to_list = {"numbers.whole", "numbers.decimal", "numbers.number"}
    for rule in set(grammars.public_rules()) - too_many_to_list:
        for path in grammars.expansion(f"<{rule}>").paths():
            assert unknown_words(path.heard, recogniser.knows) == (), path.written
    for number in (*range(100), 100, 1000):
        for words in spoken_forms(number, decimals=1):
            assert unknown_words(words, recogniser.knows) == ()


def test_the_speech_model_knows_the_lexicon_s_spellings(grammars: Grammars, recogniser: VoskRecogniser) -> None:
    for written, known in grammars.lexicon.words.items():
        assert unknown_words(known, recogniser.knows) == (), written
