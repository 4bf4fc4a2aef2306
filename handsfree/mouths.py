"""Ways of speaking other than the voice itself."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from handsfree.session import Mouth, ToneKind


class Silent:
    """Says nothing: for typed walks, whose words stand on the screen."""

    def say(self, text: str) -> float:
        """Say nothing."""
        del text
        return 0.0

    def tone(self, kind: ToneKind) -> None:
        """Sound nothing."""

    def pace(self, *, slow: bool) -> None:
        """Change nothing."""


class PreparingMouth(Mouth, Protocol):
    """A mouth that can render texts ahead."""

    def prepare(self, texts: Iterable[str]) -> None:
        """Render texts in the background."""
        ...


class RenderingAhead:
    """Renders the prompts to come in the background, once the first words are spoken: before, it would delay them."""

    def __init__(self, mouth: PreparingMouth, texts: Iterable[str]) -> None:
        self._mouth = mouth
        self._texts: Iterable[str] = texts

    def say(self, text: str) -> float:
        """Speak; after the first time begin to render ahead."""
        seconds = self._mouth.say(text)
        texts, self._texts = self._texts, ()
        self._mouth.prepare(texts)
        return seconds

    def tone(self, kind: ToneKind) -> None:
        """Sound a tone."""
        self._mouth.tone(kind)

    def pace(self, *, slow: bool) -> None:
        """Speak slower from now on, or at the usual rate."""
        self._mouth.pace(slow=slow)
