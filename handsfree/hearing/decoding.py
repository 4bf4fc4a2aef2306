"""The decodes of one utterance: a recogniser for each stream, which may be a little behind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from handsfree.hearing.judge import Decode
from handsfree.hearing.recogniser import Block, Hearer

Streams = Sequence[Block]
"""The same sound as each decode takes it: cleaned in different ways."""


class Decoding:
    """Hears in portions: what comes at once (half a second at the beginning of an answer) must not hold up the rest."""

    def __init__(self, hearers: Sequence[Hearer]) -> None:
        """One fresh hearer for each stream."""
        self._hearers = hearers
        self._unheard: Streams = [np.zeros(0, dtype=np.int16)] * len(hearers)

    def add(self, streams: Streams) -> None:
        """Take more sound, to be heard later."""
        self._unheard = joined([self._unheard, streams])

    def hear(self, most: int | None = None) -> bool:
        """Hear so many samples (None: all) of the unheard ones; whether a recogniser holds that all was said."""
        taken = [stream[:most] for stream in self._unheard]
        self._unheard = [stream[len(now) :] for stream, now in zip(self._unheard, taken, strict=True)]
        ended = [hearer.feed(now) for hearer, now in zip(self._hearers, taken, strict=True) if len(now)]
        return any(ended)

    def partial(self) -> str:
        """The words so far, of the last stream."""
        return self._hearers[-1].partial()

    def finish(self) -> Iterator[Decode]:
        """Hear the rest, and give all readings of each decode, worked out as they are asked for; all is used up."""
        self.hear()
        return (hearer.finish() for hearer in self._hearers)


def joined(parts: Sequence[Streams]) -> Streams:
    """Streams one after the other."""
    return [np.concatenate(stream) for stream in zip(*parts, strict=True)]
