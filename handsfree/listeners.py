"""Where answers come from: the keyboard, a recording, the microphone."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

from handsfree.hearing.ears import Ears
from handsfree.hearing.microphone import Microphone
from handsfree.hearing.recogniser import Block
from handsfree.language.alphabet import spell
from handsfree.language.heard import Alternative, Heard, with_a_hole
from handsfree.language.meaning import overall_outcome
from handsfree.language.tongue import Tongue
from handsfree.language.vocabulary import Vocabulary
from handsfree.session import Listened, Mouth, ToneKind
from handsfree.walk.events import Expect

RESEMBLANCE = 80.0
"""Of 100; a typed text that is less like a finding is not guessed at, as it is for the ears."""
PATIENCE_S = 30.0
"""Silence after which a question is put again."""
LONGEST_ANSWER = 500
"""Characters; what is longer is a file that was poured in, and not looked at word by word."""
NOT_TEXT = "\N{REPLACEMENT CHARACTER}"
"""Stands for what was typed and is no text: bytes of another encoding, control characters."""
_UNITS = {"mm": "millimetres", "cm": "centimetres", "kg": "kilograms", "lb": "pounds", "lbs": "pounds"}
"""Units as they are written behind figures; one that is said as it is written ("psi") needs no entry."""
_UNIT = re.compile(rf"(?<=\d)\s*({'|'.join(_UNITS)})\b", re.IGNORECASE)
_CHARACTERS = re.compile(r"[A-Za-z0-9](?:[ .-]?[A-Za-z0-9])*")


class TypedListener:
    """Answers from the keyboard, understood by the same strict grammar as speech."""

    def __init__(self, read: Callable[[], str]) -> None:
        """``read`` gives the next line and raises EOFError at the end."""
        self._read = read

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        """Nothing is needed to read a line."""

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        """Read one line; an empty one counts as silence."""
        try:
            line = self._read().strip()
        except EOFError:
            return Listened(None, ended=True)
        text = plain(line)
        if expected.moment == "note":
            return Listened(Heard("none", text, why="a note"))
        if not text:
            return Listened(None)
        if len(text) > LONGEST_ANSWER:
            return Listened(Heard("ask", f"{text[:LONGEST_ANSWER]} …", why="too long for an answer"))
        said = _spelled(text, vocabulary.tongue) if expected.moment in ("who", "registration") else _in_words(text)
        heard = understand(said if _only_so(said, text, vocabulary) else text, vocabulary)
        return Listened(_doubted(heard, text) if NOT_TEXT in text else heard)


def plain(line: str) -> str:
    """A line with nothing in it that would act on a terminal or spoil a log."""
    return "".join(one if one.isprintable() else " " if one.isspace() else NOT_TEXT for one in line.strip())


def _in_words(text: str) -> str:
    """What a keyboard shortens, as it is said: "12 cm & dry" is "12 centimetres and dry"."""
    return _UNIT.sub(lambda unit: f" {_UNITS[unit[1].lower()]}", text).replace("&", " and ")


def _spelled(text: str, tongue: Tongue) -> str:
    """Initials or a registration typed as characters, as they are spoken: "LM" is "lima mike"."""
    return spell(text, tongue) if _CHARACTERS.fullmatch(text) else text


def _only_so(said: str, typed: str, vocabulary: Vocabulary) -> bool:
    """Whether the spoken form is understood, and the typed one is not."""
    return bool(vocabulary.parse(said).clauses) and not vocabulary.parse(typed).clauses


def _doubted(heard: Heard, text: str) -> Heard:
    """An answer of which a piece was no text: that piece may have been the "not", so it passes nothing."""
    findings = tuple(one for one in heard.meanings if one.outcome == "finding")
    return replace(heard, outcome="ask", said=text, meanings=findings, confidence=0.0, why="a part of it is no text")


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

    def __init__(
        self,
        ears: Callable[[], Ears],
        blocks: Iterator[Block],
        patience_s: float | None = None,
        overflows: Callable[[], int] = lambda: 0,
    ) -> None:
        """``ears`` gives the ears when they are first needed: they may be loading while the tool already speaks.

        ``overflows`` counts how often a piece was missing in the blocks so far.
        """
        self._ears = ears
        self._blocks = blocks
        self._patience_s = patience_s
        self._overflows = overflows
        self._overflows_before = 0
        self._background = ThreadPoolExecutor(1, thread_name_prefix="vocabulary")

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        """Load what the next answer needs while the question is spoken; what goes wrong is told by ``listen``."""
        self._background.submit(lambda: self._ears().prepare(vocabulary()))

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:  # noqa: ARG002  # a recording does not wait
        """Listen for one utterance.  When the source breaks off (AudioError), what was half said is not taken."""
        utterance = self._ears().listen(self._blocks, vocabulary, patience_s=self._patience_s)
        heard, overflows = utterance.heard, self._overflows()
        lost_sound, self._overflows_before = overflows > self._overflows_before, overflows
        if heard.why == "silence":
            return Listened(
                None,
                ended=utterance.ended,
                noise_dbfs=heard.noise_dbfs,
                too_loud=heard.too_loud,
                lost_sound=lost_sound,
            )
        return Listened(with_a_hole(heard) if lost_sound else heard, utterance.clip.tobytes(), utterance.ended)


class Metered:
    """The same blocks; before each one the level (dBFS) is shown.  After an error of the source it can be read on."""

    def __init__(self, blocks: Iterator[Block], level: Callable[[], float], show: Callable[[float], None]) -> None:
        self._blocks = blocks
        self._level = level
        self._show = show

    def __iter__(self) -> Iterator[Block]:
        return self

    def __next__(self) -> Block:
        block = next(self._blocks)
        self._show(self._level())
        return block


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
