"""A second opinion on a pass or a number: would it win even if it were hardly expected?  Pure.

The search expects the item's own words, and of two that sound alike it drops the one that it expects less; so a
defect that is rarely said may leave nothing but the pass in any reading.  Therefore the sound is heard again with
passes dear (`PhraseCosts.doubted`).  How far the pass then stands above all else, or below, is its margin: what
nothing else sounds like stays on top or close to it, what was only expected is gone.  This is asked in quiet too: a
headset that is silent until somebody speaks lets noise in with the words, and nobody can tell how much.  A number is
heard so with numbers dear ("crack" was taken for "five", "snapped" for "half"): within its limits it passes its item.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from handsfree.hearing.judge import Decode, shares
from handsfree.hearing.settings import JudgeSettings
from handsfree.language.heard import Heard
from handsfree.language.meaning import Meaning
from handsfree.language.vocabulary import Vocabulary

_DENIALS = frozenset({"no", "not"})


def confirmed(
    heard: Heard, snr_db: float, decodes: Iterable[Decode], vocabulary: Vocabulary, settings: JudgeSettings
) -> Heard:
    """The pass or the number if it holds its own in each decode in which it is dear, else a question.

    Decodes are taken one by one, and none after one that is against it.
    """
    needed = settings.doubted_margin_of(
        heard.outcome,
        heard.said,
        critical=vocabulary.critical,
        denial=_is_denial(heard.said, vocabulary),
        snr_db=snr_db,
    )
    meanings = frozenset(heard.meanings)
    if all(_margin(meanings, decode, vocabulary) >= needed for decode in decodes):
        return heard
    return replace(heard, outcome="ask", why="it may be misheard for something else")


def _is_denial(words: str, vocabulary: Vocabulary) -> bool:
    """Whether it is a defect but for a small word ("no leak")."""
    kept = [word for word in words.split() if word not in _DENIALS]
    clauses = vocabulary.parse(" ".join(kept)).clauses
    return len(kept) < len(words.split()) and any(clause.outcome == "finding" for clause in clauses)


def _margin(meanings: frozenset[Meaning], decode: Decode, vocabulary: Vocabulary) -> float:
    """How far it stands above its best rival: a natural logarithm; -inf when it is not among the readings any more."""
    found = {key: share for key, (_, share) in shares(decode, vocabulary).items()}
    if meanings not in found:
        return -math.inf
    return found[meanings] - max((share for key, share in found.items() if key != meanings), default=-math.inf)
