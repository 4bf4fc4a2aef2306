"""A checklist in two languages: walked in Korean by keyboard, and by voice through the real recogniser.

What this does not show is that Korean may be relied on: see docs/languages.md.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

import pytest

from demo.answering import blocks
from handsfree import models_by_language
from handsfree.book import Book, open_book
from handsfree.checklist.loading import load
from handsfree.hearing.ears import Ears
from handsfree.hearing.recogniser import VoskRecogniser
from handsfree.hearing.settings import PhraseCosts
from handsfree.journal import events as log
from handsfree.journal.reader import read
from handsfree.journal.verification import verify
from handsfree.journal.writer import JournalWriter
from handsfree.language.vocabulary import Vocabulary
from handsfree.languages import language
from handsfree.listeners import TypedListener
from handsfree.replay import replay
from handsfree.session import Listened, Listener, Session
from handsfree.speech_model import ModelError
from handsfree.walk.events import Begin, Expect
from handsfree.walk.wording import ON_TRIAL
from tests.support.korean_speech import speak_korean
from tests.support.sounds import joined, quiet
from tests.walk.performance import Mouth, Screen

FILE = Path(__file__).parents[1] / "docs" / "examples" / "reedling.yaml"
ANSWERS: Mapping[str, Sequence[str]] = {
    "pitot": ("커버 제거",),
    "propeller": ("두 날개 양호",),
    "oil": ("삼 리터",),
    "fuel-cap": ("잠김",),
    "flap-down": ("내려감",),
    "hinges": ("단단",),
    "tyres": ("마모", "확인"),
    "drain": ("파란색",),
    "flap-up": ("올라감",),
    "covers": ("삼 개",),
}


class KoreanSpeaker:
    """Answers aloud; what is not understood is said again, as often as it is asked."""

    def __init__(self, ears: Ears) -> None:
        self._ears = ears
        self._item = ""
        self._turns = 0

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        self._ears.prepare(vocabulary())

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        self._item = expected.item or self._item
        self._turns += 1
        assert self._turns < 40, "it never ends"
        text = {"item": ANSWERS[self._item][0], "guess_check": "아니요", "decision": "결정 없음"}.get(
            expected.moment, "확인"
        )
        sound = joined(quiet(0.5), speak_korean(text), quiet(1.6))
        heard = self._ears.listen(blocks(sound), vocabulary, patience_s=4.0)
        return Listened(None if heard.heard.why == "silence" else heard.heard, heard.clip.tobytes())


def walk(folder: Path, listener: Callable[[Book], Listener]) -> tuple[Sequence[log.AnyEvent], Mouth]:
    """A walk in Korean; its log and what was said."""
    checklist, text = load(FILE, "ko"), FILE.read_bytes()
    book, mouth = Book(checklist), Mouth()
    writer = JournalWriter.create(folder, text)
    begin = Begin(who="AB", registration="Q5RL", level_check=False)
    Session(book, writer, mouth, listener(book), Screen()).begin(begin, hashlib.sha256(text).hexdigest(), "synthetic")
    writer.close()
    return read(folder).events, mouth


@pytest.fixture(scope="module")
def korean_model() -> Path:
    try:
        return models_by_language.locate("ko").path
    except ModelError:
        return models_by_language.fetch("ko", lambda _what, _share: None).path


def typed(lines: Iterator[str]) -> str:
    try:
        return next(lines)
    except StopIteration:
        raise EOFError from None


def test_by_keyboard_the_same_walk_speaks_and_understands_korean(tmp_path: Path) -> None:
    lines = [*(line for said in ANSWERS.values() for line in said), "결정 없음"]
    given = iter([*lines[:1], "흠집 날개 이 번", "확인", *lines[2:]])
    events, mouth = walk(tmp_path / "walk", lambda _book: TypedListener(lambda: typed(given)))
    found = {one.item: one.meaning for one in events if isinstance(one, log.AnswerEvent) and one.kind == "finding"}
    assert found["propeller"] == {"item": "propeller", "finding": "nick", "number": "2"}, "as in an English log"
    assert "결함. 흠집, 날개 이 번. 맞습니까?" in mouth.said
    assert any("치명적" in text and "마모" in text for text in mouth.said)
    english = [text for text in mouth.said if any("a" <= letter.lower() <= "z" for letter in text)]
    assert english == [], "every sentence has its translation"


def test_a_walk_in_a_language_on_trial_says_so_and_is_replayed_in_it(tmp_path: Path) -> None:
    given = iter([*(line for said in ANSWERS.values() for line in said), "결정 없음"])
    events, mouth = walk(tmp_path / "walk", lambda _book: TypedListener(lambda: typed(given)))
    korean = Book(load(FILE, "ko")).words
    assert korean.fixed(ON_TRIAL) != ON_TRIAL
    assert mouth.said[1] == korean.fixed(ON_TRIAL)
    opened = events[0]
    assert isinstance(opened, log.Opened)
    assert opened.language == "ko"
    journal = read(tmp_path / "walk")
    state, missing = replay(open_book(journal), journal.events)
    assert (state.outcome, missing, verify(tmp_path / "walk").state) == ("complete", [], "intact")


@pytest.mark.slow
def test_the_model_knows_every_word_of_the_language(korean_model: Path) -> None:
    recogniser = VoskRecogniser(korean_model, PhraseCosts())
    spoken = language("ko")
    tongue = spoken.tongue
    rules = [rule for rule in spoken.grammars.public_rules() if rule != "untaught.any"]
    phrases = [path.heard for rule in rules for path in spoken.grammars.expansion(f"<{rule}>").paths()]
    phrases += [*tongue.letters, *tongue.digits, *tongue.point, *tongue.places, *tongue.fractions, *tongue.joining]
    phrases += [frame.format("") for frame in (*tongue.denials, *tongue.instead)]
    assert sorted({word for phrase in phrases for word in phrase.split() if not recogniser.knows(word)}) == []


@pytest.mark.slow
def test_ten_items_are_walked_by_voice(tmp_path: Path, korean_model: Path) -> None:
    events, _ = walk(tmp_path / "walk", lambda _book: KoreanSpeaker(Ears(korean_model)))
    ended = next(one for one in events if isinstance(one, log.Ended))
    assert (ended.outcome, ended.open_items) == ("complete", ())
    answers = [one for one in events if isinstance(one, log.AnswerEvent)]
    assert {one.item for one in answers} == set(ANSWERS)
    assert [(one.item, one.meaning.get("finding")) for one in answers if one.kind == "finding"] == [("tyres", "worn")]
