"""How well the measure of sounds foretells what the ears confuse: a rank correlation.  Pure."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from handsfree.bench.figures import Figure
from handsfree.bench.trial import Trial
from handsfree.language.confusability import FloatArray, confusabilities
from handsfree.language.sounds import Pronounce

_SHUFFLES = 499
_ROUNDING = 1e-12


class Correlation(Figure):
    """Spearman's rank correlation between predicted nearness and observed confusions."""

    rho: float
    """-1 to 1: 1 = the nearer two phrases, the more often one was heard for the other; 0 where nothing varies."""
    n: int
    """Pairs compared, each way round: spoken and heard."""
    p: float
    """How often as strong a correlation comes by chance, 0 to 1."""


Counts = Mapping[tuple[str, str], int]
"""How often each phrase (spoken, heard) was heard for which, of one list of phrases that can all be heard."""


def counts_by_item(trials: Iterable[Trial]) -> list[Counts]:
    """What was heard for what at each item; another way to say the same counts as the same."""
    counted: dict[str, Counter[tuple[str, str]]] = defaultdict(Counter)
    for trial in trials:
        if len(trial.wanted) == 1:
            counted[trial.item][trial.words, trial.words if trial.verdict == "right" else trial.said] += 1
    return list(counted.values())


def correlation(lists: Sequence[Counts], pronounce: Pronounce) -> Correlation:
    """Over all pairs within each list: phrases of different items are never mistaken for each other.

    What was never spoken has no pairs, but counts as a hearing of what was.  The chance is that of a Mantel test:
    pairs that share a phrase do not vary alone, so the phrases are shuffled and not the pairs.
    """
    matrices = [_matrices(counts, pronounce) for counts in lists if counts]
    if not matrices:
        return Correlation(rho=0.0, n=0, p=1.0)
    predicted = np.concatenate([_pairs(near) for near, _ in matrices])
    rho = rank_correlation(predicted, np.concatenate([_pairs(seen) for _, seen in matrices]))
    by_chance = _by_chance(abs(rho), predicted, [seen for _, seen in matrices])
    return Correlation(rho=rho, n=len(predicted), p=by_chance)


def _matrices(counts: Counts, pronounce: Pronounce) -> tuple[FloatArray, FloatArray]:
    """Predicted nearness and observed share, of each phrase spoken (rows) for each heard."""
    phrases = list(dict.fromkeys(spoken for spoken, _ in counts))
    heard_in_all = np.zeros(len(phrases))
    heard_for = np.zeros((len(phrases), len(phrases)))
    for (spoken, heard), count in counts.items():
        heard_in_all[phrases.index(spoken)] += count
        if heard in phrases:
            heard_for[phrases.index(spoken), phrases.index(heard)] += count
    return confusabilities(phrases, phrases, pronounce), heard_for / np.maximum(heard_in_all, 1)[:, np.newaxis]


def _pairs(matrix: FloatArray) -> FloatArray:
    """All but each phrase with itself."""
    return matrix[~np.eye(len(matrix), dtype=bool)]


def rank_correlation(one: FloatArray, other: FloatArray) -> float:
    """Spearman's rho of two lists of the same length, ties ranked by their mean; 0 where one of them does not vary."""
    ranks = [_ranks(values) - (len(values) + 1) / 2 for values in (one, other)]
    spread = np.sqrt((ranks[0] ** 2).sum() * (ranks[1] ** 2).sum())
    return float((ranks[0] * ranks[1]).sum() / spread) if spread else 0.0


def _ranks(values: FloatArray) -> FloatArray:
    _, group, sizes = np.unique(values, return_inverse=True, return_counts=True)
    last = np.cumsum(sizes)
    return (last - (sizes - 1) / 2)[group]


def _by_chance(rho: float, predicted: FloatArray, observed: Sequence[FloatArray]) -> float:
    random = np.random.default_rng(0)

    def shuffled() -> FloatArray:
        orders = (random.permutation(len(one)) for one in observed)
        return np.concatenate([_pairs(one[np.ix_(order, order)]) for one, order in zip(observed, orders, strict=True)])

    as_strong = sum(abs(rank_correlation(predicted, shuffled())) >= rho - _ROUNDING for _ in range(_SHUFFLES))
    return (as_strong + 1) / (_SHUFFLES + 1)
