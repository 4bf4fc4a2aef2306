"""The real recogniser behind its adapter, and the traps that the adapter keeps shut."""

from __future__ import annotations

from collections.abc import Generator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import pytest

from handsfree.hearing import recogniser as adapter
from handsfree.hearing.decoder_settings import WIDE_SETTINGS, WORD_GRAPH, wide_view
from handsfree.hearing.recogniser import HearingError, VoskRecogniser
from handsfree.hearing.settings import PhraseCosts
from handsfree.language.grammars import Grammars
from handsfree.language.vocabulary import Entry, Vocabulary
from tests.support.sounds import Sound, blocks, in_noise, joined, quiet, speech


@cache
def saying(*phrases: str, strangers: tuple[str, ...] = ()) -> Vocabulary:
    """A vocabulary of phrases, each with a meaning of its own."""
    pattern = Grammars([]).expansion
    return Vocabulary.build([Entry(pattern(one), "finding", (("finding", one),)) for one in phrases], (), strangers)


PHRASES = saying("fuel leak", "no leak", "cut on tyre two", "cut on tyre three", "say again")


def heard(recogniser: VoskRecogniser, sound: Sound, vocabulary: Vocabulary = PHRASES) -> list[str]:
    """All readings; their scores differ a little each time, because the recogniser adds a trace of noise (dither)."""
    hearer = recogniser.hearer(vocabulary)
    for block in blocks(joined(quiet(0.4), sound, quiet(0.4))):
        hearer.feed(block)
    return [reading.words for reading in hearer.finish()]


@pytest.fixture
def loads(monkeypatch: pytest.MonkeyPatch) -> list[bytes]:
    """The graph of each model that is loaded from now on."""
    graphs: list[bytes] = []

    @contextmanager
    def counted(model: Path, graph: bytes) -> Generator[Path]:
        graphs.append(graph)
        with wide_view(model, graph) as view:
            yield view

    monkeypatch.setattr(adapter, "wide_view", counted)
    return graphs


# What is heard


def test_phrases_are_heard_and_other_words_are_unknown(recogniser: VoskRecogniser) -> None:
    assert heard(recogniser, speech("cut on tyre two"))[0] == "cut on tire two"
    assert "[unk]" in heard(recogniser, speech("good morning ladies and gentlemen"))[0]


@pytest.mark.parametrize("voice", ["en-gb", "slt"])
@pytest.mark.parametrize(
    "words",
    ["no fuel leak", "tyre two", "on tyre three", "cut again", "fuel", "cut on leak", "no leak cut on tyre two"],
)
def test_only_whole_phrases_come_out_and_pieces_of_them_do_not_recombine(
    recogniser: VoskRecogniser, words: str, voice: str
) -> None:
    for reading in heard(recogniser, speech(words, voice)):
        for whole in (piece for piece in reading.split("[unk]") if piece.strip()):
            assert PHRASES.parse(whole).clauses, reading


def test_several_things_in_one_breath_are_heard_with_what_joins_them_or_without(recogniser: VoskRecogniser) -> None:
    assert heard(recogniser, speech("no leak cut on tyre two"))[0] == "no leak cut on tire two"
    assert heard(recogniser, speech("no leak and fuel leak"))[0] == "no leak and fuel leak"


def test_each_vocabulary_hears_its_own(recogniser: VoskRecogniser) -> None:
    other = saying("cut on tyre five", "dry")
    assert heard(recogniser, speech("cut on tyre five"), other)[0] == "cut on tire five"
    assert "five" not in " ".join(heard(recogniser, speech("cut on tyre five")))


def test_strangers_are_heard_for_what_they_are_if_the_model_knows_them(recogniser: VoskRecogniser) -> None:
    guarded = saying("pin removed", strangers=("pin moved", "pin nacelle"))
    assert heard(recogniser, speech("pin moved"), guarded)[0] == "pin moved"
    assert heard(recogniser, speech("pin removed"), guarded)[0] == "pin removed"


def test_a_dear_phrase_loses_against_a_cheap_one_that_sounds_the_same(model: Path) -> None:
    """ "Flair" and "flare": only what they cost tells them apart."""
    pattern = Grammars([]).expansion
    for dear, cheap in (("flair", "flare"), ("flare", "flair")):
        both = [Entry(pattern(dear), "finding", kind="elsewhere"), Entry(pattern(cheap), "finding", kind="own")]
        assert heard(VoskRecogniser(model, PhraseCosts()), speech("flare"), Vocabulary.build(both))[0] == cheap


def test_there_is_more_than_one_reading_and_the_best_comes_first(recogniser: VoskRecogniser) -> None:
    hearer = recogniser.hearer(PHRASES)
    hearer.feed(joined(quiet(0.4), in_noise(speech("cut on tyre two"), 0.0), quiet(0.4)))
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


# Getting ready


