"""The pictures of a debrief in the README: somebody practises, and Debian's Chromium opens the page.

    python -m demo.picture

The trainee is made of the exercise's truth: the defects that an item asks for are named, but for one that is passed;
one thing that is harmless is reported; help is asked for once.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from demo.pacing import in_real_time
from demo.synthetic_speech import speak
from handsfree.book import Book, course_of
from handsfree.card.pdf import as_card
from handsfree.checklist.loading import load
from handsfree.checklist.models import Item
from handsfree.debrief.gathering import gather, sounds_of
from handsfree.debrief.page import page
from handsfree.debrief.remarks import score_lines
from handsfree.drill.composing import completed
from handsfree.drill.exercise import Exercise, exercise_as_file, load_exercise, load_stock
from handsfree.drill.score import score
from handsfree.journal.lines import digest
from handsfree.journal.writer import JournalWriter
from handsfree.language.phrase import Phrase
from handsfree.language.vocabulary import Vocabulary
from handsfree.listeners import understand
from handsfree.resources import find_checklist, find_exercise, find_stock
from handsfree.session import Listened, Practised, Session, ToneKind
from handsfree.walk.events import Begin, Expect
from handsfree.walk.state import WalkState

PICTURES = Path(__file__).parent / "pictures"
CHROMIUM = Path("/usr/bin/chromium")
_CHECKLIST, _EXERCISE = "twin-turboprop", "called-away"
_PASSED, _REPORTED, _HELPED = "right-oil", "main-door", "left-static"
"""Items: a defect that is passed, something harmless that is reported, and where help is asked for."""
_VOICE = "flite/slt"
_SECONDS_A_WORD = 0.33


class Trainee:
    """Answers what the exercise has at each item."""

    def __init__(self, book: Book, exercise: Exercise) -> None:
        self._book = book
        self._scenes = {scene.item: scene for scene in exercise.scenes if scene.item}
        self._item: str | None = None
        self._helped = False

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        """Nothing is needed."""

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        """The answer, with its sound."""
        heard = understand(self._words(expected, vocabulary), vocabulary)
        return Listened(heard, speak(heard.said, _VOICE).tobytes())

    def _words(self, expected: Expect, vocabulary: Vocabulary) -> str:
        self._item = expected.item or self._item
        match expected.moment:
            case "item":
                return self._answer(self._book.checklist.item(self._item or ""))
            case "condition":
                return "negative"
            case "decision":
                return "no decision"
            case "where":
                return next(words for words in _names(self._book.checklist.item(_PASSED)) if _fits(words, vocabulary))
            case _:
                return "affirm"

    def _answer(self, item: Item) -> str:
        if item.id == _HELPED and not self._helped:
            self._helped = True
            return "what do I look for"
        own = self._book.phrasebook.own_phrases(item)
        scene = self._scenes.get(item.id)
        good = [one.text for one in own if one.meaning.outcome == "pass"]
        bad = [one for one in own if one.meaning.outcome == "finding"]
        if item.id == _REPORTED:
            return bad[0].text
        defective = scene is not None and scene.truth == "defect" and item.id != _PASSED
        if item.quantity or item.count:
            return self._number(item, own, right=not defective)
        if scene is None or not defective:
            return good[0]
        return next(one.text for one in bad if one.meaning.get("finding") in scene.findings)

    def _number(self, item: Item, own: Sequence[Phrase], *, right: bool) -> str:
        """A number within the limits, or the next one below them."""
        told = sorted((float(value), one.text) for one in own if (value := one.meaning.get("value")) is not None)
        low = item.count.expect if item.count else (item.quantity and item.quantity.low) or 0.0
        within = [text for value, text in told if value >= low]
        beyond = [text for value, text in told if value < low]
        return within[0] if right else beyond[-1]


def _names(item: Item) -> Iterator[str]:
    yield item.name
    yield item.prompt.rstrip(".").lower()


def _fits(words: str, vocabulary: Vocabulary) -> bool:
    return bool(vocabulary.parse(words).clauses)


class _Mouth:
    """Says nothing, and takes the time that it would."""

    def say(self, text: str) -> float:
        return _SECONDS_A_WORD * len(text.split())

    def tone(self, kind: ToneKind) -> None:
        pass

    def pace(self, *, slow: bool) -> None:
        pass


class _Screen:
    """Shows nothing."""

    def said(self, text: str) -> None:
        pass

    def heard(self, heard: object) -> None:
        pass

    def state(self, state: WalkState) -> None:
        pass

    def trouble(self, message: str, hint: str) -> None:
        pass


def practised(folder: Path) -> Path:
    """An attempt at the exercise, with the times that it takes in earnest."""
    file = find_checklist(_CHECKLIST)
    checklist, text = load(file), file.read_bytes()
    stock_file = find_stock(_CHECKLIST)
    assert stock_file is not None
    stock = load_stock(stock_file, checklist)
    exercise = completed(load_exercise(find_exercise(_EXERCISE, _CHECKLIST), checklist, stock), stock, checklist)
    written = exercise_as_file(exercise)
    book = Book(checklist, course=course_of("scenes", exercise))
    writer = JournalWriter.create(folder / "at-once", text, exercise_text=written)
    session = Session(book, writer, _Mouth(), Trainee(book, exercise), _Screen())
    begin = Begin(who="RT", registration="Q7KTA", level_check=False)
    session.begin(begin, digest(text), "synthetic", Practised(exercise.id, digest(written)))
    writer.close()
    return in_real_time(folder / "at-once", folder / "attempt")


def main() -> int:
    """Make the pictures anew; 1 where there is no browser."""
    if not CHROMIUM.exists():
        print("demo: Chromium is not installed\n  what to do: apt install chromium", file=sys.stderr)
        return 1
    folder = Path(tempfile.mkdtemp())
    try:
        walk = gather(practised(folder))
        lines = score_lines(score(walk.attempt, walk.checklist)) if walk.attempt else ()
        file = folder / "page.html"
        file.write_text(page(walk, sounds_of(walk), score=lines), encoding="utf-8")
        with sync_playwright() as library:
            browser = library.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
            shown = browser.new_page(viewport={"width": 1200, "height": 1250}, reduced_motion="reduce")
            shown.goto(file.as_uri())
            _take(shown, "debrief.png")
            shown.evaluate("document.querySelector('#route').scrollIntoView()")
            _take(shown, "debrief-route.png")
            browser.close()
    finally:
        shutil.rmtree(folder)
    if shutil.which("pdftoppm"):
        card()
    return 0


def card() -> None:
    """The first two pages of the pocket card side by side; needs Debian's poppler-utils."""
    checklist = load(find_checklist(_CHECKLIST))
    with tempfile.TemporaryDirectory() as folder:
        paper = Path(folder) / "card.pdf"
        paper.write_bytes(as_card(checklist, Book(checklist).phrasebook, "0" * 64, phrases=False))
        subprocess.run(["pdftoppm", "-r", "80", "-l", "2", "-png", str(paper), f"{folder}/page"], check=True)
        pages = [Image.open(one) for one in sorted(Path(folder).glob("page*.png"))]
        both = Image.new("L", (sum(one.width for one in pages), pages[0].height), 255)
        for at, one in enumerate(pages):
            both.paste(one.convert("L"), (at * pages[0].width, 0))
        both.save(PICTURES / "card.png", optimize=True)


def _take(shown: Page, name: str) -> None:
    taken = shown.screenshot(path=PICTURES / name)
    print(f"{name}: {len(taken) // 1000} kB")


if __name__ == "__main__":
    sys.exit(main())
