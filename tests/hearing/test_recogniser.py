"""The real recogniser behind its adapter, and the traps that the adapter keeps shut."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.hearing.decoder_settings import WIDE_SETTINGS, wide_view
from handsfree.hearing.recogniser import HearingError, VoskRecogniser
from tests.support.sounds import Sound, blocks, in_noise, joined, quiet, speech

PHRASES = ("fuel leak", "no leak", "cut on tire two", "cut on tire three", "say again")


def heard(recogniser: VoskRecogniser, sound: Sound) -> list[str]:
    hearer = recogniser.hearer(PHRASES)
    for block in blocks(joined(quiet(0.4), sound, quiet(0.4))):
        hearer.feed(block)
    return [reading.words for reading in hearer.finish()]


def test_phrases_are_heard_and_other_words_are_unknown(recogniser: VoskRecogniser) -> None:
    assert heard(recogniser, speech("cut on tyre two"))[0] == "cut on tire two"
    assert "[unk]" in heard(recogniser, speech("good morning ladies and gentlemen"))[0]


def test_there_is_more_than_one_reading_and_the_best_comes_first(recogniser: VoskRecogniser) -> None:
    hearer = recogniser.hearer(PHRASES)
    hearer.feed(joined(quiet(0.4), in_noise(speech("cut on tyre two"), 5.0), quiet(0.4)))
    scores = [reading.score for reading in hearer.finish()]
    assert len(scores) > 1
    assert scores == sorted(scores, reverse=True)


def test_the_words_so_far_can_be_asked_for(recogniser: VoskRecogniser) -> None:
    hearer = recogniser.hearer(PHRASES)
    hearer.feed(joined(quiet(0.4), speech("say again"), quiet(0.5)))
    assert hearer.partial() == "say again"


def test_one_utterance_does_not_colour_the_next(recogniser: VoskRecogniser) -> None:
    alone = heard(recogniser, speech("no leak"))
    heard(recogniser, speech("fuel leak"))
    assert heard(recogniser, speech("no leak")) == alone


def test_no_sound_gives_no_words(recogniser: VoskRecogniser) -> None:
    assert [r.words for r in recogniser.hearer(PHRASES).finish() if r.words] == []
    assert heard(recogniser, quiet(2.0))[0] == ""


@pytest.mark.parametrize(("word", "known"), [("leak", True), ("tire", True), ("nacelle", False), ("radome", False)])
def test_the_models_vocabulary_is_known(recogniser: VoskRecogniser, word: str, known: bool) -> None:
    assert recogniser.knows(word) == known


@pytest.mark.parametrize("mark", ["", "<s>", "[unk]", "<eps>", "#0"])
def test_the_models_own_marks_are_no_words(recogniser: VoskRecogniser, mark: str) -> None:
    assert not recogniser.knows(mark)


def test_a_phrase_with_an_unknown_word_is_refused_by_name(recogniser: VoskRecogniser) -> None:
    with pytest.raises(HearingError, match="nacelle"):
        recogniser.hearer(["no leak", "nacelle not dry"])


def test_a_folder_without_a_model_is_an_error_that_says_so(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(HearingError, match="no speech model"):
        VoskRecogniser(tmp_path / "missing")
    with pytest.raises(HearingError):
        VoskRecogniser(tmp_path)
    assert capfd.readouterr().err == ""


def test_the_view_is_the_model_but_for_the_search_and_leaves_nothing_behind(model: Path) -> None:
    before = sorted(path.relative_to(model) for path in model.rglob("*"))
    with wide_view(model) as view, wide_view(model) as another:
        assert view != another
        assert all((view / path).exists() for path in before)
        settings = (view / "conf" / "model.conf").read_text(encoding="utf-8").splitlines()
        for name, value in WIDE_SETTINGS.items():
            assert settings.count(f"--{name}={value}") == 1
            assert sum(line.startswith(f"--{name}=") for line in settings) == 1
        assert "--frame-subsampling-factor=3" in settings
    assert not view.exists()
    assert sorted(path.relative_to(model) for path in model.rglob("*")) == before
