"""Who answers the questions: at the keyboard, or by voice where there is a choice."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from handsfree.drafting.interview import Question
from handsfree.hearing.ears import Ears
from handsfree.hearing.recogniser import Block
from handsfree.language.grammars import Grammars
from handsfree.language.vocabulary import Entry, Vocabulary

_TRIES = 3


class AtTheKeyboard:
    """Types every answer."""

    def __init__(self, read: Callable[[str], str], show: Callable[[str], None]) -> None:
        """``read`` shows a text and gives the line that is typed; raises EOFError at the end."""
        self._read = read
        self._show = show

    def ask(self, question: Question) -> str:
        """An empty line is the default; what is none of the choices is asked again."""
        while True:
            said = self._read(f"{question.text}{_offered(question)}: ").strip() or question.default
            if not question.choices or said in question.choices:
                return said
            self._show(f"One of: {', '.join(question.choices)}.")

    def tell(self, text: str) -> None:
        """Show it."""
        self._show(f"  {text}")


class ByVoice:
    """Hears the questions; choices are spoken, and free text, which a constrained grammar cannot take, is typed."""

    def __init__(
        self,
        keyboard: AtTheKeyboard,
        say: Callable[[str], object],
        ears: Ears,
        frames: Iterator[Block],
        grammars: Grammars,
    ) -> None:
        self._keyboard = keyboard
        self._say = say
        self._ears = ears
        self._frames = frames
        self._grammars = grammars

    def ask(self, question: Question) -> str:
        """A choice that is not understood three times is typed."""
        self._say(f"{question.text}{_spoken(question)}")
        if not question.choices:
            return self._keyboard.ask(question)
        vocabulary = choices(question.choices, self._grammars)
        for _ in range(_TRIES):
            utterance = self._ears.listen(self._frames, vocabulary, patience_s=10.0)
            heard = utterance.heard
            if heard.outcome == "control" and len(heard.meanings) == 1 and (said := heard.meanings[0].get("choice")):
                self._keyboard.tell(said)
                return said
            if utterance.ended:
                break
            self._say("Say again.")
        return self._keyboard.ask(question)

    def tell(self, text: str) -> None:
        """Show and speak it."""
        self._keyboard.tell(text)
        self._say(text)


def choices(words: Sequence[str], grammars: Grammars) -> Vocabulary:
    """A vocabulary of nothing but these; the slot ``choice`` tells which."""
    return Vocabulary.build([Entry(grammars.expansion(one), "control", (("choice", one),)) for one in words])


def _offered(question: Question) -> str:
    listed = f" [{'/'.join(question.choices)}]" if question.choices else ""
    return f"{listed} ({question.default})" if question.default else listed


def _spoken(question: Question) -> str:
    return f"? {', '.join(question.choices)}." if question.choices else "."
