"""One turn of the conversation while it is being worked out: a state that grows, and the effects it causes.

`step` makes a Turn, lets the handlers work on it and takes the result out; nothing of it outlives the step.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

from handsfree.checklist.models import Checklist, Item
from handsfree.walk.course import Course
from handsfree.walk.events import Effect, Note, Pace, Say, Tone
from handsfree.walk.state import Moment, WalkState
from handsfree.walk.wording import Wording

Choices = Callable[[Item], Sequence[str]]
"""The short list of things that can be said at an item: passes first, then findings."""


class Turn:
    """The state being changed, and the effects in order."""

    def __init__(
        self, checklist: Checklist, choices: Choices, state: WalkState, course: Course | None, words: Wording
    ) -> None:
        self.checklist = checklist
        self.course = course
        self.choices = choices
        self.state = state
        self.words = words
        self.effects: list[Effect] = []
        self.advancing = False
        """Set when the present item is done: the machine then asks the next one or closes the walk."""

    @property
    def item(self) -> Item:
        """The item being asked; only valid once the walk is at an item."""
        if self.state.item is None:
            raise ValueError("the walk is not at an item")
        return self.checklist.item(self.state.item)

    def change(self, **changes: object) -> None:
        """Change fields of the state; most are what they were, and a new state costs more than to look."""
        if any(getattr(self.state, name) != value for name, value in changes.items()):
            self.state = self.state.but(**changes)

    def wait(self, moment: Moment) -> None:
        """Wait for something else from now on; failed hearings are counted anew."""
        self.change(moment=moment, misses=0, loud=0)

    def say(self, text: str) -> None:
        """Speak something that "say again" does not repeat; a sentence of the tool's own in the walk's language."""
        if text:
            self.effects.append(Say(self.words.fixed(text)))

    def prompt(self, text: str, again: str = "") -> None:
        """Speak a question; "say again" repeats it.  ``again`` = what it shrinks to when it is put again unasked."""
        self.say(text)
        self.change(last_prompt=self.words.fixed(text), prompt_again=again)

    def say_again(self) -> None:
        """Speak the last question again, all of it."""
        self.say(self.state.last_prompt)

    def repeat(self) -> None:
        """Put the last question again."""
        self.say(self.state.prompt_again or self.state.last_prompt)

    def tone(self, kind: Literal["heard", "not_heard", "finding", "done"]) -> None:
        """Sound a tone."""
        self.effects.append(Tone(kind))

    def pace(self, *, slow: bool) -> None:
        """Speak slower or at the usual rate."""
        self.change(slow=slow)
        self.effects.append(Pace(slow))

    def note(self, note: Note) -> None:
        """Keep something in the journal."""
        self.effects.append(note)

    def go_on(self) -> None:
        """The present item is done."""
        self.advancing = True
