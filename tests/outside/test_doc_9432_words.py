"""Standard words and phrases of ICAO Doc 9432, Manual of Radiotelephony, 2.6 (second-hand; meanings shortened)."""

from pathlib import Path

import pytest

from handsfree.language.grammars import Grammars
from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Entry, Vocabulary

STANDARD_WORDS = [
    ("AFFIRM", "affirm"),  # yes
    ("NEGATIVE", "negative"),  # no, or that is not correct
    ("CORRECTION", "correction"),  # an error was made; the correct version is ...
    ("DISREGARD", "disregard"),  # ignore
    ("SAY AGAIN", "say_again"),  # repeat all, or the following part
    ("READ BACK", "read_back"),  # repeat exactly as received
    ("STANDBY", "stand_by"),  # wait
    ("ROGER", "roger"),  # all of the last transmission was received
    ("WILCO", "wilco"),  # will comply
    ("UNABLE", "unable"),  # cannot comply
    ("SPEAK SLOWER", "speak_slower"),  # reduce the rate of speech
]


@pytest.fixture(scope="module")
def control() -> Vocabulary:
    grammars = Grammars.load(Path(__file__).parents[2] / "grammars")
    return Vocabulary.build(
        [Entry(grammars.expansion(f"<{rule}>"), "control") for rule in ("control.any", "answers.yes_or_no")]
    )


@pytest.mark.parametrize(("words", "control_word"), STANDARD_WORDS)
def test_each_standard_word_is_understood_as_itself(control: Vocabulary, words: str, control_word: str) -> None:
    assert control.parse(words).clauses == (Meaning.of("control", control=control_word),)


def test_roger_is_never_affirm(control: Vocabulary) -> None:
    # Doc 9432: ROGER is never to be used to answer a question that asks for AFFIRM or NEGATIVE.
    assert {phrase.text for phrase in control.phrases if phrase.meaning.get("control") == "roger"} == {"roger"}
    affirming = [phrase.heard_as for phrase in control.phrases if phrase.meaning.get("control") == "affirm"]
    assert affirming
    assert not any("roger" in phrase.split() for phrase in affirming)
    assert control.parse("roger").clauses != control.parse("affirm").clauses
