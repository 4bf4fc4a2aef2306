"""Others who hear the same sounds: what they make of words, and that each really hears."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from handsfree.bench.peers import PEERS
from handsfree.bench.peers.listening import by_likeness, first_heard, strictly
from handsfree.bench.peers.sphinx import Sphinx
from handsfree.bench.scene import Condition, make_scene
from handsfree.bench.trial import BLOCK
from handsfree.bench.voices import TUNING_VOICES
from handsfree.hearing.recogniser import RATE, Block
from handsfree.language.heard import Heard
from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Entry, Vocabulary
from tests.support.words import grammars, tyres

CLEAN = Condition("clean", None)


def meanings(words: str) -> tuple[Meaning, ...]:
    return tyres().parse(words).clauses


# What words are taken for


def test_whole_phrases_are_taken_strictly() -> None:
    heard = strictly("tyres good and cut on tyre two", tyres())
    assert (heard.outcome, heard.meanings) == ("finding", meanings("tyres good, cut on tyre two"))


@pytest.mark.parametrize("words", ["cut on", "[unk] cut", "tyres"])
def test_what_is_no_whole_phrase_is_asked_about(words: str) -> None:
    assert strictly(words, tyres()).outcome == "ask"


@pytest.mark.parametrize("words", ["", "[unk]", "[unk] [unk]"])
def test_what_has_no_word_of_ours_is_for_others(words: str) -> None:
    assert strictly(words, tyres()).outcome == "none"


def test_the_nearest_phrase_is_taken_though_it_means_the_opposite() -> None:
    """What the vocabulary itself would block: this is what a quick solution does."""
    vocabulary = Vocabulary.build([Entry(grammars().expansion("cut"), "finding")])
    assert vocabulary.nearest("not cut")[0].blocked
    assert by_likeness("not cut", vocabulary).outcome == "finding"


def test_what_is_like_nothing_is_asked_about() -> None:
    assert by_likeness("the weather in april", tyres()).outcome == "ask"
    assert by_likeness("", tyres()).outcome == "none"


# When it is decided


def test_an_utterance_for_others_is_passed_over_and_the_time_is_that_of_the_end_that_was_noticed() -> None:
    sound = np.zeros(4 * RATE, dtype=np.int16)

    def utterances(blocks: Iterator[Block]) -> Iterator[str]:
        for number, _ in enumerate(blocks, start=1):
            if number == 10:
                yield "[unk]"
            if number == 20:
                yield "cut"

    answer = first_heard(sound, utterances, lambda words: strictly(words, tyres()))
    assert answer.heard.meanings == meanings("cut")
    assert answer.decided_s == pytest.approx(0.5 + 20 * BLOCK / RATE, abs=0.05)  # the first half second is not heard


def test_the_end_of_the_sound_is_followed_by_quiet_and_then_there_was_nothing() -> None:
    lengths = list[int]()

    def utterances(blocks: Iterator[Block]) -> Iterator[str]:
        lengths.extend(len(block) for block in blocks)
        yield from ()

    answer = first_heard(np.ones(2 * RATE, dtype=np.int16), utterances, lambda _words: Heard("ask"))
    assert (answer.heard.outcome, answer.heard.why) == ("none", "silence")
    assert sum(lengths) == (2 - 0.5 + 2) * RATE


# Real ones


@pytest.mark.parametrize("name", PEERS)
def test_each_hears_clear_speech_and_decides_after_its_end(name: str, model: Path) -> None:
    scene = make_scene("worn right", TUNING_VOICES[5], CLEAN, seed=1)
    answer = PEERS[name](model).hear(scene.sound, tyres())
    assert answer.heard.meanings == meanings("worn right")
    assert 0.0 < answer.decided_s - scene.speech_end_s < 2.5


@pytest.mark.parametrize("name", PEERS)
def test_each_hears_the_same_the_second_time(name: str, model: Path) -> None:
    peer, scene = PEERS[name](model), make_scene("worn left", TUNING_VOICES[6], Condition("pink", 5.0), seed=2)
    first, second = (peer.hear(scene.sound, tyres()).heard for _ in range(2))
    assert first == second


def test_phrases_that_the_dictionary_lacks_are_left_out_of_its_grammar_and_counted() -> None:
    peer = Sphinx()
    (wilco,) = peer.left_out(tyres())
    assert wilco.text == "wilco"
    grammar = peer.grammar(tyres())
    assert "wilco" not in grammar
    assert "cut on tyre two" in grammar  # the checklist's spelling, which its dictionary knows


def test_a_spelling_made_for_the_other_recogniser_helps_where_its_dictionary_lacks_the_word() -> None:
    pattern = grammars().expansion("nacelle dry")
    vocabulary = Vocabulary.build([Entry(pattern, "pass")])
    assert Sphinx().left_out(vocabulary) == ()
