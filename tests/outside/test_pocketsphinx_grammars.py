"""Grammars and transcripts that come with PocketSphinx (Debian package pocketsphinx-testdata), as text."""

import re
from pathlib import Path

import pytest

from handsfree.language.expansion import Expansion
from handsfree.language.grammars import Grammars
from handsfree.language.jsgf_reader import read_grammar_file

DATA = Path("/usr/share/pocketsphinx/test/data")

pytestmark = pytest.mark.skipif(not DATA.is_dir(), reason="the Debian package pocketsphinx-testdata is not installed")


def rule(file: str, name: str) -> Expansion:
    return Grammars([read_grammar_file(DATA / file)]).expansion(f"<{name}>")


def transcripts() -> list[str]:
    text = (DATA / "cards" / "cards.transcription").read_text(encoding="utf-8")
    return [" ".join(words.split()) for words in re.findall(r"<s>(.*?)</s>", text)]


def test_the_cards_grammar_accepts_all_its_transcripts() -> None:
    cards = rule("cards/cards.gram", "cards.cards")
    said = transcripts()
    assert len(said) == 5
    assert [words for words in said if not cards.accepts(words)] == []


@pytest.mark.parametrize("words", ["ten of", "of clubs", "ten of clubs four of", "ten ten ten", "eleven of clubs", ""])
def test_the_cards_grammar_accepts_nothing_else(words: str) -> None:
    assert not rule("cards/cards.gram", "cards.cards").accepts(words)


def test_the_turtle_grammar_is_listed_whole() -> None:
    moves = {path.written for path in rule("goforward.gram", "goforward.move2").paths()}
    assert len(moves) == 2 * 10 * 3
    assert {"go forward ten meters", "go backward one"} <= moves
    assert [path.written for path in rule("goforward.gram", "goforward.move").paths()] == ["go forward ten meters"]
