"""A walk round the small aircraft whose clips are real speech, which need not be what the log took it for."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from handsfree.journal.writer import JournalWriter
from handsfree.language.vocabulary import Vocabulary
from handsfree.listeners import understand
from handsfree.session import Listened, Session
from handsfree.walk.events import Begin, Expect
from tests.support.sounds import joined, quiet, speech
from tests.walk.conversation import SMALL, small
from tests.walk.performance import Mouth, Screen


@dataclass
class Teller:
    """Each utterance as it is to be logged; what is spoken in its clip, where that is something else."""

    utterances: list[tuple[str, str]]

    def get_ready(self, vocabulary: Callable[[], Vocabulary]) -> None:
        pass

    def listen(self, vocabulary: Vocabulary, expected: Expect) -> Listened:
        if not self.utterances:
            return Listened(None, ended=True)
        logged, spoken = self.utterances.pop(0)
        return Listened(understand(logged, vocabulary), joined(quiet(0.2), speech(spoken), quiet(0.2)).tobytes())


def spoken_walk(folder: Path, utterances: Sequence[str | tuple[str, str]]) -> Path:
    """The walk's folder; an utterance is its words, or the words that were logged and those that are in its clip."""
    told = [(one, one) if isinstance(one, str) else one for one in utterances]
    text = SMALL.read_bytes()
    writer = JournalWriter.create(folder, text)
    begin = Begin(who="AB", registration="Q7KTA", level_check=False)
    session = Session(small(), writer, Mouth(), Teller(told), Screen())
    session.begin(begin, hashlib.sha256(text).hexdigest(), "synthetic")
    writer.close()
    return folder
