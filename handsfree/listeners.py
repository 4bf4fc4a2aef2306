"""Where answers come from: the keyboard, a recording, the microphone."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from handsfree.hearing.ears import Ears
from handsfree.hearing.microphone import Microphone
from handsfree.hearing.recogniser import Block
from handsfree.language.heard import Alternative, Heard
from handsfree.language.meaning import overall_outcome
from handsfree.language.vocabulary import Vocabulary
from handsfree.session import Listened, Mouth, ToneKind
from handsfree.walk.events import Expect

RESEMBLANCE = 80.0
"""Of 100; a typed text that is less like a finding is not guessed at, as it is for the ears."""
PATIENCE_S = 30.0
"""Silence after which a question is put again."""


class TypedListener:
    """Answers from the keyboard, understood by the same strict grammar as speech."""

    def __init__(self, read: Callable[[], str]) -> None:
        """``read`` gives the next line and raises EOFError at the end."""
        self._read = read

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        """Read one line; an empty one counts as silence."""
        try:
            line = self._read().strip()
        except EOFError:
            return Listened(None, ended=True)
        if expected.moment == "note":
            return Listened(Heard("none", line, why="a note"))
        return Listened(understand(line, vocabulary) if line else None)


def understand(text: str, vocabulary: Vocabulary) -> Heard:
    """A typed text, taken strictly; what resembles it only leads to a question."""
    parse = vocabulary.parse(text)
    if parse.clauses and not parse.ambiguous:
        return Heard(overall_outcome(parse.clauses), parse.text, parse.clauses)
    if parse.ambiguous:
        readings = dict.fromkeys(meaning for reading in (parse.clauses, *parse.others) for meaning in reading)
        return Heard("ask", text, tuple(readings), 0.0, why="it can mean more than one thing")
    near = [one for one in vocabulary.nearest(text) if not one.blocked]
    alike = [one for one in near[:1] if one.score >= RESEMBLANCE]
    guesses = tuple(one.phrase.meaning for one in alike if one.phrase.meaning.outcome == "finding")
    others = tuple(Alternative(one.phrase.text, one.score) for one in near)
    return Heard("ask", text, guesses, 0.0, alternatives=others, why="nothing like it can be said here")


class SoundListener:
    """Answers from blocks of sound: a recording, or whatever yields them."""

    def __init__(self, ears: Callable[[], Ears], blocks: Iterator[Block], patience_s: float | None = None) -> None:
        """``ears`` gives the ears when they are first needed: they may be loading while the tool already speaks."""
        self._ears = ears
        self._blocks = blocks
        self._patience_s = patience_s

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:  # noqa: ARG002  # a recording does not wait
        """Listen for one utterance."""
        utterance = self._ears().listen(self._blocks, vocabulary, patience_s=self._patience_s)
        silent = utterance.heard.why == "silence"
        return Listened(None if silent else utterance.heard, utterance.clip.tobytes(), utterance.ended)


def metered(blocks: Iterable[Block], level: Callable[[], float], show: Callable[[float], None]) -> Iterator[Block]:
    """The same blocks; before each one the level (dBFS) is shown."""
    for block in blocks:
        show(level())
        yield block


class HalfDuplex:
    """A mouth that closes the ears while it speaks: without it the tool would hear itself."""

    def __init__(self, mouth: Mouth, microphone: Microphone) -> None:
        self._mouth = mouth
        self._microphone = microphone

    def say(self, text: str) -> float:
        """Speak with the microphone shut."""
        self._microphone.pause()
        try:
            return self._mouth.say(text)
        finally:
            self._microphone.resume()

    def tone(self, kind: ToneKind) -> None:
        """Sound a tone with the microphone shut."""
        self._microphone.pause()
        try:
            self._mouth.tone(kind)
        finally:
            self._microphone.resume()

    def pace(self, *, slow: bool) -> None:
        """Speak slower from now on, or at the usual rate."""
        self._mouth.pace(slow=slow)