def test_two_vocabularies_are_kept_ready_those_used_last_and_one_to_doubt(model: Path, loads: list[bytes]) -> None:
    recogniser = VoskRecogniser(model, PhraseCosts())
    first, second, third = (saying(f"cut on tyre {number}") for number in ("one", "two", "three"))
    for vocabulary in (first, second, first, second, first):
        recogniser.prepare(vocabulary)
    assert len(loads) == 2
    recogniser.prepare(third)
    recogniser.prepare(first)
    assert len(loads) == 3
    recogniser.prepare(second)
    assert len(loads) == 4
    for vocabulary in (second, second, first, second):
        recogniser.prepare(vocabulary, doubting="pass")
    assert len(loads) == 7


def test_a_hearer_goes_on_when_its_vocabulary_is_no_longer_kept(model: Path) -> None:
    recogniser = VoskRecogniser(model, PhraseCosts())
    hearer = recogniser.hearer(PHRASES)
    for number in ("one", "two", "three"):
        recogniser.prepare(saying(f"cut on tyre {number}"))
    hearer.feed(joined(quiet(0.4), speech("fuel leak"), quiet(0.4)))
    assert hearer.finish()[0].words == "fuel leak"


def test_another_thread_may_get_a_vocabulary_ready_while_something_is_heard(model: Path, loads: list[bytes]) -> None:
    recogniser = VoskRecogniser(model, PhraseCosts())
    recogniser.prepare(PHRASES)
    following = saying("cut on tyre five", "dry")
    hearer = recogniser.hearer(PHRASES)
    with ThreadPoolExecutor(1) as elsewhere:
        ready = elsewhere.submit(recogniser.prepare, following)
        for block in blocks(joined(quiet(0.4), speech("cut on tyre two"), quiet(0.4))):
            hearer.feed(block)
        assert hearer.finish()[0].words == "cut on tire two"
        ready.result()
    assert len(loads) == 2
    assert heard(recogniser, speech("dry"), following)[0] == "dry"
    assert len(loads) == 2


def test_two_threads_that_want_the_same_vocabulary_load_it_once(model: Path, loads: list[bytes]) -> None:
    recogniser = VoskRecogniser(model, PhraseCosts())
    with ThreadPoolExecutor(2) as threads:
        list(threads.map(recogniser.prepare, [PHRASES, PHRASES]))
    assert len(loads) == 1


# Words that the model knows


@pytest.mark.parametrize(("word", "known"), [("leak", True), ("tire", True), ("nacelle", False), ("radome", False)])
def test_the_models_vocabulary_is_known(recogniser: VoskRecogniser, word: str, known: bool) -> None:
    assert recogniser.knows(word) == known


@pytest.mark.parametrize("mark", ["", "<s>", "[unk]", "<eps>", "#0"])
def test_the_models_own_marks_are_no_words(recogniser: VoskRecogniser, mark: str) -> None:
    assert not recogniser.knows(mark)


def test_a_phrase_with_an_unknown_word_is_refused_by_name(recogniser: VoskRecogniser) -> None:
    with pytest.raises(HearingError, match="nacelle"):
        recogniser.hearer(saying("no leak", "nacelle not dry"))


# The model's folder


def test_a_folder_without_a_model_is_an_error_that_says_so(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(HearingError, match="no speech model"):
        VoskRecogniser(tmp_path / "missing", PhraseCosts())
    with pytest.raises(HearingError):
        VoskRecogniser(tmp_path, PhraseCosts())
    (tmp_path / "graph").mkdir()
    (tmp_path / "graph" / WORD_GRAPH).write_bytes(b"no graph of words")
    with pytest.raises(HearingError, match="cannot be loaded"):
        VoskRecogniser(tmp_path, PhraseCosts())
    assert capfd.readouterr().err == ""


def test_the_view_is_the_model_but_for_the_search_and_leaves_nothing_behind(model: Path) -> None:
    before = sorted(path.relative_to(model) for path in model.rglob("*"))
    published = (model / "graph" / WORD_GRAPH).stat()
    with wide_view(model, b"one") as view, wide_view(model, b"another") as another:
        assert view != another
        assert all((view / path).exists() for path in before)
        assert (view / "graph" / WORD_GRAPH).read_bytes() == b"one"
        assert (another / "graph" / WORD_GRAPH).read_bytes() == b"another"
        settings = (view / "conf" / "model.conf").read_text(encoding="utf-8").splitlines()
        for name, value in WIDE_SETTINGS.items():
            assert settings.count(f"--{name}={value}") == 1
            assert sum(line.startswith(f"--{name}=") for line in settings) == 1
        assert "--frame-subsampling-factor=3" in settings
    assert not view.exists()
    assert sorted(path.relative_to(model) for path in model.rglob("*")) == before
    assert (model / "graph" / WORD_GRAPH).stat() == published
